"""Judging through the worker: once, again when something has changed, and what the date changes by itself."""

import threading
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.db import connection

from inspections.handlers import rejudge
from inspections.judgement.vocabulary import Condition, DueBackKind, Priority
from inspections.models import Assessment, DueBack, Entry, Finding, Sign
from inspections.models.findings import FindingState
from inspections.services.assessments import assess_entry, rejudge_yard
from inspections.services.findings import finding_set_state
from inspections.services.inspections import inspection_close, inspection_launch_set, inspection_open
from tests.factories import ComponentFactory, FindingFactory, TemplateVersionFactory
from tests.factories.inspections import CHECKS
from tests.inspections.scenes import Scene, scene
from tests.queries import queries_of
from yard.models import OutboxRow, Season
from yard.outbox import drain
from yard.outbox.nightly import nightly_rows_write

pytestmark = pytest.mark.django_db

MOMENT = timedelta(minutes=20)


def judged(scene: Scene, *sheets: dict[str, Any]) -> None:
    """Submit, and let the worker judge."""
    scene.store(*sheets)
    drain(now=scene.at + MOMENT)


def standing() -> Assessment:
    assessment: Assessment = Assessment.objects.get(superseded_at__isnull=True)
    return assessment


def open_line() -> DueBack:
    line: DueBack = DueBack.objects.get(ended_at__isnull=True)
    return line


WATER_COMES_IN = {"water": "rain", "seal": "open", "moves": "no", "load": "none", "sides": "both"}
DULL = {"signs": ["VARN_MATTE"], "water": "none", "seal": "intact", "moves": "no", "load": "none", "sides": "both"}


def test_a_finding_gets_its_judgement_its_line_and_its_jobs_are_asked_for(ours: Scene) -> None:
    judged(ours, ours.finding(**WATER_COMES_IN))
    finding, assessment, line = Finding.objects.get(), standing(), open_line()
    assert (assessment.finding, assessment.entry, assessment.boat) == (finding, finding.entry, ours.boat)
    assert assessment.condition == Condition.WATER_WAY_OPEN
    assert assessment.document["condition"] == "water_way_open"
    assert assessment.reasons
    assert len(assessment.inputs_digest) == 64
    assert assessment.made_at == ours.at + MOMENT
    assert (line.finding, line.entry, line.spot, line.component) == (finding, None, finding.spot, ours.component)
    assert (line.due_on, line.kind, line.reason) == (
        assessment.due_back_on,
        assessment.due_back_kind,
        assessment.reasons[0],
    )
    propose = OutboxRow.objects.get(task="workshop.propose_jobs")
    assert (propose.key, propose.arguments) == (
        f"propose:{ours.inspection.pk}",
        {"inspection_id": ours.inspection.pk},
    )


def test_a_place_not_seen_is_judged_too(ours: Scene) -> None:
    judged(ours, ours.not_seen())
    assessment, line = standing(), open_line()
    assert (assessment.finding, assessment.condition) == (None, Condition.UNSEEN)
    assert (line.finding, line.entry, line.kind) == (None, assessment.entry, DueBackKind.OPEN_UP)


def test_a_place_elsewhere_is_taken_for_the_worst(ours: Scene) -> None:
    sheet = ours.finding()
    del sheet["check"], sheet["spot"]
    judged(ours, {**sheet, "elsewhere": "stem of the dinghy"})
    assert (standing().severity, standing().priority) == (1, Priority.BEFORE_LAUNCH)
    assert (open_line().component, open_line().spot) == (None, None)


def test_what_is_only_watched_is_said_to_be_and_opened_again_when_it_grows(ours: Scene) -> None:
    first = ours.finding(**DULL)
    judged(ours, first)
    finding = Finding.objects.get()
    assert (standing().priority, finding.state) == (Priority.WATCH, FindingState.WATCHED)
    worse = ours.finding(spot={"id": first["spot"]["id"]}, supersedes=first["id"], **WATER_COMES_IN)
    judged(ours, worse)
    finding.refresh_from_db()
    assert (standing().priority == Priority.WATCH, finding.state) == (False, FindingState.OPEN)
    assert str(standing().entry_id) == worse["id"]
    assert Assessment.objects.count() == 2
    assert DueBack.objects.count() == 2


