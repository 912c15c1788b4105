"""What became of a quote, in the order in which it happened: drawn up, mailed, opened, asked, answered, decided.

What was asked and answered is told by the threads of the jobs; here stands when.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.db.models import Q

from workshop.models import Decision, LinkOpening, OwnerLink, Quote, Reply
from workshop.models.quotes import Verdict
from workshop.quoting.document import heading_read
from yard.models import Mail
from yard.vocabulary import Labelled

ENDS: Final = {
    Quote.State.DECIDED: "Every job is decided",
    Quote.State.LAPSED: "The last day passed without every answer",
    Quote.State.SUPERSEDED: "Taken back",
}
VERDICTS: Final = {
    Verdict.APPROVE: "approved",
    Verdict.DECLINE: "declined",
    Verdict.NOT_CHOSEN: "did not choose",
}
DELIVERY: Final = {
    Mail.State.WAITING: "not out yet",
    Mail.State.SENT: "handed to the mail server",
    Mail.State.REFUSED: "refused by the mail server",
}


class Happened(Labelled):
    """What kind of thing happened to a quote."""

    DRAWN_UP = "drawn_up", "drawn up"
    SENT = "sent", "put to the decider"
    ADDENDUM = "addendum", "an addendum was drawn up"
    ENDED = "ended", "decided, lapsed or taken back"
    ASKED = "asked", "the decider asked"
    DECIDED = "decided", "the decider's word on a job"
    ANSWERED = "answered", "the yard answered"
    MAILED = "mailed", "a mail was written"
    LINK_MADE = "link_made", "a new link was made"
    LINK_SHUT = "link_shut", "the link was shut"
    OPENED = "opened", "the page was opened"


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened, in words, and what else is to be told of it. `last_at` ends a run of the same."""

    kind: Happened
    at: datetime
    what: str
    told: str = ""
    last_at: datetime | None = None


def quote_history(quote: Quote) -> tuple[Event, ...]:
    """Everything, the oldest first, in a fixed number of queries."""
    replies = list(
        Reply.objects.filter(line__quote=quote).select_related("line__job", "member__user").order_by("written_at")
    )
    events = [
        *_steps(quote),
        *_words(quote, replies),
        *_mails(quote, replies),
        *_links(quote),
        *_openings(quote),
    ]
    # what happens in one moment stands in the order above: it is sent before its mail is written
    return tuple(sorted(events, key=lambda event: event.at))


def _steps(quote: Quote) -> Iterable[Event]:
    instead = f" in place of quote {quote.replaces.number}" if quote.replaces is not None else ""
    yield Event(Happened.DRAWN_UP, quote.created_at, f"Drawn up{instead}{_by(quote.created_by)}")
    if quote.sent_at is not None:
        decider = heading_read(quote.content).decider.name
        yield Event(Happened.SENT, quote.sent_at, f"Put to {decider}{_by(quote.sent_by)}")
    for addendum in quote.addenda.order_by("number"):
        yield Event(Happened.ADDENDUM, addendum.created_at, f"Addendum drawn up: quote {addendum.number}")
    if quote.ended_at is not None:
        after = f"; quote {quote.successor.number} takes its place" if quote.successor is not None else ""
        yield Event(Happened.ENDED, quote.ended_at, ENDS[Quote.State(quote.state)] + after)


def _words(quote: Quote, replies: Iterable[Reply]) -> Iterable[Event]:
    rows = Decision.objects.filter(line__quote=quote).select_related("line__job", "owner", "member__user")
    for word in rows.order_by("decided_at", "pk"):
        who = str(word.owner or word.member)
        title = word.line.job.title
        if word.verdict == Verdict.ASK:
            yield Event(Happened.ASKED, word.decided_at, f"{who} asked about “{title}”")
        else:
            along = "along with another job" if word.because_id is not None else ""
            yield Event(
                Happened.DECIDED, word.decided_at, f"{who} {VERDICTS[Verdict(word.verdict)]} “{title}”", along
            )
    for reply in replies:
        told = f"{reply.member} answered about “{reply.line.job.title}”"
        yield Event(Happened.ANSWERED, reply.written_at, told)


def _mails(quote: Quote, replies: Iterable[Reply]) -> Iterable[Event]:
    """What was mailed about it; each kind is known by the key that it was written under."""
    answers = [f"reply:{reply.pk}" for reply in replies]
    wanted = (
        Q(key__startswith=f"quote:{quote.pk}:")
        | Q(key__in=[f"reminder:{quote.pk}", f"receipt:{quote.pk}", *answers])
        | Q(key__startswith=f"reminder:{quote.pk}:")
    )
    kinds = {"quote": "Quote", "reminder": "Reminder", "receipt": "Receipt", "reply": "Answer"}
    for mail in Mail.objects.of_yard(quote.yard_id).filter(wanted).defer("text", "html").order_by("created_at"):
        kind = kinds[mail.key.partition(":")[0]]
        by_clock = mail.key == f"reminder:{quote.pk}"
        how = DELIVERY[Mail.State(mail.state)] + (f": {mail.refusal}" if mail.refusal else "")
        what = f"{kind} mailed to {mail.to_address}{', by the clock' if by_clock else ''}"
        yield Event(Happened.MAILED, mail.created_at, what, how)


def _links(quote: Quote) -> Iterable[Event]:
    links = list(OwnerLink.objects.filter(quote=quote).order_by("created_at"))
    for link in links[1:]:
        yield Event(Happened.LINK_MADE, link.created_at, "A new link was made")
    for link in links:
        if link.revoked_at is not None:
            yield Event(Happened.LINK_SHUT, link.revoked_at, "The link was shut")


def _openings(quote: Quote) -> Iterable[Event]:
    """Each opening; those of one quarter of an hour and one reader are told as one."""
    run: list[LinkOpening] = []
    for opening in LinkOpening.objects.filter(link__quote=quote).order_by("opened_at", "pk"):
        if run and not _same_sitting(run[-1], opening):
            yield _sitting(run)
            run = []
        run.append(opening)
    if run:
        yield _sitting(run)


def _same_sitting(before: LinkOpening, after: LinkOpening) -> bool:
    reader = (before.from_address, before.user_agent) == (after.from_address, after.user_agent)
    return reader and (after.opened_at - before.opened_at).total_seconds() <= 15 * 60


def _sitting(run: list[LinkOpening]) -> Event:
    first, last = run[0], run[-1]
    times = f" {len(run)} times" if len(run) > 1 else ""
    read_in = ", ".join(filter(None, [first.from_address and f"from {first.from_address}", first.user_agent[:90]]))
    what = f"The page was opened{times}"
    return Event(Happened.OPENED, first.opened_at, what, read_in, last.opened_at if times else None)


def _by(who: object) -> str:
    return f" by {who}" if who is not None else ""


__all__ = ["Event", "quote_history"]
