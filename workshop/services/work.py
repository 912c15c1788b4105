"""Approved work: started, hours and material booked, done."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal, InvalidOperation

from django.db import transaction

from inspections.models import Finding
from inspections.services.findings import finding_set_state
from workshop.models import Job, Material, MaterialLog, WorkLog
from workshop.services.ceiling import ceiling_reason
from workshop.services.holding import held_by
from workshop.services.jobs import findings_of, job_locked
from workshop.services.steps import refuse_foreign, steps_leave_out
from workshop.services.surface_history import surface_works_of_job
from yard.models import Member
from yard.refusals import Refused

CENT = Decimal("0.01")
HOURS_OF_A_DAY = Decimal(24)
THOUSANDTH = Decimal("0.001")
MOST_MATERIAL = Decimal(100_000)
BOOKED_ON = (Job.State.APPROVED, Job.State.IN_WORK, Job.State.STOPPED, Job.State.DONE, Job.State.VERIFIED)


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
    job = job_locked(job, *BOOKED_ON, doing="booked on")
    refuse_foreign(job, member)
    _refuse_to_come(job, "worked_on", worked_on, at)
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
def material_book(
    *,
    job: Job,
    material: Material,
    member: Member,
    used_on: date,
    quantity: Decimal,
    at: datetime,
    note: str = "",
) -> MaterialLog:
    """Book material really used, in the unit of the yard's list. A correction is a further line, a negative one
    where too much was booked.

    Raises:
        Refused: the job is not agreed, a day that has not come, a material of another yard, none of it, or more
            taken off than was booked.
    """
    job = job_locked(job, *BOOKED_ON, doing="booked on")
    refuse_foreign(job, member)
    if material.yard_id != job.yard_id:
        raise Refused("material", "is not on this yard's list", "name one of the list")
    _refuse_to_come(job, "used_on", used_on, at)
    booked = _rounded(quantity, THOUSANDTH)
    if booked == 0 or abs(booked) > MOST_MATERIAL:
        raise Refused(
            "quantity", f"is {quantity}", f"give {material.unit} up to {MOST_MATERIAL}; negative to correct"
        )
    so_far = sum(
        job.material_logs.filter(material=material, unit=material.unit).values_list("quantity", flat=True),
        Decimal(0),
    )
    if so_far + booked < 0:
        unit = material.unit
        raise Refused("quantity", f"takes {-booked} {unit} off {so_far} {unit}", "take off no more than was booked")
    log: MaterialLog = MaterialLog(
        yard_id=job.yard_id,
        job=job,
        material=material,
        member=member,
        used_on=used_on,
        quantity=booked,
        unit=material.unit,
        note=note.strip()[:300],
        booked_at=at,
    )
    log.save(force_insert=True)
    return log


@transaction.atomic
def job_done(*, job: Job, by: Member, at: datetime, left_out_because: str = "") -> Job:
    """The work is done; its findings wait to be verified, or are held where the work only holds.

    What it did to the boat's surfaces is written into their history.

    Args:
        left_out_because: why steps are still open, on a job whose steps are ticked.

    Raises:
        Refused: it was not started, or steps are open without a reason.
    """
    job = job_locked(job, Job.State.IN_WORK, doing="done")
    refuse_foreign(job, by)
    steps_leave_out(job=job, by=by, at=at, reason=left_out_because)
    for finding in findings_of(job):
        if finding.ended_at is None and not held_by(job, finding, at):
            finding_set_state(finding=finding, state=Finding.State.REPAIRED, at=at)
    surface_works_of_job(job=job, by=by, at=at)
    return _moved(job, Job.State.DONE, at)


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


def _moved(job: Job, state: str, at: datetime) -> Job:
    job.state = state
    job.changed_at = at
    job.save(update_fields=["state", "changed_at"])
    return job


def _refuse_to_come(job: Job, field: str, day: date, at: datetime) -> None:
    if day > at.astimezone(job.yard.zone).date():
        raise Refused(field, f"{day.isoformat()} has not come yet", "give the day of the work")


def _hours(hours: Decimal) -> Decimal:
    booked = _rounded(hours, CENT)
    if booked == 0 or abs(booked) > HOURS_OF_A_DAY:
        raise Refused("hours", f"is {hours}", "give up to 24 hours, like 1.5; negative ones to correct")
    return booked


def _rounded(number: Decimal, step: Decimal) -> Decimal:
    """As fine as it is kept; 0 for what is no figure."""
    try:
        return number.quantize(step) if number.is_finite() else Decimal(0)
    except InvalidOperation:
        return Decimal(0)


__all__ = [
    "BOOKED_ON",
    "job_done",
    "job_end_if_seen",
    "job_start",
    "material_book",
    "refuse_foreign",
    "refuse_unseen",
    "work_book",
]