def test_judging_again_writes_nothing(ours: Scene) -> None:
    judged(ours, ours.finding(**WATER_COMES_IN), ours.not_seen(ours.moisture))
    before = [(model, list(model.objects.order_by("pk").values())) for model in (Assessment, DueBack, Finding)]
    for entry in Entry.objects.all():
        assert assess_entry(entry_id=entry.pk, at=ours.at + timedelta(hours=5)) is None
    assert rejudge_yard(yard=ours.yard, at=ours.at + timedelta(hours=6)) == 0
    assert [(model, list(model.objects.order_by("pk").values())) for model, _ in before] == before


def test_an_entry_that_was_superseded_or_is_gone_is_not_judged(ours: Scene) -> None:
    first = ours.not_seen()
    ours.store(first, ours.sound(supersedes=first["id"]))
    assert assess_entry(entry_id=Entry.objects.get(answer="not_seen").pk, at=ours.at) is None
    assert assess_entry(entry_id=Entry.objects.get(answer="sound").pk, at=ours.at) is None
    from tests.factories.inspections import made_id

    assert assess_entry(entry_id=made_id(77_777_777), at=ours.at) is None
    assert not Assessment.objects.exists()


@pytest.mark.parametrize(
    "state", [FindingState.REPAIRED, FindingState.VERIFIED, FindingState.WITHDRAWN, FindingState.SEEN_AGAIN]
)
def test_what_is_repaired_or_over_is_the_workshops(ours: Scene, state: FindingState) -> None:
    finding = FindingFactory.create(spot__component=ours.component, inspection=ours.inspection, state=state)
    assert assess_entry(entry_id=finding.entry_id, at=ours.at) is None
    assert rejudge_yard(yard=ours.yard, at=ours.at) == 0


@pytest.mark.parametrize("state", [FindingState.HELD, FindingState.DECLINED, FindingState.DEFERRED])
def test_what_waits_for_somebody_is_judged_and_keeps_its_state(ours: Scene, state: FindingState) -> None:
    ours.store(ours.finding(**DULL))
    finding = finding_set_state(finding=Finding.objects.get(), state=state, at=ours.at)
    drain(now=ours.at + MOMENT)
    finding.refresh_from_db()
    assert (finding.state, standing().priority) == (state, Priority.WATCH)


# --- facts -------------------------------------------------------------------------------------------


def test_growth_between_two_years_is_measured(ours: Scene) -> None:
    first = ours.finding(size_mm="20", **WATER_COMES_IN)
    ours.store(first, ours.wet())
    inspection_close(inspection=ours.inspection, at=ours.at + timedelta(hours=1), by=None)
    year = timedelta(days=360)
    second = inspection_open(boat=ours.boat, season_year=2028, at=ours.at + year - timedelta(days=5), by=None)
    check = second.checks.get(spot=first["spot"]["id"])
    grown = ours.finding(check, spot=None, size_mm="60", **WATER_COMES_IN)
    grown["observed_at"] = (ours.at + year).isoformat()
    ours.store(grown, inspection=second, at=ours.at + year + timedelta(hours=1))
    drain(now=ours.at + year + timedelta(hours=2))
    assessment = Assessment.objects.get(entry=grown["id"])
    assert "It grew from 20 mm to 60 mm since 1 April 2027." in assessment.reasons


def test_how_long_a_place_was_out_of_sight_is_counted_from_the_last_look_at_it(ours: Scene) -> None:
    ours.store(ours.sound(), ours.wet())
    inspection_close(inspection=ours.inspection, at=ours.at + timedelta(hours=1), by=None)
    at = datetime(2028, 4, 1, 8, 0, tzinfo=UTC)
    second = inspection_open(boat=ours.boat, season_year=2028, at=at, by=None)
    hidden = {**ours.not_seen(ours.check("corners", second)), "observed_at": at.isoformat()}
    ours.store(hidden, inspection=second, at=at)
    drain(now=at)
    assert any("12 months" in reason for reason in Assessment.objects.get(entry=hidden["id"]).reasons)


def test_looks_of_other_boats_and_yards_tell_nothing(ours: Scene, theirs: Scene, spring: datetime) -> None:
    # The same key of the same class on a sister ship, and at another yard, seen a year ago.
    sister = scene(spring, ours.yard)
    for other in (sister, theirs):
        inspection_of_last_year = inspection_open(boat=other.boat, season_year=2026, at=spring, by=None)
        sheet = other.sound(other.check("corners", inspection_of_last_year))
        other.store(sheet, inspection=inspection_of_last_year)
    judged(ours, ours.not_seen())
    assert "Nothing tells when the hidden part was last seen." in standing().reasons


