"""Splitting a proposed job in two, and joining several into one, as the manager sees fit."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from inspections.models import Finding, Inspection
from inspections.services.findings import finding_set_state
from workshop.models import Hold, Job, JobNeed, Operation, Quote, QuoteLine
from workshop.models.jobs import PARTED_KEY
from workshop.services.hold_days import findings_of, holds_into_the_book, put_right_by
from workshop.services.job_telling import job_describe, job_told, typed_on
from workshop.services.jobs import hold_lay, key_of_its_own
from workshop.services.prices import operations_of
from workshop.services.proposing import cut, job_empty
from workshop.services.quote_lines import lines_write
from yard.models import Boat, Member
from yard.refusals import Refused

HOLD = ("kind", "what", "who_id", "expected_on", "meanwhile")
TO_BE_CHOSEN = (Job.State.PROPOSED, Job.State.QUOTED)


@transaction.atomic
def job_split(*, job: Job, findings: Sequence[UUID], by: Member, at: datetime) -> Job:
    """Take the work on some findings out of a proposed job into a new one, described anew.

    What a member has typed on the job stays there. What the job waits for, both wait for. A draft quote that asks
    for the job asks for both.

    Args:
        findings: ids of findings that the job serves.

    Returns:
        The new job.

    Raises:
        Refused: the job is not proposed or is tied to others, no finding is named or one that it doesn't serve, or
            nothing would be left in it.
    """
    draft = _inspection_locked(job.inspection_id, job.boat_id)
    (held,) = _jobs_locked([job])
    _refuse_tied([held], draft, doing="split")
    before = operations_of([held])[held.pk]
    moved = set(findings)
    if not moved:
        raise Refused("findings", "there is none", "name the findings to be done as a job of their own")
    for position, finding in enumerate(findings):
        if finding not in {operation.finding_id for operation in before}:
            raise Refused(f"findings.{position}", "is not served by the job", "name one of the job's findings")
    stay = [operation for operation in before if operation.finding_id not in moved]
    if not stay:
        raise Refused("findings", "are all that the job serves", "leave at least one in it")
    told = job_told(held, before)
    new = Job(
        yard_id=held.yard_id,
        boat_id=held.boat_id,
        inspection_id=held.inspection_id,
        key=key_of_its_own(held, PARTED_KEY),
        title=held.title,
        opening_up=held.opening_up,
        if_left=held.if_left,
        worked_in=held.worked_in,
        unsafe_to_leave=held.unsafe_to_leave,
        created_at=at,
        changed_at=at,
        edited_by=by,
    )
    new.save(force_insert=True)
    Operation.objects.filter(job=held, finding__in=moved).update(job=new)
    _number(new)
    # what a member has typed or ticked is about the whole
    typed = typed_on(held, told)
    job_describe(held, job_told(held, stay), keep=typed)
    job_describe(new, job_told(new, operations_of([new])[new.pk]), keep=typed & {"unsafe_to_leave"})
    new.save()
    _touch(held, by, at)
    _wait_alike(new, [held], at)
    _held_anew(held, at)
    if draft is not None and draft.lines.filter(job=held).exists():
        in_it = _in_draft(draft)
        in_it.insert(1 + in_it.index(held), new)
        lines_write(draft, in_it, at=at)
    return new


@transaction.atomic
def jobs_join(*, jobs: Sequence[Job], by: Member, at: datetime) -> Job:
    """Join proposed jobs of one inspection into the first of them, which is described anew.

    The same operation on the same place is done once, by the larger of the two. The others are dropped, with their
    operations to be read. What one waits for, the whole waits for. A draft quote that asks for one of them asks
    for the whole.

    Raises:
        Refused: there are fewer than two, one is not proposed, of another inspection or tied to others.
    """
    if len({job.pk for job in jobs}) < 2 or len({job.pk for job in jobs}) != len(jobs):
        raise Refused("jobs", "are not two or more different ones", "name at least two jobs, each once")
    for job in jobs:
        if job.inspection_id != jobs[0].inspection_id:
            raise Refused(f"jobs.{job.pk}", "is of another inspection", "join jobs of one boat and season")
    draft = _inspection_locked(jobs[0].inspection_id, jobs[0].boat_id)
    locked = {job.pk: job for job in _jobs_locked(jobs)}
    first, *others = [locked[job.pk] for job in jobs]
    _refuse_tied([first, *others], draft, doing="joined")
    rows = operations_of([first, *others])
    largest = {_work(operation): operation for operation in rows[first.pk]}
    for operation in (operation for other in others for operation in rows[other.pk]):
        there = largest.get(_work(operation))
        if there is None:
            largest[_work(operation)] = operation
        elif _size(operation) > _size(there):
            there.quantity = operation.quantity
            there.hours_low, there.hours_likely = operation.hours_low, operation.hours_likely
            there.hours_high = operation.hours_high
            there.save()
    for operation in largest.values():
        if operation.job_id != first.pk:
            operation.pk, operation.job = None, first
            operation.save(force_insert=True)
    _number(first)
    unsafe = any(job.unsafe_to_leave for job in (first, *others))
    told = job_told(first, operations_of([first])[first.pk])
    if told is None:
        _describe_in_turn(first, others)
    else:
        job_describe(first, told)
    first.unsafe_to_leave = unsafe
    _touch(first, by, at)
    _wait_alike(first, others, at)
    Hold.objects.filter(job__in=others, released_at__isnull=True).update(released_at=at)
    _held_anew(first, at)
    if draft is not None:
        emptied = {other.pk for other in others}
        in_it = [first if each.pk in emptied else each for each in _in_draft(draft)]
        if first in in_it:
            lines_write(draft, list(dict.fromkeys(in_it)), at=at)
    for other in others:
        other.edited_by = by
        other.save(update_fields=["edited_by"])
        job_empty(other, at)
    return first


def _inspection_locked(inspection: int, boat: int) -> Quote | None:
    """Keep the worker, and whoever says what needs what, away meanwhile; with the draft that jobs may stand in."""
    Boat.objects.select_for_update(no_key=True).get(pk=boat)
    Inspection.objects.select_for_update(no_key=True).get(pk=inspection)
    draft: Quote | None = (
        Quote.objects.select_for_update(of=("self",), no_key=True)
        .select_related("yard", "boat", "inspection", "adds_to")
        .filter(inspection=inspection, state=Quote.State.DRAFT)
        .first()
    )
    return draft


def _jobs_locked(jobs: Sequence[Job]) -> list[Job]:
    """The jobs in the order of their ids, each proposed still."""
    locked = list(
        Job.objects.select_for_update(of=("self",), no_key=True)
        .filter(pk__in=[job.pk for job in jobs])
        .order_by("id")
    )
    for job in locked:
        if job.state != Job.State.PROPOSED:
            raise Refused(
                f"jobs.{job.pk}",
                f"is {job.get_state_display()}",
                "only proposed jobs are split or joined; look at the list as it is now",
            )
    return locked


def _refuse_tied(jobs: Sequence[Job], draft: Quote | None, *, doing: str) -> None:
    """A job that others hang on stays whole: the decider's yes to it would mean something else."""
    for job in jobs:
        place, other_way = f"jobs.{job.pk}", job.alternatives.filter(state__in=TO_BE_CHOSEN).exists()
        if job.alternative_to_id is not None or other_way:
            raise Refused(place, f"is one way of several and can't be {doing}", "drop the other way first")
        if job.extends_id is not None:
            raise Refused(place, f"is more work on an agreed job and can't be {doing}", "change its operations")
        if JobNeed.objects.filter(Q(job=job) | Q(needed=job)).exists():
            raise Refused(
                place,
                f"needs another job or is needed by one, and can't be {doing}",
                "take the need away first; say anew afterwards what needs what",
            )
    for line in QuoteLine.objects.filter(job__in=jobs, quote__state=Quote.State.DRAFT).select_related("quote"):
        if draft is None or line.quote_id != draft.pk:
            raise Refused(
                f"jobs.{line.job_id}",
                f"was just put into quote {line.quote.number}",
                "look at it, then do it again",
            )
        if line.option_group_id is not None:
            raise Refused(
                f"jobs.{line.job_id}",
                f"stands in a choice of quote {draft.number} and can't be {doing}",
                "dissolve the choice first",
            )


