"""Another way to do a job: what is put beside the proper repair, for the decider to choose."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Final

from django.db import transaction

from inspections.models import Inspection
from workshop.models import Job
from workshop.services.jobs import OperationSheet, job_locked, key_of_its_own, operations_replace
from yard.models import Member
from yard.refusals import Refused

LONGEST_MEANS: Final = 2000
LATEST_PROPER_DAYS: Final = 3660


@transaction.atomic
def job_alternative(
    *,
    job: Job,
    by: Member,
    at: datetime,
    title: str,
    operations: Sequence[OperationSheet],
    means: str,
    proper_by: date | None = None,
    opening_up: str = "",
    if_left: str | None = None,
) -> Job:
    """Make another way to serve a proposed job's findings, with other operations.

    It stays as the manager made it: the worker adds nothing to it and proposes nothing anew because of it. Both are
    jobs of their own until they are put into one choice of a quote (`option_group_set`); then their hours and
    prices are never added up.

    Args:
        means: what choosing this way means, in the owner's words.
        proper_by: this way only holds the boat; the day by which the proper repair is due then.
        if_left: what happens if nothing is done; the first job's words where None.

    Raises:
        Refused: the job is not proposed or is another way itself, words are missing or too long, an operation is on
            a finding that the job doesn't serve or can't be, or the day is not ahead.
    """
    Inspection.objects.select_for_update(no_key=True).get(pk=job.inspection_id)
    job = job_locked(job, Job.State.PROPOSED, doing="given another way")
    if job.alternative_to_id is not None:
        raise Refused("job", "is another way itself", "give the first job another way")
    today = at.astimezone(job.yard.zone).date()
    if proper_by is not None and not today < proper_by <= today + timedelta(days=LATEST_PROPER_DAYS):
        raise Refused("proper_by", f"is {proper_by.isoformat()}", "give a day ahead, within ten years")
    served = set(job.operations.values_list("finding_id", flat=True))
    for position, sheet in enumerate(operations):
        if sheet.finding not in served:
            raise Refused(
                f"operations.{position}.finding", "is not served by the job", "name one of the job's findings"
            )
    other = Job(
        yard_id=job.yard_id,
        boat_id=job.boat_id,
        inspection_id=job.inspection_id,
        title=_words("title", title, 200),
        key=key_of_its_own(job, "alternative:"),
        opening_up=opening_up.strip()[:200],
        unsafe_to_leave=job.unsafe_to_leave,
        if_left=job.if_left if if_left is None else if_left.strip()[:LONGEST_MEANS],
        means=_words("means", means, LONGEST_MEANS),
        proper_by=proper_by,
        alternative_to=job,
        created_at=at,
        changed_at=at,
        edited_by=by,
    )
    other.save(force_insert=True)
    operations_replace(other, operations)
    return other


@transaction.atomic
def job_propose_again(*, job: Job, by: Member, at: datetime) -> Job:
    """Put a job that was not chosen back on the list: the repair that is due once what holds her has done its time.

    Raises:
        Refused: it was not left for another way.
    """
    job = job_locked(job, Job.State.NOT_CHOSEN, doing="put back on the list")
    job.state = Job.State.PROPOSED
    job.edited_by = by
    job.changed_at = at
    job.save(update_fields=["state", "edited_by", "changed_at"])
    return job


def _words(field: str, text: str, longest: int) -> str:
    words = text.strip()
    if not words:
        raise Refused(field, "is empty", "say it in a few words")
    if len(words) > longest:
        raise Refused(field, f"has {len(words)} characters", f"use {longest} at most")
    return words


__all__ = ["job_alternative", "job_propose_again"]