def test_a_tablet_whose_clock_runs_ahead_is_not_believed(ours: Scene) -> None:
    ahead = ours.finding(observed_at=(ours.at + timedelta(days=1)).isoformat(), **WATER_COMES_IN)
    judged(ours, ahead)
    assert any("seen on 2027-04-01" in line for line in standing().document["trace"])


def test_a_look_late_in_the_evening_is_of_the_yards_day(ours: Scene) -> None:
    # Half past ten in the evening of UTC is already the next day in Copenhagen's summer.
    late = ours.finding(observed_at="2027-03-31T22:30:00Z", **WATER_COMES_IN)
    judged(ours, late)
    assert any("seen on 2027-04-01" in line for line in standing().document["trace"])


def test_a_season_that_is_missing_gives_up_and_says_so(ours: Scene) -> None:
    ours.store(ours.finding())
    Season.objects.filter(yard=ours.yard).delete()
    drain(now=ours.at + MOMENT)
    row = OutboxRow.objects.get(task="inspections.assess")
    assert row.failed_at is not None
    assert "season" in row.last_error


def test_a_sign_that_has_left_the_list_is_still_judged(ours: Scene) -> None:
    ours.store(ours.finding())
    Sign.objects.filter(yard=ours.yard).delete()
    drain(now=ours.at + MOMENT)
    assert standing().condition == Condition.UNSEEN


# --- what the date changes ----------------------------------------------------------------------------


def night_after(moment: datetime, yard_id: int) -> None:
    nightly_rows_write(now=moment)
    row = OutboxRow.objects.get(task="inspections.rejudge_yard", yard=yard_id, done_at__isnull=True)
    drain(now=row.not_before)


def test_a_night_without_news_writes_nothing(ours: Scene) -> None:
    judged(ours, ours.finding(**WATER_COMES_IN))
    night_after(ours.at + timedelta(days=1), ours.yard.pk)
    assert Assessment.objects.count() == 1
    assert OutboxRow.objects.get(task="inspections.rejudge_yard").done_at is not None


def test_a_place_out_of_sight_climbs_by_itself(ours: Scene) -> None:
    ours.store(ours.sound(), ours.wet())
    inspection_close(inspection=ours.inspection, at=ours.at + timedelta(hours=1), by=None)
    at = datetime(2028, 4, 3, 8, 0, tzinfo=UTC)
    second = inspection_open(boat=ours.boat, season_year=2028, at=at, by=None)
    hidden = {**ours.not_seen(ours.check("corners", second)), "observed_at": at.isoformat()}
    ours.store(hidden, inspection=second, at=at)
    drain(now=at)
    first = standing()
    later = datetime(2033, 6, 1, 1, 0, tzinfo=UTC)
    night_after(later, ours.yard.pk)
    again = standing()
    assert again.pk != first.pk
    assert again.probability_level < first.probability_level  # A is the likeliest
    first.refresh_from_db()
    assert first.superseded_at is not None
    assert again.inputs_digest == first.inputs_digest  # nothing but the day has changed


def test_what_is_overdue_stays_due_on_its_day(ours: Scene) -> None:
    judged(ours, ours.finding(**WATER_COMES_IN))
    due_on = open_line().due_on
    for days in (1, 2, 30, 300):
        rejudge_yard(yard=ours.yard, at=datetime.combine(due_on, ours.at.timetz()) + timedelta(days=days))
    assert (open_line().due_on, standing().due_back_on) == (due_on, due_on)
    assert DueBack.objects.count() == 1


def test_a_change_of_the_surroundings_is_found_at_night(ours: Scene) -> None:
    judged(ours, ours.finding(**WATER_COMES_IN))
    component_class = ours.component.component_class
    component_class.safety_role = "rig"
    component_class.save()
    assert rejudge_yard(yard=ours.yard, at=ours.at + timedelta(days=1)) == 1
    assert standing().severity == 2


def test_another_launch_moves_the_day_of_what_comes_before_it(ours: Scene) -> None:
    judged(ours, ours.finding(signs=["SOFT_PROBE"], water="rain", load="none"))
    assert standing().priority == Priority.THIS_SEASON or standing().priority == Priority.BEFORE_LAUNCH
    before = standing().document["trace"]
    inspection_launch_set(inspection=ours.inspection, launch_on=date(2027, 6, 15), at=ours.at)
    drain(now=ours.at + MOMENT)
    assert standing().document["trace"] != before
    assert any("2027-06-15" in line for line in standing().document["trace"])


