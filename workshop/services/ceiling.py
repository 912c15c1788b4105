"""The hours that a decider agreed to, what was booked against them, and when the yard has to ask again.

The quote says "about 6½ h; we ask again before 9 h". What stands between the two is the yard's to use without
asking; that it was used is recorded. Past it the work needs a yes of its own, by an addendum to the quote.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Final

from django.db import transaction

from workshop.models import Decision, ExtraWork, Job, Quote, WorkLog
from workshop.models.quotes import Verdict
from workshop.services.jobs import OperationSheet, job_locked, operations_replace
from workshop.services.prices import operations_of, price_list_of, price_of
from workshop.services.proposing import cut
from workshop.services.quotes import quote_draft
from yard.models import Member
from yard.refusals import Refused

# Time to ask again while there still is some left: a tenth of what was agreed, half an hour at least. Common
# practice, no source.
ASK_SHARE: Final = Decimal("0.1")
ASK_LEAST_HOURS: Final = Decimal("0.5")
LONGEST_WHAT: Final = 300


@dataclass(frozen=True, slots=True)
class Agreed:
    """What stands agreed on a job and what became of it, hours [h].

    Attributes:
        likely, ceiling: of the job and of all approved more work on it.
        booked: on all of these.
        noted: extra work that the ceiling had room for.
        quote: number of the quote that agreed the job.
    """

    likely: Decimal
    ceiling: Decimal
    booked: Decimal
    noted: Decimal
    quote: int

    @property
    def expected(self) -> Decimal:
        """What it will come to as far as is known."""
        return max(self.booked, self.likely + self.noted)

    @property
    def left(self) -> Decimal:
        """Until the ceiling; negative past it."""
        return self.ceiling - self.booked

    @property
    def ask_again(self) -> bool:
        """Whether so much is booked that the decider has to be asked now."""
        return self.booked > 0 and self.left <= max(ASK_LEAST_HOURS, self.ceiling * ASK_SHARE)


def agreed_on(jobs: Iterable[Job]) -> Mapping[int, Agreed]:
    """What stands agreed, by the job's id, in four queries. Jobs that nobody said yes to are not in it."""
    roots = {job.pk: job.extends_id or job.pk for job in jobs}
    more = dict(Job.objects.filter(extends__in=set(roots.values())).values_list("pk", "extends_id"))
    root_of = {root: root for root in roots.values()} | more
    likely: dict[int, Decimal] = {}
    ceiling: dict[int, Decimal] = {}
    booked: dict[int, Decimal] = {}
    noted: dict[int, Decimal] = {}
    quotes: dict[int, int] = {}
    words = Decision.objects.filter(verdict=Verdict.APPROVE, line__job__in=root_of).select_related("line__quote")
    for word in words:
        line, root = word.line, root_of[word.line.job_id]
        likely[root] = likely.get(root, Decimal(0)) + line.hours_likely
        ceiling[root] = ceiling.get(root, Decimal(0)) + line.hours_ceiling
        if line.job_id == root:
            quotes[root] = line.quote.number
    for job_id, hours in WorkLog.objects.filter(job__in=root_of).values_list("job_id", "hours"):
        booked[root_of[job_id]] = booked.get(root_of[job_id], Decimal(0)) + hours
    for job_id, hours in ExtraWork.objects.filter(job__in=root_of, more=None).values_list("job_id", "hours_likely"):
        noted[root_of[job_id]] = noted.get(root_of[job_id], Decimal(0)) + hours
    none = Decimal(0)
    return {
        pk: Agreed(likely[root], ceiling[root], booked.get(root, none), noted.get(root, none), quotes[root])
        for pk, root in roots.items()
        if root in quotes
    }


