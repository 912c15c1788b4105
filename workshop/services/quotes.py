"""A quote from draft to its end. Each step is one guarded change, so that it can't be taken twice.

draft ──send──► sent ──the last yes or no──► decided
  │              ├──its last day passes────► lapsed
  └──withdraw──► └──supersede, withdraw────► superseded
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db import IntegrityError, transaction
from django.db.models import Max

from inspections.models import Finding, Inspection
from inspections.services.acknowledging import findings_acknowledge
from workshop.canonical import canonical_bytes, digest_of
from workshop.models import Decision, Job, OwnerLink, Quote, QuoteLine
from workshop.models.quotes import Verdict
from workshop.quoting.document import QuoteDocument, document_read
from workshop.services.links import link_create, report_ask
from workshop.services.option_groups import groups_carry_over
from workshop.services.quote_content import quote_content
from workshop.services.quote_lines import jobs_locked, lines_write, lines_write_again
from workshop.services.reminder_times import reminder_ask
from yard.models import Boat, Member, Owner, Yard
from yard.refusals import Refused

LONGEST_VALIDITY_DAYS = 365


@dataclass(frozen=True, slots=True)
class Prepared:
    """A quote as it would go out now, and the digest that names it."""

    document: QuoteDocument
    digest: str


@transaction.atomic
def quote_draft(
    *,
    inspection: Inspection,
    jobs: Sequence[Job],
    by: Member | None,
    at: datetime,
    valid_until: date | None = None,
    adds_to: Quote | None = None,
    replaces: Quote | None = None,
) -> Quote:
    """Draw up a quote of some proposed jobs, in this order.

    Args:
        adds_to: the agreed quote that this one is an addendum to; see `addendum_draft`.
        replaces: the quote that was taken back for this one; see `quote_supersede`.

    Raises:
        Refused: there is a draft already, or a job is of another inspection, not proposed, or can't be priced.
    """
    # The yard's row stands for its numbers: one quote at a time gets the next one.
    yard = Yard.objects.select_for_update(no_key=True).get(pk=inspection.yard_id)
    number = 1 + (Quote.objects.of_yard(yard).aggregate(last=Max("number"))["last"] or 0)
    today = at.astimezone(yard.zone).date()
    quote = Quote(
        yard=yard,
        boat_id=inspection.boat_id,
        inspection=inspection,
        number=number,
        currency=yard.currency,
        valid_until=_validity(valid_until or today + timedelta(days=yard.quote_valid_days), today),
        created_at=at,
        created_by=by,
        adds_to=adds_to,
        replaces=replaces,
    )
    try:
        with transaction.atomic():
            quote.save(force_insert=True)
    except IntegrityError as error:
        raise Refused(
            "inspection", "has a draft already", "change that one, send it or withdraw it first"
        ) from error
    lines_write(quote, jobs, at)
    if by is not None:
        served = Finding.objects.filter(operations__job__in=[job.pk for job in jobs]).distinct()
        findings_acknowledge(findings=served, by=by, at=at)
    return quote


@transaction.atomic
def quote_change(
    *, quote: Quote, at: datetime, jobs: Sequence[Job] | None = None, valid_until: date | None = None
) -> Quote:
    """Change the jobs or the last day of a draft. What is None stays.

    Raises:
        Refused: the quote is no draft any more, or as for `quote_draft`.
    """
    quote = quote_locked(quote, Quote.State.DRAFT, doing="changed")
    if valid_until is not None:
        quote.valid_until = _validity(valid_until, at.astimezone(quote.yard.zone).date())
        quote.save(update_fields=["valid_until"])
    if jobs is not None:
        lines_write(quote, jobs, at)
    return quote


def quote_prepare(*, quote: Quote, at: datetime) -> Prepared:
    """What would go out if the draft were sent now. Give its digest to `quote_send`, and nothing else can go out.

    Raises:
        Refused: as for `quote_content`.
    """
    document = quote_content(quote, at=at)
    return Prepared(document, digest_of(document.as_document()))


@transaction.atomic
def quote_send(*, quote: Quote, by: Member | None, at: datetime, seen_digest: str = "") -> Quote:
    """Freeze a draft and put it to the boat's decider: content, digest, prices, link, and the report to be made.

    Args:
        quote: a draft.
        by: who sends it.
        at: now.
        seen_digest: of what the sender looked over; where it is given, nothing else is sent.

    Raises:
        Refused: it was sent already, its last day is past, a job is no longer proposed, a finding is not judged
            yet, the decider has no address, or it is not what the sender has seen.
    """
    quote = quote_locked(quote, Quote.State.DRAFT, doing="sent")
    _validity(quote.valid_until, at.astimezone(quote.yard.zone).date())
    _refuse_without_address(quote.boat)
    jobs = jobs_locked([line.job for line in quote.lines.select_related("job")])
    lines_write_again(quote, at)
    prepared = quote_prepare(quote=quote, at=at)
    if seen_digest and seen_digest != prepared.digest:
        raise Refused(
            "seen_digest", "the quote has changed since you looked it over", "look it over again, then send"
        )
    quote.lines.update(frozen_at=at)
    quote.content = canonical_bytes(prepared.document.as_document()).decode()
    quote.digest = prepared.digest
    quote.state = Quote.State.SENT
    quote.sent_at = at
    quote.sent_by = by
    quote.save()
    Job.objects.filter(pk__in=[job.pk for job in jobs]).update(state=Job.State.QUOTED, changed_at=at)
    link = link_create(quote=quote, at=at)
    report_ask(quote=quote, link=link, at=at)
    reminder_ask(quote=quote, at=at)
    return quote


@transaction.atomic
def quote_withdraw(*, quote: Quote, at: datetime) -> Quote:
    """Take a quote back. What was decided stays decided; jobs without a yes or no are proposed again.

    Raises:
        Refused: it has ended already.
    """
    quote = quote_locked(quote, Quote.State.DRAFT, Quote.State.SENT, doing="withdrawn")
    return _end(quote, Quote.State.SUPERSEDED, at)


@transaction.atomic
def quote_supersede(*, quote: Quote, by: Member | None, at: datetime) -> Quote:
    """Take a sent quote back and draw up a new one with the jobs that were not decided yet, choices kept.

    Returns:
        The new draft.

    Raises:
        Refused: it is not with the decider, or every job in it is decided.
    """
    quote = quote_locked(quote, Quote.State.SENT, doing="superseded")
    undecided = _undecided_jobs(quote)
    _end(quote, Quote.State.SUPERSEDED, at)
    draft = quote_draft(
        inspection=quote.inspection, jobs=undecided, by=by, at=at, adds_to=quote.adds_to, replaces=quote
    )
    groups_carry_over(quote, draft)
    return draft


def quotes_lapse(*, yard: Yard, at: datetime) -> list[Quote]:
    """End the sent quotes of a yard whose last day is past, each by itself. Doing it again does nothing."""
    today = at.astimezone(yard.zone).date()
    late = Quote.objects.of_yard(yard).filter(state=Quote.State.SENT, valid_until__lt=today).order_by("id")
    lapsed = []
    for quote in late:
        with transaction.atomic():
            locked = Quote.objects.select_for_update(of=("self",), no_key=True).get(pk=quote.pk)
            # Decided or withdrawn in the meantime: that holds.
            if locked.state == Quote.State.SENT:
                lapsed.append(_end(locked, Quote.State.LAPSED, at))
    return lapsed


def quote_document(quote: Quote) -> QuoteDocument:
    """What a sent quote says.

    Raises:
        Refused: it was never sent.
    """
    if not quote.content:
        raise Refused("quote", "was never sent", "look a draft over with `quote_prepare`")
    return document_read(quote.content)


def quote_locked(quote: Quote, *states: str, doing: str) -> Quote:
    """The quote, locked until the transaction ends.

    Raises:
        Refused: it is in none of the states; `doing` completes "it can be …".
    """
    locked = (
        Quote.objects.select_for_update(of=("self",), no_key=True)
        .select_related("yard", "boat", "inspection", "adds_to")
        .get(pk=quote.pk)
    )
    if locked.state not in states:
        wanted = " or ".join(str(Quote.State(state).label) for state in states)
        remedy = f"it can be {doing} while it is {wanted}"
        raise Refused("state", f"the quote is {locked.get_state_display()}", remedy)
    return locked


def quote_finish(quote: Quote, at: datetime) -> None:
    """End a quote as decided. For `decisions`, with the quote locked and its last job decided."""
    _end(quote, Quote.State.DECIDED, at)


def undecided_lines(quote: Quote) -> list[QuoteLine]:
    """The lines that have neither yes nor no, in their order."""
    decided = Decision.objects.filter(line__quote=quote).exclude(verdict=Verdict.ASK).values("line")
    return list(quote.lines.exclude(pk__in=decided).select_related("job").order_by("position"))


def _end(quote: Quote, state: str, at: datetime) -> Quote:
    undecided = _undecided_jobs(quote)
    Job.objects.filter(pk__in=[job.pk for job in undecided], state=Job.State.QUOTED).update(
        state=Job.State.PROPOSED, changed_at=at
    )
    if state == Quote.State.SUPERSEDED:
        OwnerLink.objects.filter(quote=quote, revoked_at__isnull=True).update(revoked_at=at)
    quote.state = state
    quote.ended_at = at
    quote.save(update_fields=["state", "ended_at"])
    return quote


def _undecided_jobs(quote: Quote) -> list[Job]:
    return [line.job for line in undecided_lines(quote)]


def _validity(last_day: date, today: date) -> date:
    if not today <= last_day <= today + timedelta(days=LONGEST_VALIDITY_DAYS):
        raise Refused(
            "valid_until",
            f"is {last_day.isoformat()}",
            f"give a day from {today.isoformat()} to {LONGEST_VALIDITY_DAYS} days later",
        )
    return last_day


def decider_address(decider: Owner | Member) -> str:
    """Where the decider gets mail; empty where a member has no address."""
    return decider.email if isinstance(decider, Owner) else decider.user.email


def _refuse_without_address(boat: Boat) -> None:
    if not decider_address(boat.decider):
        raise Refused("decider", f"{boat.decider} has no mail address", "enter one, then send the quote")


__all__ = [
    "Prepared",
    "decider_address",
    "quote_change",
    "quote_document",
    "quote_draft",
    "quote_finish",
    "quote_locked",
    "quote_prepare",
    "quote_send",
    "quote_supersede",
    "quote_withdraw",
    "quotes_lapse",
    "undecided_lines",
]