def test_parts_that_were_taken_off_are_left_alone(ours: Scene) -> None:
    judged(ours, ours.finding(**WATER_COMES_IN))
    ours.component.removed_on = date(2027, 9, 1)
    ours.component.save()
    ours.component.component_class.__class__.objects.update(safety_role="rig")
    assert rejudge_yard(yard=ours.yard, at=ours.at + timedelta(days=200)) == 0


def test_one_crooked_class_does_not_stop_the_yards_night(ours: Scene) -> None:
    judged(ours, ours.finding(**WATER_COMES_IN))
    crooked = ComponentFactory.create(boat=ours.boat, component_class__yard=ours.yard)
    crooked.component_class.__class__.objects.filter(pk=crooked.component_class_id).update(water=["drizzle"])
    FindingFactory.create(spot__component=crooked, inspection=ours.inspection)
    ours.component.component_class.__class__.objects.filter(pk=ours.component.component_class_id).update(
        safety_role="rig"
    )
    assert rejudge_yard(yard=ours.yard, at=ours.at + timedelta(days=1)) == 1


def test_a_night_judges_before_its_transaction_and_writes_in_it(ours: Scene) -> None:
    judged(ours, ours.finding(**WATER_COMES_IN))
    type(ours.component.component_class).objects.update(safety_role="rig")
    night = ours.at + timedelta(days=1)
    with time_machine.travel(night, tick=False):
        finish = rejudge(ours.yard.pk)
        assert Assessment.objects.count() == 1
        asked = queries_of(lambda: finish(night))
    assert standing().severity == 2
    assert standing().made_at == night
    # Only the one that has changed was looked at again, under lock.
    assert [sql for sql in asked if "inspections_entry" in sql and standing().entry_id.hex in sql.replace("-", "")]


def test_a_night_touches_one_yard_only(ours: Scene, theirs: Scene) -> None:
    ours.store(ours.finding())
    theirs.store(theirs.finding())
    assert rejudge_yard(yard=ours.yard, at=ours.at + MOMENT) == 1
    assert set(Assessment.objects.values_list("yard", flat=True)) == {ours.yard.pk}


def test_a_night_asks_the_same_questions_for_any_number_of_findings(ours: Scene) -> None:
    TemplateVersionFactory.create(
        template=ours.component.component_class.template, number=2, checks=[CHECKS[0], CHECKS[1]]
    )
    ours.store(ours.finding(), ours.not_seen())
    rejudge_yard(yard=ours.yard, at=ours.at + MOMENT)
    few = queries_of(lambda: rejudge_yard(yard=ours.yard, at=ours.at + MOMENT))
    ours.store(*(ours.finding() for _ in range(20)), *(ours.not_seen() for _ in range(10)))
    many_at_first = queries_of(lambda: rejudge_yard(yard=ours.yard, at=ours.at + MOMENT))
    many = queries_of(lambda: rejudge_yard(yard=ours.yard, at=ours.at + MOMENT))
    assert len(many) == len(few)
    assert Assessment.objects.filter(superseded_at__isnull=True).count() == 32
    assert len(many_at_first) < 60


# --- at once -------------------------------------------------------------------------------------------


@pytest.mark.django_db(transaction=True)
@pytest.mark.both_databases
def test_many_workers_judging_the_same_finding_write_one_judgement(ours: Scene) -> None:
    ours.store(ours.finding(**WATER_COMES_IN), ours.not_seen(ours.moisture))
    entry_ids = list(Entry.objects.values_list("pk", flat=True))
    start = threading.Barrier(4, timeout=30)
    wrong: list[BaseException] = []

    def work() -> None:
        try:
            start.wait(10)
            for entry_id in entry_ids:
                assess_entry(entry_id=entry_id, at=ours.at + MOMENT)
            rejudge_yard(yard=ours.yard, at=ours.at + MOMENT)
        except BaseException as error:
            wrong.append(error)
        finally:
            connection.close()

    workers = [threading.Thread(target=work) for _ in range(4)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join(60)
    assert wrong == []
    assert Assessment.objects.count() == 2
    assert DueBack.objects.count() == 2
