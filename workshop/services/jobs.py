"""What a member changes on a proposed job, and what a job waits for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from inspections.models import Finding
from inspections.services.findings import finding_set_state
from workshop.estimating.hours import ThreePoint
from workshop.models import Hold, Job, Operation, Treatment
from workshop.models.jobs import HoldKind
from workshop.services.hold_days import findings_of, holds_into_the_book, judged_into_the_book, put_right_by
from workshop.services.proposing import CENT, job_empty, jobs_propose, operation_of
from yard.models import Member, Surface
from yard.refusals import Refused

MOST_UNITS = Decimal(10_000)


@dataclass(frozen=True, slots=True)
class OperationSheet:
    """An operation as a member writes it down.

    Attributes:
        treatment: code of the yard's catalogue.
        finding: id of a finding of the job's inspection; None for work on a whole surface.
        quantity: units of the treatment, over 0 to 10 000.
        hours: low, likely and high [h] for all of it; None takes the catalogue's for the quantity.
        surface: id of a finished surface of the boat, where the whole of it is worked on.
    """

    treatment: str
    finding: UUID | None
    quantity: Decimal
    hours: ThreePoint | None = None
    surface: int | None = None


def job_locked(job: Job, *states: str, doing: str) -> Job:
    """The job, locked until the transaction ends.

    Raises:
        Refused: it is in none of the states; `doing` completes "it can't be …".
    """
    locked = Job.objects.select_for_update(of=("self",), no_key=True).get(pk=job.pk)
    if locked.state not in states:
        wanted = " or ".join(str(Job.State(state).label) for state in states)
        raise Refused(
            "state", f"the job is {locked.get_state_display()}", f"it can be {doing} while it is {wanted}"
        )
    return locked


@transaction.atomic
def job_change(
    *,
    job: Job,
    by: Member,
    at: datetime,
    title: str | None = None,
    opening_up: str | None = None,
    if_left: str | None = None,
    unsafe_to_leave: bool | None = None,
    operations: Sequence[OperationSheet] | None = None,
) -> Job:
    """Change a proposed job. What is None stays. From then on the worker only adds new findings to it.

    Raises:
        Refused: the job is no longer proposed, a text is missing or too long, or an operation can't be.
    """
    job = job_locked(job, Job.State.PROPOSED, doing="changed")
    for field, text, needed, longest in (
        ("title", title, True, 200),
        ("opening_up", opening_up, False, 200),
        ("if_left", if_left, False, 2000),
    ):
        if text is None:
            continue
        if needed and not text.strip():
            raise Refused(field, "is empty", "say in a few words what the job is")
        if len(text) > longest:
            raise Refused(field, f"has {len(text)} characters", f"use {longest} at most")
        setattr(job, field, text.strip())
    if unsafe_to_leave is not None:
        job.unsafe_to_leave = unsafe_to_leave
    if operations is not None:
        operations_replace(job, operations)
    job.edited_by = by
    job.changed_at = at
    job.save()
    return job


@transaction.atomic
def job_drop(*, job: Job, by: Member, at: datetime) -> Job:
    """Take a job off the list. Its findings are not proposed again in this inspection.

    Raises:
        Refused: it is with the decider, agreed, or further.
    """
    job = job_locked(job, Job.State.PROPOSED, Job.State.DECLINED, doing="dropped")
    job.edited_by = by
    job.save(update_fields=["edited_by"])
    job_empty(job, at)
    return job


@transaction.atomic
def hold_add(
    *,
    job: Job,
    kind: str,
    what: str,
    who: Member | None,
    expected_on: date,
    meanwhile: str,
    at: datetime,
) -> Hold:
    """Say what a job waits for, and what holds the boat meanwhile. The job can't start before it is released.

    Raises:
        Refused: an unknown kind, missing words, or a job that is past waiting.
    """
    job = job_locked(job, Job.State.PROPOSED, Job.State.QUOTED, Job.State.APPROVED, Job.State.STOPPED, doing="held")
    return hold_lay(
        job=job,
        kind=kind,
        what=what,
        who=who,
        expected_on=expected_on,
        meanwhile=meanwhile,
        at=at,
        stopped_work=job.state == Job.State.STOPPED,
    )


def hold_lay(
    *,
    job: Job,
    kind: str,
    what: str,
    who: Member | None,
    expected_on: date,
    meanwhile: str,
    at: datetime,
    stopped_work: bool,
) -> Hold:
    """Write a hold on a job that is locked, with the day on which the proper repair is due by judgement.

    Raises:
        Refused: an unknown kind, or missing words.
    """
    if kind not in HoldKind.values:
        raise Refused("kind", f"is {kind!r}", f"give one of: {', '.join(HoldKind.values)}")
    for field, text, longest in (("what", what, 200), ("meanwhile", meanwhile, 300)):
        if not text.strip():
            raise Refused(field, "is empty", "say it in a few words")
        if len(text) > longest:
            raise Refused(field, f"has {len(text)} characters", f"use {longest} at most")
    hold = Hold(
        yard_id=job.yard_id,
        job=job,
        kind=kind,
        what=what.strip(),
        who=who,
        expected_on=expected_on,
        meanwhile=meanwhile.strip(),
        put_right_by=put_right_by(findings_of(job)),
        stopped_work=stopped_work,
        made_at=at,
    )
    hold.save(force_insert=True)
    for finding in findings_of(job):
        if finding.state in (Finding.State.OPEN, Finding.State.WATCHED):
            finding_set_state(finding=finding, state=Finding.State.HELD, at=at)
    holds_into_the_book(jobs=[job], at=at)
    return hold


@transaction.atomic
def hold_release(*, hold: Hold, at: datetime) -> Hold:
    """What was waited for is here. The last one lets the job and its findings go on."""
    job = Job.objects.select_for_update(of=("self",), no_key=True).get(pk=hold.job_id)
    if not Hold.objects.filter(pk=hold.pk, released_at__isnull=True).update(released_at=at):
        raise Refused("hold", "is released already", "there is nothing more to do")
    hold.refresh_from_db()
    if not job.holds.filter(released_at__isnull=True).exists():
        for finding in findings_of(job):
            if finding.state == Finding.State.HELD:
                finding_set_state(finding=finding, state=Finding.State.OPEN, at=at)
        judged_into_the_book(findings_of(job), at=at)
        if job.state == Job.State.STOPPED:
            job.state, job.changed_at = Job.State.IN_WORK, at
            job.save(update_fields=["state", "changed_at"])
    else:
        holds_into_the_book(jobs=[job], at=at)
    return hold


def key_of_its_own(job: Job, beginning: str) -> str:
    """A key for a job made of this one to which no finding leads, so that the worker puts nothing else into it."""
    taken = set(Job.objects.filter(inspection=job.inspection_id).values_list("key", flat=True))
    count = 1
    while f"{beginning}{job.pk}:{count}" in taken:
        count += 1
    return f"{beginning}{job.pk}:{count}"


def operations_replace(job: Job, sheets: Sequence[OperationSheet]) -> None:
    """Give a job these operations in place of those it has. The caller holds the job's row.

    Raises:
        Refused: there is none, one stands there twice, or one can't be.
    """
    if not sheets:
        raise Refused("operations", "there is none", "keep at least one, or drop the job")
    treatments = {treatment.code: treatment for treatment in Treatment.objects.of_yard(job.yard_id)}
    findings = {finding.pk: finding for finding in Finding.objects.filter(inspection=job.inspection_id)}
    surfaces = {surface.pk: surface for surface in Surface.objects.filter(boat=job.boat_id)}
    operations: dict[tuple[str, object], Operation] = {}
    for position, sheet in enumerate(sheets):
        place = f"operations.{position}"
        if sheet.treatment not in treatments:
            raise Refused(f"{place}.treatment", f"{sheet.treatment!r} is not in the catalogue", "add it there")
        on = _worked_on(sheet, place, findings, surfaces)
        if not sheet.quantity.is_finite() or not 0 < sheet.quantity <= MOST_UNITS:
            raise Refused(f"{place}.quantity", f"is {sheet.quantity}", f"give more than 0, at most {MOST_UNITS}")
        if (sheet.treatment, on) in operations:
            raise Refused(place, "stands there twice", "give the whole quantity in one line")
        operation = operation_of(job, treatments[sheet.treatment], on, sheet.quantity.quantize(CENT), position + 1)
        if sheet.hours is not None:
            operation.hours_low = Decimal(str(sheet.hours.low)).quantize(CENT)
            operation.hours_likely = Decimal(str(sheet.hours.likely)).quantize(CENT)
            operation.hours_high = Decimal(str(sheet.hours.high)).quantize(CENT)
        operations[sheet.treatment, on] = operation
    job.operations.all().delete()
    Operation.objects.bulk_create(operations.values())


def _worked_on(
    sheet: OperationSheet, place: str, findings: Mapping[UUID, Finding], surfaces: Mapping[int, Surface]
) -> Finding | Surface:
    if (sheet.finding is None) == (sheet.surface is None):
        raise Refused(f"{place}.finding", "is not one place", "name a finding or a surface, and only one of them")
    if sheet.surface is not None:
        if sheet.surface not in surfaces:
            raise Refused(f"{place}.surface", "is no surface of this boat", "name one of hers")
        return surfaces[sheet.surface]
    found = None if sheet.finding is None else findings.get(sheet.finding)
    if found is None:
        raise Refused(f"{place}.finding", "is no finding of this inspection", "name one of hers")
    return found


__all__ = [
    "OperationSheet",
    "findings_of",
    "hold_add",
    "hold_lay",
    "hold_release",
    "job_change",
    "job_drop",
    "job_locked",
    "jobs_propose",
    "key_of_its_own",
    "operations_replace",
]
