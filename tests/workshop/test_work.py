"""Approved work until its findings are verified, and what a job waits for."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from inspections.models import DueBack, Finding
from tests.factories import PhotoFactory, TechnicianFactory
from tests.workshop.spring import AT, TODAY, Spring, a_spring
from workshop.models import Hold, Job
from workshop.services.decisions import decision_make
from workshop.services.jobs import OperationSheet, hold_add, hold_release, job_change, job_drop
from workshop.services.verifying import finding_verify
from workshop.services.work import job_done, job_start, work_book
from yard.models import Member
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

# A year on, the longest interval of the class, rolled back from a Thursday to a working day.
NEXT_SPRING = date(2028, 4, 6)
PHOTO = "ab" * 32


@pytest.fixture
def spring() -> Spring:
    made = a_spring()
    made.finding(made.component("Window frame"), "REBED_SEALANT", severity=3)
    PhotoFactory.create(yard=made.yard, sha256=PHOTO)
    return made


def approved(spring: Spring) -> Job:
    quote = spring.sent()
    for line in quote.lines.all():
        decision_make(line=line, verdict="approve", digest=quote.digest, at=AT, owner=spring.boat.decider_owner)
    return Job.objects.get(inspection=spring.inspection)


def done(spring: Spring) -> tuple[Job, Finding]:
    job = job_start(job=approved(spring), by=spring.technician, at=AT)
    return job_done(job=job, by=spring.technician, at=AT), Finding.objects.get(operations__job=job)


def held(job: Job, **changes: object) -> Hold:
    said: dict[str, object] = {
        "kind": "part",
        "what": "bronze bolts",
        "who": None,
        "expected_on": date(2027, 4, 20),
        "meanwhile": "taped over and dry",
        "at": AT,
        **changes,
    }
    return hold_add(job=job, **said)  # type: ignore[arg-type]


def test_work_from_yes_to_the_verified_finding(spring: Spring) -> None:
    job = job_start(job=approved(spring), by=spring.technician, at=AT)
    assert job.state == Job.State.IN_WORK
    work_book(job=job, member=spring.technician, worked_on=TODAY, hours=Decimal("2.5"), at=AT, note="bedding out")
    job = job_done(job=job, by=spring.technician, at=AT)
    finding = Finding.objects.get(operations__job=job)
    assert (job.state, finding.state) == (Job.State.DONE, Finding.State.REPAIRED)
    finding_verify(finding=finding, by=spring.technician, at=AT, photo_sha256=PHOTO)
    job.refresh_from_db()
    finding.refresh_from_db()
    assert (job.state, finding.state, finding.ended_at) == (Job.State.VERIFIED, Finding.State.VERIFIED, AT)
    line = DueBack.objects.get(finding=finding, ended_at__isnull=True)
    assert (line.due_on, line.kind) == (NEXT_SPRING, "look_again")


def test_only_approved_jobs_are_started_and_only_started_ones_done(spring: Spring) -> None:
    (job,) = spring.propose()
    for refused_call in (
        lambda: job_start(job=job, by=spring.technician, at=AT),
        lambda: job_done(job=job, by=spring.technician, at=AT),
        lambda: work_book(job=job, member=spring.technician, worked_on=TODAY, hours=Decimal(1), at=AT),
    ):
        with pytest.raises(Refused) as refused:
            refused_call()
        assert refused.value.field == "state"


def test_a_job_starts_once(spring: Spring) -> None:
    job = job_start(job=approved(spring), by=spring.technician, at=AT)
    with pytest.raises(Refused):
        job_start(job=job, by=spring.technician, at=AT)


def test_a_held_job_does_not_start_before_the_last_hold_is_released(spring: Spring) -> None:
    job = approved(spring)
    finding = Finding.objects.get(operations__job=job)
    bolts, wood = held(job), held(job, kind="dry_wood", what="wood under 16 %")
    finding.refresh_from_db()
    assert finding.state == Finding.State.HELD
    for hold, state in ((bolts, Finding.State.HELD), (wood, Finding.State.OPEN)):
        with pytest.raises(Refused) as refused:
            job_start(job=job, by=spring.technician, at=AT)
        assert refused.value.field == "holds"
        hold_release(hold=hold, at=AT)
        finding.refresh_from_db()
        assert finding.state == state
    assert job_start(job=job, by=spring.technician, at=AT).state == Job.State.IN_WORK


def test_a_hold_is_released_once(spring: Spring) -> None:
    hold = held(approved(spring))
    hold_release(hold=hold, at=AT)
    with pytest.raises(Refused):
        hold_release(hold=hold, at=AT + timedelta(days=1))
    hold.refresh_from_db()
    assert hold.released_at == AT


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"kind": "weather"}, "kind"),
        ({"what": " "}, "what"),
        ({"meanwhile": ""}, "meanwhile"),
        ({"what": "x" * 201}, "what"),
    ],
)
def test_a_hold_says_what_and_what_holds_the_boat_meanwhile(
    spring: Spring, changes: dict[str, object], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        held(approved(spring), **changes)
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("hours", "day", "field"),
    [
        pytest.param("0", TODAY, "hours", id="none"),
        pytest.param("24.01", TODAY, "hours", id="more than a day has"),
        pytest.param("-1", TODAY, "hours", id="taken off nothing"),
        pytest.param("1", TODAY + timedelta(days=1), "worked_on", id="tomorrow"),
    ],
)
def test_hours_that_can_not_be_are_refused(spring: Spring, hours: str, day: date, field: str) -> None:
    with pytest.raises(Refused) as refused:
        work_book(job=approved(spring), member=spring.technician, worked_on=day, hours=Decimal(hours), at=AT)
    assert refused.value.field == field


def test_a_correction_takes_hours_off_and_both_lines_stay(spring: Spring) -> None:
    job = approved(spring)
    for hours in ("2.5", "-1"):
        work_book(job=job, member=spring.technician, worked_on=TODAY, hours=Decimal(hours), at=AT)
    assert [log.hours for log in job.work_logs.order_by("id")] == [Decimal("2.50"), Decimal("-1.00")]
    with pytest.raises(Refused):
        work_book(job=job, member=spring.technician, worked_on=TODAY, hours=Decimal("-2.5"), at=AT)


def test_somebody_of_another_yard_books_nothing(spring: Spring) -> None:
    stranger: Member = TechnicianFactory.create()
    with pytest.raises(Refused) as refused:
        work_book(job=approved(spring), member=stranger, worked_on=TODAY, hours=Decimal(1), at=AT)
    assert refused.value.field == "member"


def test_a_job_is_changed_only_while_it_is_proposed(spring: Spring) -> None:
    (job,) = spring.propose()
    job_change(job=job, by=spring.manager, at=AT, title="Rebed the window", unsafe_to_leave=True)
    job.refresh_from_db()
    assert (job.title, job.unsafe_to_leave, job.edited_by) == ("Rebed the window", True, spring.manager)
    spring.sent()
    with pytest.raises(Refused) as refused:
        job_change(job=job, by=spring.manager, at=AT, title="Later")
    assert refused.value.field == "state"
    with pytest.raises(Refused) as refused:
        job_drop(job=job, by=spring.manager, at=AT)
    assert refused.value.field == "state"


@pytest.mark.parametrize(
    ("operations", "field"),
    [
        pytest.param([], "operations", id="none"),
        pytest.param([("UNHEARD_OF", "1")], "operations.0.treatment", id="unknown operation"),
        pytest.param([("SEAM", "0")], "operations.0.quantity", id="nothing of it"),
        pytest.param([("SEAM", "1"), ("SEAM", "2")], "operations.1", id="twice"),
    ],
)
def test_operations_that_can_not_be_are_refused(
    spring: Spring, operations: list[tuple[str, str]], field: str
) -> None:
    (job,) = spring.propose()
    finding = Finding.objects.get()
    sheets = [OperationSheet(code, finding.pk, Decimal(quantity)) for code, quantity in operations]
    with pytest.raises(Refused) as refused:
        job_change(job=job, by=spring.manager, at=AT, operations=sheets)
    assert refused.value.field == field
    assert job.operations.count() == 1
