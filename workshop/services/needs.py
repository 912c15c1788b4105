"""Jobs that need each other: coats need the repair under them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from django.db import transaction
from django.utils.translation import gettext

from workshop.models import Job, JobNeed, QuoteLine
from workshop.models.quotes import QuoteState
from workshop.quoting.document import AgreedPart
from yard.models import Boat
from yard.refusals import Refused

# A job in one of these can still be had, or was.
MAY_BE_NEEDED = (Job.State.PROPOSED, Job.State.QUOTED, *Job.AGREED)


@transaction.atomic
def job_needs_set(*, job: Job, needed: Sequence[Job]) -> Job:
    """Say which jobs of the boat a proposed job can't be had without, in place of what was said before.

    Raises:
        Refused: the job is no longer proposed; a needed one is of another boat, is another way of this job, was
            declined, not chosen or dropped; or needs go in a ring, which is one job in several pieces.
    """
    # One at a time on a boat, so that two can't close a ring together.
    Boat.objects.select_for_update(no_key=True).get(pk=job.boat_id)
    held = Job.objects.select_for_update(of=("self",), no_key=True).get(pk=job.pk)
    if held.state != Job.State.PROPOSED:
        raise Refused("state", f"the job is {held.get_state_display()}", "say it while it is proposed")
    pairs: dict[int, set[int]] = {}
    for one, other in JobNeed.objects.filter(job__boat=held.boat_id).exclude(job=held).values_list("job", "needed"):
        pairs.setdefault(one, set()).add(other)
    for other_job in needed:
        _refuse_unfit(held, other_job)
        if _leads_to(other_job.pk, held.pk, pairs):
            raise Refused(
                f"needs.{other_job.pk}", "needs this job itself", "join the two into one job, or drop one need"
            )
    held.needs.all().delete()
    JobNeed.objects.bulk_create(
        JobNeed(yard_id=held.yard_id, job=held, needed_id=pk) for pk in dict.fromkeys(each.pk for each in needed)
    )
    return held


def needs_within(jobs: Iterable[Job]) -> Mapping[int, tuple[int, ...]]:
    """Of some jobs: which of them each one needs."""
    ids = [job.pk for job in jobs]
    found: dict[int, list[int]] = {}
    for one, other in (
        JobNeed.objects.filter(job__in=ids, needed__in=ids).order_by("id").values_list("job", "needed")
    ):
        found.setdefault(one, []).append(other)
    return {pk: tuple(needed) for pk, needed in found.items()}


def needs_outside(jobs: Iterable[Job]) -> Mapping[int, tuple[AgreedPart, ...]]:
    """Of the jobs of a quote: what each needs that stands in other quotes, agreed or still to be decided there.

    Raises:
        Refused: a needed job is in no quote that could be said yes to.
    """
    ids = [job.pk for job in jobs]
    needs = list(
        JobNeed.objects.filter(job__in=ids).exclude(needed__in=ids).select_related("needed").order_by("id")
    )
    lines = (
        QuoteLine.objects.filter(job__in=[need.needed_id for need in needs])
        .exclude(quote__state=QuoteState.DRAFT)
        .select_related("quote")
        .order_by("quote__sent_at", "id")
    )
    numbers = {line.job_id: line.quote.number for line in lines}
    found: dict[int, list[AgreedPart]] = {}
    for need in needs:
        if need.needed.state not in (Job.State.QUOTED, *Job.AGREED):
            raise Refused(
                f"jobs.{need.job_id}.needs",
                f"the job needs {need.needed.title!r}, which is {need.needed.get_state_display()}",
                "put that one into the quote as well, or say that it is not needed",
            )
        if need.needed_id in numbers:
            part = AgreedPart(need.needed.title, numbers[need.needed_id])
            found.setdefault(need.job_id, []).append(part)
    return {pk: tuple(parts) for pk, parts in found.items()}


def refuse_unmet(jobs: Iterable[int], *, quote_id: int) -> None:
    """No yes to a job while something that it needs from another quote has none.

    Raises:
        Refused: with that job and its quote in words.
    """
    rows = JobNeed.objects.filter(job__in=list(jobs)).exclude(needed__quote_lines__quote=quote_id)
    for need in rows.select_related("job", "needed").order_by("id"):
        if need.needed.state in Job.AGREED:
            continue
        line = need.needed.quote_lines.filter(quote__state=QuoteState.SENT).select_related("quote").first()
        if line is not None:
            remedy = gettext("approve that one first, in quote {number}").format(number=line.quote.number)
        else:
            remedy = gettext("ask the yard for a quote that has both")
        problem = gettext("{names} can't be done without {job}").format(
            names=repr(need.job.title), job=repr(need.needed.title)
        )
        raise Refused("needs", problem, remedy)


def _refuse_unfit(job: Job, needed: Job) -> None:
    place = f"needs.{needed.pk}"
    if needed.pk == job.pk:
        raise Refused(place, "is the job itself", "name another one")
    if needed.boat_id != job.boat_id:
        raise Refused(place, "is a job on another boat", "name a job on this boat")
    if needed.pk == job.alternative_to_id or needed.alternative_to_id == job.pk:
        raise Refused(place, "is another way of the same job", "only one of the two can be had")
    if needed.state not in MAY_BE_NEEDED:
        raise Refused(place, f"is {needed.get_state_display()}", "name a job that can still be had")


def _leads_to(begin: int, end: int, needs: Mapping[int, Iterable[int]]) -> bool:
    seen: set[int] = set()
    ahead = [begin]
    while ahead:
        each = ahead.pop()
        if each == end:
            return True
        if each not in seen:
            seen.add(each)
            ahead.extend(needs.get(each, ()))
    return False


__all__ = ["job_needs_set", "needs_outside", "needs_within", "refuse_unmet"]
