"""Approved work: started, hours booked, done, and each finding verified by a look that ends it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal, InvalidOperation

from django.db import IntegrityError, transaction

from inspections.judgement.vocabulary import DueBackKind
from inspections.models import Finding
from inspections.services.due_back import due_back_set
from inspections.services.findings import finding_set_state
from workshop.models import Job, Verification, WorkLog
from workshop.services.ceiling import ceiling_reason
from workshop.services.holding import held_by
from workshop.services.jobs import findings_of, job_locked
from workshop.services.standing import standing_of
from workshop.services.surface_history import surface_works_of_job
from yard.models import Member
from yard.refusals import Refused

CENT = Decimal("0.01")
HOURS_OF_A_DAY = Decimal(24)
GRAVE = 2  # severities 1 and 2 of MIL-STD-882E want a second pair of eyes
LATEST_LOOK_DAYS = 3660  # the longest interval of any component class is ten years


@transaction.atomic
def job_start(*, job: Job, by: Member, at: datetime) -> Job:
    """Begin an approved job.

    Raises:
        Refused: it is not approved, or still waits for something.
    """
    job = job_locked(job, Job.State.APPROVED, doing="started")
    waiting = job.holds.filter(released_at__isnull=True).order_by("expected_on").first()
    if waiting is not None:
        raise Refused("holds", f"the job waits for {waiting.what}", "release the hold when it is here")
    refuse_foreign(job, by)
    return _moved(job, Job.State.IN_WORK, at)


@transaction.atomic
def work_book(
    *,
    job: Job,
    member: Member,
    worked_on: date,
    hours: Decimal,
    at: datetime,
    note: str = "",
    past_ceiling: str = "",
) -> WorkLog:
    """Book hours really spent. A correction is a further line, a negative one where too much was booked.

    Past the ceiling that the decider agreed to, `past_ceiling` says why: what was worked is booked, never hidden.

    Raises:
        Refused: the job is not agreed, a day that has not come, no hours, more taken off than was booked, or the
            agreed ceiling is passed without a reason.
    """
    states = (Job.State.APPROVED, Job.State.IN_WORK, Job.State.DONE, Job.State.VERIFIED)
    job = job_locked(job, *states, doing="booked on")
    refuse_foreign(job, member)
    if worked_on > at.astimezone(job.yard.zone).date():
        raise Refused("worked_on", f"{worked_on.isoformat()} has not come yet", "give the day of the work")
    booked = _hours(hours)
    so_far = sum(job.work_logs.values_list("hours", flat=True), Decimal(0))
    if so_far + booked < 0:
        raise Refused("hours", f"takes {-booked} h off {so_far} h", "take off no more than was booked")
    log = WorkLog(
        yard_id=job.yard_id,
        job=job,
        member=member,
        worked_on=worked_on,
        hours=booked,
        note=note.strip()[:300],
        past_ceiling=ceiling_reason(job, booked, past_ceiling),
        booked_at=at,
    )
    log.save(force_insert=True)
    return log


@transaction.atomic
def job_done(*, job: Job, by: Member, at: datetime) -> Job:
    """The work is done; its findings wait to be verified, or are held where the work only holds.

    What it did to the boat's surfaces is written into their history.

    Raises:
        Refused: it was not started.
    """
    job = job_locked(job, Job.State.IN_WORK, doing="done")
    refuse_foreign(job, by)
    for finding in findings_of(job):
        if finding.ended_at is None and not held_by(job, finding, at):
            finding_set_state(finding=finding, state=Finding.State.REPAIRED, at=at)
    surface_works_of_job(job=job, by=by, at=at)
    return _moved(job, Job.State.DONE, at)


@transaction.atomic
def finding_verify(
    *,
    finding: Finding,
    by: Member,
    look_again_on: date,
    at: datetime,
    photo_sha256: str = "",
    reading: str = "",
    second_look_by: Member | None = None,
    note: str = "",
) -> Verification:
    """The look afterwards, that ends a finding. The last one of a job ends the job.

    Raises:
        Refused: it is not repaired, no photo and no reading, a second pair of eyes is missing where severity is 1
            or 2, or the next look is not ahead.
    """
    locked = Finding.objects.select_for_update(of=("self",), no_key=True).get(pk=finding.pk)
    if locked.state != Finding.State.REPAIRED:
        raise Refused("finding", f"is {locked.get_state_display()}", "it can be verified once its job is done")
    refuse_unseen(photo_sha256, reading)
    _refuse_single_look(locked, by, second_look_by)
    today = at.astimezone(locked.yard.zone).date()
    if not today < look_again_on <= today + timedelta(days=LATEST_LOOK_DAYS):
        raise Refused("look_again_on", f"is {look_again_on.isoformat()}", "give a day ahead, within ten years")
    job = Job.objects.filter(operations__finding=locked, state=Job.State.DONE).order_by("id").first()
    verification = Verification(
        yard_id=locked.yard_id,
        finding=locked,
        job=job,
        by=by,
        second_look_by=second_look_by,
        photo_sha256=photo_sha256,
        reading=reading.strip(),
        note=note.strip(),
        seen_at=at,
        look_again_on=look_again_on,
    )
    try:
        with transaction.atomic():
            verification.save(force_insert=True)
    except IntegrityError as error:
        raise Refused("finding", "is verified already", "there is nothing more to do") from error
    finding_set_state(finding=locked, state=Finding.State.VERIFIED, at=at)
    due_back_set(
        due_on=look_again_on,
        kind=DueBackKind.LOOK_AGAIN,
        reason="Put right and verified; a look at whether it holds.",
        finding=locked,
        at=at,
    )
    _jobs_verified(locked, at)
    return verification


def _jobs_verified(finding: Finding, at: datetime) -> None:
    done = Job.objects.filter(operations__finding=finding, state=Job.State.DONE).values("pk")
    for job in Job.objects.select_for_update(of=("self",), no_key=True).filter(pk__in=done).order_by("pk"):
        job_end_if_seen(job, at)


def job_end_if_seen(job: Job, at: datetime) -> None:
    """End a job that is done, once each of its findings is ended and each of its surfaces was looked at."""
    surfaces = set(job.operations.filter(surface__isnull=False).values_list("surface", flat=True))
    unseen = surfaces - set(job.verifications.filter(surface__isnull=False).values_list("surface", flat=True))
    if not unseen and all(each.ended_at is not None for each in findings_of(job)):
        _moved(job, Job.State.VERIFIED, at)


def refuse_unseen(photo_sha256: str, reading: str) -> None:
    """A look that left neither a photo nor a reading is none."""
    if not photo_sha256 and not reading.strip():
        raise Refused("photo_sha256", "there is no photo and no reading", "give one of them")
    if photo_sha256 and (len(photo_sha256) != 64 or set(photo_sha256) - set("0123456789abcdef")):
        raise Refused("photo_sha256", "is no SHA-256", "give the 64 hexadecimal digits of the photo")
    if len(reading) > 120:
        raise Refused("reading", f"has {len(reading)} characters", "use 120 at most")


def _refuse_single_look(finding: Finding, by: Member, second_look_by: Member | None) -> None:
    people: Sequence[Member | None] = (by, second_look_by)
    for person in people:
        if person is not None and person.yard_id != finding.yard_id:
            raise Refused("by", f"{person} is not of this yard", "name a member of the yard")
    if second_look_by is not None and second_look_by.pk == by.pk:
        raise Refused("second_look_by", "is the one who looked first", "name somebody else")
    standing = standing_of([finding]).get(finding.pk)
    if second_look_by is None and standing is not None and standing.assessment.severity <= GRAVE:
        raise Refused("second_look_by", "is missing: much hangs on this place", "have somebody else look as well")


def refuse_foreign(job: Job, member: Member) -> None:
    """Work of a yard is done by its own people."""
    if member.yard_id != job.yard_id:
        raise Refused("member", f"{member} is not of this yard", "name a member of the yard")


def _moved(job: Job, state: str, at: datetime) -> Job:
    job.state = state
    job.changed_at = at
    job.save(update_fields=["state", "changed_at"])
    return job


def _hours(hours: Decimal) -> Decimal:
    try:
        booked = hours.quantize(CENT)
    except InvalidOperation:
        booked = Decimal(0)
    if booked == 0 or abs(booked) > HOURS_OF_A_DAY:
        raise Refused("hours", f"is {hours}", "give up to 24 hours, like 1.5; negative ones to correct")
    return booked


__all__ = [
    "finding_verify",
    "job_done",
    "job_end_if_seen",
    "job_start",
    "refuse_foreign",
    "refuse_unseen",
    "work_book",
]
