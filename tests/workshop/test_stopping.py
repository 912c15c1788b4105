"""A job stopped halfway: what it waits for, what holds the boat, and by when it must be put right."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from inspections.models import Assessment, DueBack, Finding
from tests.factories import MemberFactory
from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import Hold, Job
from workshop.services.decisions import decision_make
from workshop.services.hold_days import held_in_the_book
from workshop.services.jobs import hold_add, hold_release
from workshop.services.stopping import job_stop
from workshop.services.work import job_done, job_start
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def spring() -> Spring:
    return a_spring()


def in_work(spring: Spring, *, due_on: date = date(2027, 4, 30), hold_until: str = "") -> Job:
    finding = spring.finding(spring.component("Hatch"), "REBED_SEALANT", due_on=due_on)
    if hold_until:
        old = Assessment.objects.get(finding=finding)
        Assessment.objects.filter(pk=old.pk).update(superseded_at=AT)
        old.pk, old.document = None, {"hold": {"treatment": "T", "say": "tape it", "until": hold_until}}
        old.save(force_insert=True)
    quote = spring.sent()
    line = quote.lines.get()
    decision_make(line=line, verdict="approve", digest=quote.digest, at=AT, owner=spring.boat.decider_owner)
    return job_start(job=line.job, by=spring.technician, at=AT)


def stop(spring: Spring, job: Job, **said: Any) -> Hold:
    return job_stop(
        **{
            "job": job,
            "by": spring.technician,
            "kind": "part",
            "what": "bronze bolts",
            "who": spring.manager,
            "expected_on": date(2027, 4, 20),
            "meanwhile": "bedded in butyl, covered",
            "at": AT,
            **said,
        }
    )


def book(job: Job) -> tuple[date, str, str]:
    line = DueBack.objects.get(finding__operations__job=job, ended_at=None)
    return line.due_on, line.kind, line.reason


def test_it_stands_still_until_the_last_thing_is_here_and_goes_on_by_itself(spring: Spring) -> None:
    job = in_work(spring)
    bolts = stop(spring, job)
    job.refresh_from_db()
    finding = Finding.objects.get()
    assert (job.state, finding.state, bolts.stopped_work) == (Job.State.STOPPED, Finding.State.HELD, True)
    with pytest.raises(Refused):
        job_done(job=job, by=spring.technician, at=AT)
    with pytest.raises(Refused):
        stop(spring, job)
    wood = hold_add(
        job=job, kind="dry_wood", what="dry wood", who=None, expected_on=date(2027, 5, 9), meanwhile="tent", at=AT
    )
    hold_release(hold=bolts, at=AT)
    job.refresh_from_db()
    assert job.state == Job.State.STOPPED
    hold_release(hold=wood, at=AT)
    job.refresh_from_db()
    finding.refresh_from_db()
    assert (job.state, finding.state) == (Job.State.IN_WORK, Finding.State.OPEN)
    assert job_done(job=job, by=spring.technician, at=AT).state == Job.State.DONE


def test_the_day_of_the_proper_repair_comes_by_judgement_and_stands_in_the_book(spring: Spring) -> None:
    job = in_work(spring, due_on=date(2027, 10, 1), hold_until="2027-09-30")
    hold = stop(spring, job)
    assert hold.put_right_by == date(2027, 9, 30)
    due_on, kind, reason = book(job)
    assert (due_on, kind) == (date(2027, 9, 30), "put_right")
    assert "bronze bolts" in reason
    assert "bedded in butyl, covered" in reason
    hold_release(hold=hold, at=AT)
    assert book(job) == (date(2027, 10, 1), "put_right", Assessment.objects.latest("pk").reasons[0])


def test_a_look_that_is_due_before_the_repair_keeps_its_day(spring: Spring) -> None:
    job = in_work(spring, due_on=date(2027, 6, 1), hold_until="2027-09-30")
    stop(spring, job)
    due_on, _, reason = book(job)
    assert due_on == date(2027, 6, 1)
    assert "due by 2027-09-30" in reason


def test_judging_again_leaves_the_hold_in_the_book(spring: Spring) -> None:
    job = in_work(spring)
    stop(spring, job)
    told = book(job)
    finding = Finding.objects.get()
    spring.judge(finding, "REBED_SEALANT")  # as the night's work writes it
    assert book(job) != told
    held_in_the_book(inspection=spring.inspection, at=AT)
    assert book(job) == told


@pytest.mark.parametrize(
    ("said", "field"),
    [
        pytest.param({"who": None}, "who", id="nobody gets it"),
        pytest.param({"meanwhile": " "}, "meanwhile", id="nothing holds the boat"),
        pytest.param({"kind": "weather"}, "kind", id="unknown"),
        pytest.param({"who": "stranger"}, "who", id="another yard's"),
    ],
)
def test_a_stopped_job_says_what_holds_the_boat_and_who_gets_what_is_missing(
    spring: Spring, said: dict[str, Any], field: str
) -> None:
    job = in_work(spring)
    if said.get("who"):
        said = {"who": MemberFactory.create()}
    with pytest.raises(Refused) as refused:
        stop(spring, job, **said)
    assert refused.value.field == field
    job.refresh_from_db()
    assert job.state == Job.State.IN_WORK
