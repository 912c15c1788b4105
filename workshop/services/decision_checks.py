"""What a decider's word has to be before it is taken down."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import datetime
from typing import Final

from django.utils.translation import gettext, gettext_noop

from workshop.models import Decision, Quote, QuoteLine
from workshop.models.quotes import SAYABLE, Verdict
from workshop.quoting.choices import Follows, needed_by
from workshop.quoting.document import QuoteDocument
from workshop.services.quote_content import decider_part
from yard.models import Member, Owner
from yard.refusals import Refused

LONGEST_QUESTION: Final = 2000
# States of a quote that nobody can answer any more, as `get_state_display` has them.
ENDED: Final = (
    gettext_noop("draft"),
    gettext_noop("decided"),
    gettext_noop("lapsed"),
    gettext_noop("superseded"),
)


def question_check(verdict: str, question: str) -> str:
    """The words of a question; a verdict that can be said.

    Raises:
        Refused: an unknown verdict, or a question without words or with too many.
    """
    known = [value for value, _ in SAYABLE]
    if verdict not in known:
        raise Refused("verdict", f"is {verdict!r}", f"give one of: {', '.join(known)}")
    question = question.strip()
    if verdict == Verdict.ASK and not question:
        raise Refused("question", gettext("is empty"), gettext("write what you would like to know"))
    if len(question) > LONGEST_QUESTION:
        raise Refused(
            "question",
            gettext("has {count} characters").format(count=len(question)),
            gettext("use {count} at most").format(count=LONGEST_QUESTION),
        )
    return question


def refuse_stranger(
    quote: Quote, document: QuoteDocument | None, owner: Owner | None, member: Member | None
) -> None:
    """Only the decider the quote was put to may speak, and only while the boat is still theirs to decide on."""
    person = owner if owner is not None else member
    if person is None or (owner is not None and member is not None):
        raise Refused("decider", "it is not said who decides", "give the owner or the member")
    wanted = decider_part(quote.boat)
    kind = "owner" if owner is not None else "member"
    if (kind, person.pk) != (wanted.kind, wanted.id) or person.yard_id != quote.yard_id:
        raise Refused(
            "decider",
            gettext("{name} does not decide on this boat").format(name=person),
            gettext("{name} does").format(name=wanted.name),
        )
    if document is not None:
        asked = document.decider
        if (asked.kind, asked.id) != (wanted.kind, wanted.id):
            raise Refused(
                "decider",
                gettext("the quote was put to {name}").format(name=asked.name),
                gettext("have the yard send a new quote"),
            )


def refuse_ended(quote: Quote, at: datetime) -> None:
    """Only a quote that was sent and has not run out takes a word."""
    today = at.astimezone(quote.yard.zone).date()
    if quote.state == Quote.State.LAPSED or (quote.state == Quote.State.SENT and today > quote.valid_until):
        day = quote.valid_until.isoformat()
        raise Refused("quote", gettext("ran out on {day}").format(day=day), gettext("ask the yard for a new one"))
    if quote.state != Quote.State.SENT:
        state = gettext(str(quote.get_state_display()))
        raise Refused(
            "quote", gettext("is {state}").format(state=state), gettext("look for a newer one, or ask the yard")
        )


def refuse_lost(job_id: int, document: QuoteDocument, answers: Mapping[int, Decision]) -> None:
    """No yes to a job that needs one which was declined or not chosen. It went along then; this only makes sure."""
    for each in sorted(needed_by(job_id, document.jobs)):
        if each in answers and answers[each].verdict != Verdict.APPROVE:
            raise Refused(
                "needs",
                gettext("it can't be done without {job}, which was not approved").format(
                    job=repr(document.job(each).title)
                ),
                gettext("ask the yard for a new quote"),
            )


def refuse_untold(
    title: str, document: QuoteDocument, follows: Follows, lines: Mapping[int, QuoteLine], along: Collection[int]
) -> None:
    """What would be settled besides has to be named, or the decider would be surprised by it."""
    untold = [each for each in follows.to_be_told if lines[each].pk not in along]
    if not untold:
        return
    names = ", ".join(repr(document.job(each).title) for each in untold)
    needed = [each for each in untold if each in follows.approved]
    if len(needed) == len(untold):
        problem = gettext("{job} can't be done without {names}, which has no answer yet")
        remedy = gettext("approve them together, or the needed one first")
    elif needed:
        problem = gettext("a yes to {job} also settles {names}")
        remedy = gettext("read what goes along, and send these jobs along")
    elif follows.declined:
        problem = gettext("{names} can't be done without {job}")
        remedy = gettext("decline them together, or approve both")
    else:
        problem = gettext("with this way {names} can't be done")
        remedy = gettext("choose it and leave them out together, or choose another way")
    raise Refused("along", problem.format(job=repr(title), names=names), remedy)


__all__ = ["question_check", "refuse_ended", "refuse_lost", "refuse_stranger", "refuse_untold"]
