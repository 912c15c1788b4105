"""The look afterwards: photo or figures, the day of the next look, and somebody else's look where it is grave."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from inspections.judgement.facts import ComponentFacts, FindingFacts, SignFacts, YardFacts
from inspections.judgement.repaired import look_after_repair
from inspections.judgement.rules import load_rules
from inspections.judgement.vocabulary import Condition, SafetyRole
from inspections.models import Assessment, DueBack, Entry, Finding
from tests.factories import BoatFactory, EntryPhotoFactory, InspectionFactory, MemberFactory, PhotoFactory
from tests.workshop.spring import AT, TODAY, Spring, a_spring
from workshop.models import Job, SecondLook, Verification
from workshop.services.decisions import decision_make
from workshop.services.verifying import Measured, finding_verify, judged_look, second_look_give
from workshop.services.work import job_done, job_start
from yard.refusals import Refused

DRY = (Measured("moisture", Decimal(14)),)


def repaired(severity: int) -> tuple[Spring, Finding, Job]:
    spring = a_spring()
    spring.finding(spring.component("Chainplate"), "REBED_SEALANT", severity=severity)
    quote = spring.sent()
    line = quote.lines.get()
    decision_make(line=line, verdict="approve", digest=quote.digest, at=AT, owner=spring.boat.decider_owner)
    job = job_start(job=line.job, by=spring.technician, at=AT)
    job = job_done(job=job, by=spring.technician, at=AT)
    return spring, Finding.objects.get(operations__job=job), job


def verify(spring: Spring, finding: Finding, **said: Any) -> Verification:
    return finding_verify(**{"finding": finding, "by": spring.technician, "at": AT, "readings": DRY, **said})


# --- the day of the next look ---------------------------------------------------------------------
RULES = load_rules()
YARD = YardFacts(launch_on=date(2027, 5, 1), layup_on=date(2027, 10, 1))


def look(role: SafetyRole, condition: Condition, months: int = 12, **more: Any) -> date:
    found = FindingFacts(observed_on=date(2027, 4, 1), signs=(SignFacts("S", (condition,)),))
    component = ComponentFacts("C", role, recheck_months=months, open_up_months=48)
    return look_after_repair(
        found=found, component=component, yard=YARD, seen_on=date(2027, 4, 20), rules=RULES, **more
    ).on


def test_the_graver_the_place_the_sooner_the_look_and_never_past_its_classs_interval() -> None:
    roles = (SafetyRole.RIG, SafetyRole.WATERTIGHTNESS, SafetyRole.NONE)
    for condition in (Condition.DECAY, Condition.METAL_WASTING):
        days = [look(role, condition, 120) for role in roles]
        assert days == sorted(days)
        assert days[0] < days[-1]
    # decay that was cut out comes back by water first
    assert look(SafetyRole.RIG, Condition.DECAY) == look(SafetyRole.RIG, Condition.WATER_IN)
    assert look(SafetyRole.NONE, Condition.FINISH_ONLY, 12) == date(2028, 4, 20)
    # the 20th of November 2027 is a Saturday
    assert look(SafetyRole.NONE, Condition.FINISH_ONLY, 7) == date(2027, 11, 19)
    for condition in set(Condition) - {Condition.GONE, Condition.UNSEEN}:
        for role in SafetyRole:
            assert date(2027, 4, 20) < look(role, condition) <= date(2028, 4, 20)


def test_what_is_only_held_is_still_to_be_put_right_on_its_day() -> None:
    by = date(2027, 9, 30)
    assert look(SafetyRole.NONE, Condition.FINISH_ONLY, proper_repair_by=by) == by


# --- one look -------------------------------------------------------------------------------------
@pytest.mark.django_db
def test_a_reading_is_a_figure_with_its_unit_and_the_day_comes_by_the_rules() -> None:
    spring, finding, _ = repaired(3)
    done = verify(spring, finding, readings=[*DRY, Measured("play", Decimal("0.5"), "mm")])
    assert done.reading == "moisture 14 %, play 0.5 mm"
    assert [(row.quantity, row.value, row.unit) for row in done.readings.all()] == [
        ("moisture", Decimal(14), "%"),
        ("play", Decimal("0.50"), "mm"),
    ]
    assert done.judged_look_on == done.look_again_on > TODAY
    assert not done.needs_second_look
    line = DueBack.objects.get(finding=finding, ended_at=None)
    assert (line.due_on, line.spot_id) == (done.look_again_on, finding.spot_id)
    # whole: the day it was found for, and the day of the next look
    assert DueBack.objects.filter(spot=finding.spot).count() == 2
    with pytest.raises(Refused):
        verify(spring, finding)


@pytest.mark.django_db
def test_an_earlier_day_is_free_a_later_one_wants_a_reason_and_the_class_has_the_last_word() -> None:
    spring, finding, _ = repaired(3)
    rules = judged_look(finding, TODAY).on
    cap = date(2028, 4, 6)
    assert rules <= cap
    with pytest.raises(Refused) as refused:
        verify(spring, finding, look_again_on=cap + timedelta(days=1), look_again_reason="She is away.")
    assert "2028-04-06" in refused.value.remedy
    if rules < cap:
        with pytest.raises(Refused) as refused:
            verify(spring, finding, look_again_on=cap)
        assert refused.value.field == "look_again_reason"
    done = verify(spring, finding, look_again_on=TODAY + timedelta(days=1), look_again_reason="Not kept.")
    assert (done.look_again_on, done.look_again_reason) == (TODAY + timedelta(days=1), "")


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("said", "field"),
    [
        pytest.param({"readings": []}, "photo_sha256", id="neither"),
        pytest.param({"photo_sha256": "ab" * 32}, "photo_sha256", id="not here"),
        pytest.param({"photo_sha256": "photo.jpg"}, "photo_sha256", id="no digest"),
        pytest.param({"readings": [Measured("colour", Decimal(3))]}, "readings[0].quantity", id="not measured"),
        pytest.param({"readings": [Measured("play", Decimal(3), "in")]}, "readings[0].unit", id="inches"),
        pytest.param({"readings": [Measured("moisture", Decimal(121))]}, "readings[0].value", id="soup"),
        pytest.param({"readings": [*DRY, *DRY]}, "readings", id="twice"),
        pytest.param({"look_again_on": TODAY}, "look_again_on", id="today"),
    ],
)
def test_a_look_that_shows_nothing_verifies_nothing(said: dict[str, Any], field: str) -> None:
    spring, finding, _ = repaired(3)
    with pytest.raises(Refused) as refused:
        verify(spring, finding, **said)
    assert refused.value.field == field


@pytest.mark.django_db
def test_the_photo_is_one_that_the_yard_holds_of_this_boat_after_the_repair() -> None:
    spring, finding, _ = repaired(3)
    sent, elsewhere, before, strange = (PhotoFactory.create(yard=spring.yard).sha256 for _ in range(4))
    PhotoFactory.create(sha256="cd" * 32)  # another yard's
    EntryPhotoFactory.create(entry=finding.entry, sha256=before)
    other = InspectionFactory.create(boat=BoatFactory.create(yard=spring.yard))
    entry = Entry.objects.get(pk=finding.entry_id)
    entry.pk, entry.inspection, entry.answers = "01980000-0000-7000-8000-000000000001", other, None
    entry.save(force_insert=True)
    EntryPhotoFactory.create(entry=entry, sha256=elsewhere)
    del strange
    for sha256, problem in (
        ("cd" * 32, "no photo that the yard holds"),
        (elsewhere, "another boat"),
        (before, "before the repair"),
    ):
        with pytest.raises(Refused) as refused:
            verify(spring, finding, readings=(), photo_sha256=sha256)
        assert problem in refused.value.problem
    assert verify(spring, finding, readings=(), photo_sha256=sent).photo_sha256 == sent


# --- two looks ------------------------------------------------------------------------------------
@pytest.mark.django_db
@pytest.mark.both_databases
def test_a_grave_place_waits_for_somebody_elses_look_under_their_own_name() -> None:
    spring, finding, job = repaired(2)
    first = verify(spring, finding)
    finding.refresh_from_db()
    assert (finding.state, first.waits_for_second_look) == (Finding.State.REPAIRED, True)
    with pytest.raises(Refused) as refused:
        verify(spring, finding, by=spring.manager)
    assert "somebody else" in refused.value.remedy
    for by, field in ((spring.technician, "by"), (MemberFactory.create(), "by")):
        with pytest.raises(Refused) as refused:
            second_look_give(verification=first, by=by, holds=True, at=AT)
        assert refused.value.field == field
    given = second_look_give(verification=first, by=spring.manager, holds=True, at=AT)
    assert second_look_give(verification=first, by=spring.manager, holds=True, at=AT) == given
    finding.refresh_from_db()
    job.refresh_from_db()
    assert (finding.state, job.state) == (Finding.State.VERIFIED, Job.State.VERIFIED)
    assert DueBack.objects.get(finding=finding, ended_at=None).due_on == first.look_again_on
    with pytest.raises(Refused):
        second_look_give(verification=first, by=MemberFactory.create(yard=spring.yard), holds=True, at=AT)


@pytest.mark.django_db
def test_a_second_look_that_doubts_opens_the_finding_again_and_the_first_look_stays() -> None:
    spring, finding, job = repaired(1)
    first = verify(spring, finding)
    with pytest.raises(Refused) as refused:
        second_look_give(verification=first, by=spring.manager, holds=False, at=AT)
    assert refused.value.field == "note"
    second_look_give(verification=first, by=spring.manager, holds=False, at=AT, note="It weeps below.")
    finding.refresh_from_db()
    job.refresh_from_db()
    assert (finding.state, job.state) == (Finding.State.OPEN, Job.State.IN_WORK)
    job_done(job=job, by=spring.technician, at=AT)
    again = verify(spring, finding)
    second_look_give(verification=again, by=spring.manager, holds=True, at=AT)
    assert [row.turn for row in finding.verifications.order_by("turn")] == [1, 2]
    assert SecondLook.objects.count() == 2


@pytest.mark.django_db
def test_what_was_never_judged_counts_as_grave() -> None:
    spring, finding, _ = repaired(4)
    Assessment.objects.filter(finding=finding).update(superseded_at=AT)
    assert verify(spring, finding).needs_second_look