def ceiling_reason(job: Job, hours: Decimal, reason: str) -> str:
    """What goes with a booking that passes the agreed ceiling: why it was passed. Empty where it does not.

    Hours that were worked are booked as they were, or the log would lie; but whoever passes the ceiling says why,
    and what was not agreed stays visible as such. The caller holds the job's row.

    Raises:
        Refused: the ceiling is passed without a reason.
    """
    if job.extends_id is not None:
        Job.objects.select_for_update(of=("self",), no_key=True).get(pk=job.extends_id)
    agreed = agreed_on([job]).get(job.pk)
    if agreed is None or hours <= 0 or agreed.booked + hours <= agreed.ceiling:
        return ""
    words = reason.strip()
    if not words:
        raise Refused(
            "past_ceiling",
            f"this makes {agreed.booked + hours} h, and {agreed.ceiling} h were agreed in quote {agreed.quote}",
            "have an addendum agreed first, or say why it was passed",
        )
    return cut(words, LONGEST_WHAT)


@transaction.atomic
def extra_work(*, job: Job, by: Member, at: datetime, what: str, operations: Sequence[OperationSheet]) -> ExtraWork:
    """Take down extra work that was found on an agreed job.

    Where the agreed ceiling has room for it the yard goes on, and this says so. Where it has none, a proposed job
    is made of it (`more`), for an addendum to the quote: it needs a yes of its own.

    Args:
        what: in the words in which the decider would read it.
        operations: what is to be done; on findings of the job's inspection.

    Raises:
        Refused: the job is not agreed or is done, there are no words, or an operation can't be.
    """
    job = job_locked(job, Job.State.APPROVED, Job.State.IN_WORK, doing="added to")
    if by.yard_id != job.yard_id:
        raise Refused("member", f"{by} is not of this yard", "name a member of the yard")
    root = job
    if job.extends_id is not None:
        root = Job.objects.select_for_update(of=("self",), no_key=True).get(pk=job.extends_id)
    words = what.strip()
    if not words or len(words) > LONGEST_WHAT:
        raise Refused("what", f"has {len(words)} characters", f"say it in 1 to {LONGEST_WHAT}")
    agreed = agreed_on([root]).get(root.pk)
    if agreed is None:
        raise Refused("job", "was agreed in no quote", "quote it first")
    trial = transaction.savepoint()
    more = _more(root, words, by, at)
    operations_replace(more, operations)
    price = price_of(
        more, operations_of([more])[more.pk], price_list_of(job.yard, on_date=at.astimezone(job.yard.zone).date())
    )
    within = agreed.expected + price.hours_likely <= agreed.ceiling
    if within:  # nothing to be asked for: the job is not made
        transaction.savepoint_rollback(trial)
    else:
        transaction.savepoint_commit(trial)
    found = ExtraWork(
        yard_id=job.yard_id,
        job=root,
        what=words,
        hours_likely=price.hours_likely,
        hours_before=agreed.expected,
        hours_ceiling=agreed.ceiling,
        more=None if within else more,
        by=by,
        found_at=at,
    )
    found.save(force_insert=True)
    return found


@transaction.atomic
def addendum_draft(
    *, quote: Quote, jobs: Sequence[Job], by: Member | None, at: datetime, valid_until: date | None = None
) -> Quote:
    """Draw up an addendum: a quote of its own, with digest, mail and link of its own, that names what it adds to.

    Args:
        quote: an agreed quote of the same inspection.
        jobs: more work on its jobs, or other jobs found since.

    Raises:
        Refused: nothing was approved in the quote, or as for `quote_draft`.
    """
    if not Decision.objects.filter(line__quote=quote, verdict=Verdict.APPROVE).exists():
        raise Refused("quote", "has nothing that was approved", "draw up a quote of its own, or wait for the yes")
    return quote_draft(inspection=quote.inspection, jobs=jobs, by=by, at=at, valid_until=valid_until, adds_to=quote)


def _more(root: Job, what: str, by: Member, at: datetime) -> Job:
    count = Job.objects.filter(extends=root).count()
    more = Job(
        yard_id=root.yard_id,
        boat_id=root.boat_id,
        inspection_id=root.inspection_id,
        title=cut(what, 200),
        key=f"extra:{root.pk}:{count + 1}",
        unsafe_to_leave=root.unsafe_to_leave,
        if_left=root.if_left,
        extends=root,
        created_at=at,
        changed_at=at,
        edited_by=by,
    )
    more.save(force_insert=True)
    return more


__all__ = ["Agreed", "addendum_draft", "agreed_on", "ceiling_reason", "extra_work"]
