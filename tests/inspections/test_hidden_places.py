"""Places that stay closed year after year: what was last known of them runs on, and each night finds them worse."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest

from inspections.judgement.risk import RISK_RANK
from inspections.judgement.vocabulary import Condition, Priority, RiskLevel
from inspections.models import Assessment, DueBack, Inspection
from inspections.services.assessments import rejudge_yard
from inspections.services.fact_building import Facts, entries_to_judge, facts_of
from inspections.services.inspections import inspection_close, inspection_open
from tests.inspections.scenes import Scene
from yard.outbox import drain
from yard.outbox.nightly import nightly_rows_write

pytestmark = pytest.mark.django_db


@pytest.fixture
def mast_foot(ours: Scene) -> Scene:
    """The scene's part is a mast foot: the rig stands on it, and its sole is to come up every other year."""
    kind = ours.component.component_class
    kind.safety_role, kind.load, kind.water, kind.open_up_months = "rig", ["cyclic"], ["interior", "standing"], 24
    kind.save()
    return ours


def season(scene: Scene, year: int) -> tuple[Inspection, datetime]:
    at = datetime(year, 4, 3, 8, 0, tzinfo=UTC)
    return inspection_open(boat=scene.boat, season_year=year, at=at, by=None), at


def closed_again(scene: Scene, year: int) -> UUID:
    """Nobody opens it in this season either; the entry's id."""
    inspection, at = season(scene, year)
    observed = {"observed_at": at.isoformat()}
    hidden = {**scene.not_seen(scene.check("corners", inspection)), **observed}
    rest = [{**scene.not_seen(check), **observed} for check in inspection.checks.exclude(pk=hidden["check"])]
    scene.store(hidden, *rest, inspection=inspection, at=at)
    drain(now=at + timedelta(minutes=5))
    inspection_close(inspection=inspection, at=at + timedelta(hours=1), by=None)
    return UUID(str(hidden["id"]))


def first_season(scene: Scene, *, found: dict[str, Any] | None = None) -> None:
    sheet = scene.sound() if found is None else scene.finding(**found)
    scene.store(sheet, scene.wet())
    drain(now=scene.at + timedelta(minutes=20))
    inspection_close(inspection=scene.inspection, at=scene.at + timedelta(hours=1), by=None)


def judged(entry_id: UUID) -> Assessment:
    """The judgement that holds of an entry, or the last one that did."""
    newest = Assessment.objects.filter(entry=entry_id).order_by("-made_at", "-pk").first()
    assert newest is not None
    return newest


def night(scene: Scene, day: datetime) -> None:
    nightly_rows_write(now=day)
    drain(now=day + timedelta(days=2))


def test_a_mast_foot_that_nobody_opens_climbs_night_by_night(mast_foot: Scene) -> None:
    first_season(mast_foot)
    hidden = closed_again(mast_foot, 2028)
    first = judged(hidden)
    assert (first.condition, first.priority) == (Condition.UNSEEN, Priority.WATCH)
    levels, risks, priorities = [first.probability_level], [RiskLevel(first.risk)], [first.priority]
    for year in (2029, 2030, 2031, 2032):
        night(mast_foot, datetime(year, 6, 1, 1, 0, tzinfo=UTC))
        told = judged(hidden)
        levels.append(told.probability_level)
        risks.append(RiskLevel(told.risk))
        priorities.append(told.priority)
        assert told.inputs_digest == first.inputs_digest  # nothing but the day has changed
    assert levels == sorted(levels, reverse=True)  # A is the likeliest
    assert levels[-1] < levels[0]
    ranks = [RISK_RANK[risk] for risk in risks]
    assert ranks == sorted(ranks, reverse=True)
    assert priorities[-1] == Priority.BEFORE_LAUNCH
    assert "Nobody has seen the hidden part for 62 months" in " ".join(judged(hidden).reasons)
    line = DueBack.objects.get(entry=hidden, ended_at__isnull=True)
    assert line.kind == "open_up"


def test_each_season_that_leaves_it_closed_counts_from_the_last_sight_of_it(mast_foot: Scene) -> None:
    first_season(mast_foot)
    ids = [closed_again(mast_foot, year) for year in (2028, 2029, 2030)]
    months = [
        next(reason for reason in judged(entry).reasons if "hidden part for" in reason).split(" for ")[1].split()[0]
        for entry in ids
    ]
    assert months == ["12", "24", "36"]
    levels = [judged(entry).probability_level for entry in ids]
    assert levels == sorted(levels, reverse=True)
    assert levels[-1] < levels[0]
    # Each new "not seen" takes over from the one before: one place, one line in the book.
    assert DueBack.objects.filter(entry__in=ids, ended_at__isnull=True).count() == 1


def test_what_was_last_found_there_runs_on_while_it_is_closed(mast_foot: Scene) -> None:
    first_season(mast_foot, found={"signs": ["MC_HIGH"], "size_mm": None})
    hidden = closed_again(mast_foot, 2028)
    (entry,) = entries_to_judge(mast_foot.yard, [judged(hidden).entry_id])
    facts = facts_of(mast_foot.yard, [entry])[entry.pk]
    assert isinstance(facts, Facts)
    assert [look.condition for look in facts.finding.earlier] == [Condition.WATER_IN]
    assert any("last seen: water_in" in line for line in judged(hidden).document["trace"])


def test_wet_before_is_worse_than_sound_before(mast_foot: Scene, theirs: Scene) -> None:
    theirs.component.component_class.__class__.objects.update(
        safety_role="rig", load=["cyclic"], water=["interior", "standing"], open_up_months=24
    )
    first_season(mast_foot, found={"signs": ["MC_HIGH"], "size_mm": None})
    first_season(theirs)
    wet, sound = judged(closed_again(mast_foot, 2028)), judged(closed_again(theirs, 2028))
    assert wet.probability_level < sound.probability_level
    assert RISK_RANK[RiskLevel(wet.risk)] < RISK_RANK[RiskLevel(sound.risk)]


def test_of_a_place_never_seen_nothing_runs_on_but_the_class_itself(mast_foot: Scene) -> None:
    mast_foot.store(mast_foot.not_seen())
    drain(now=mast_foot.at + timedelta(minutes=20))
    told = Assessment.objects.get(superseded_at__isnull=True)
    (entry,) = entries_to_judge(mast_foot.yard, [told.entry_id])
    facts = facts_of(mast_foot.yard, [entry])[entry.pk]
    assert isinstance(facts, Facts)
    assert (facts.finding.earlier, facts.finding.last_seen_on) == ((), None)
    assert "Nothing tells when the hidden part was last seen." in told.reasons
    assert rejudge_yard(yard=mast_foot.yard, at=mast_foot.at + timedelta(days=30)) == 0


def test_a_repair_that_was_found_sound_does_not_run_on(mast_foot: Scene) -> None:
    first_season(mast_foot, found={"signs": ["SOFT_PROBE"]})
    finding = mast_foot.inspection.findings.get()
    finding.state, finding.ended_at = finding.State.VERIFIED, mast_foot.at + timedelta(days=40)
    finding.save()
    hidden = closed_again(mast_foot, 2028)
    assert not any("last seen" in line for line in judged(hidden).document["trace"])