def _work(operation: Operation) -> tuple[int, str]:
    return operation.treatment_id, operation.place_key


def _size(operation: Operation) -> tuple[object, ...]:
    return operation.hours_likely, operation.quantity


def _number(job: Job) -> None:
    """Operations in the order in which their places were found, as the worker has them; surfaces come last."""

    def turn(operation: Operation) -> tuple[bool, datetime, str]:
        found = operation.finding
        return (True, job.created_at, "") if found is None else (False, found.found_at, str(found.pk))

    ordered = sorted(job.operations.select_related("finding").order_by("position", "id"), key=turn)
    for position, operation in enumerate(ordered, start=1):
        operation.position = position
    Operation.objects.bulk_update(ordered, ["position"])


def _describe_in_turn(first: Job, others: Sequence[Job]) -> None:
    """Where a whole surface is among the work, the texts of all the jobs in turn, each once."""
    jobs = (first, *others)
    first.title = cut("; ".join(dict.fromkeys(job.title for job in jobs)), 200)
    first.opening_up = cut("; ".join(dict.fromkeys(job.opening_up for job in jobs if job.opening_up)), 200)
    first.if_left = cut(" ".join(dict.fromkeys(job.if_left for job in jobs if job.if_left)), 2000)


def _touch(job: Job, by: Member, at: datetime) -> None:
    job.edited_by, job.changed_at = by, at
    job.save()


def _wait_alike(into: Job, others: Sequence[Job], at: datetime) -> None:
    """Let a job wait for all that others wait for, and for each thing once."""
    known = set(into.holds.filter(released_at__isnull=True).values_list(*HOLD))
    for hold in Hold.objects.filter(job__in=others, released_at__isnull=True).select_related("who").order_by("id"):
        what = tuple(getattr(hold, name) for name in HOLD)
        if what not in known:
            known.add(what)
            hold_lay(
                job=into,
                kind=hold.kind,
                what=hold.what,
                who=hold.who,
                expected_on=hold.expected_on,
                meanwhile=hold.meanwhile,
                at=at,
                stopped_work=False,
            )


def _held_anew(job: Job, at: datetime) -> None:
    """What a job waits for holds the findings that it serves now, by the day that these allow."""
    waiting = job.holds.filter(released_at__isnull=True)
    if not waiting.exists():
        return
    waiting.update(put_right_by=put_right_by(findings_of(job)))
    for finding in findings_of(job):
        if finding.state in (Finding.State.OPEN, Finding.State.WATCHED):
            finding_set_state(finding=finding, state=Finding.State.HELD, at=at)
    holds_into_the_book(jobs=[job], at=at)


def _in_draft(draft: Quote) -> list[Job]:
    return [line.job for line in draft.lines.select_related("job").order_by("position")]


__all__ = ["job_split", "jobs_join"]
