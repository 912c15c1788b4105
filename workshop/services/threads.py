"""The thread of a job: what the decider asked and what the yard answered, in the order in which it was said."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.db import transaction
from django.utils.translation import gettext

from workshop.models import Decision, OwnerLink, Quote, QuoteLine, Reply
from workshop.models.quotes import Verdict
from workshop.report.letters import letter_to, short_name
from workshop.services.links import link_url
from workshop.services.quotes import decider_address, quote_document
from yard.models import Member
from yard.post import mail_write
from yard.refusals import Refused

LONGEST_REPLY: Final = 4000


@dataclass(frozen=True, slots=True)
class Said:
    """One thing that was said. `by_yard` tells the yard's answers from the decider's questions."""

    by_yard: bool
    who: str
    text: str
    at: datetime


def thread_of(questions: Iterable[Decision], replies: Iterable[Reply]) -> tuple[Said, ...]:
    """Questions and answers in the order in which they were said, a question before its answer."""
    said = [Said(False, str(each.owner or each.member), each.question, each.decided_at) for each in questions]
    said += [Said(True, str(each.member), each.text, each.written_at) for each in replies]
    return tuple(sorted(said, key=lambda each: (each.at, each.by_yard)))


def answered(question: Decision) -> bool:
    """Whether the yard has said something since the question."""
    return Reply.objects.filter(line_id=question.line_id, written_at__gte=question.decided_at).exists()


@transaction.atomic
def reply_write(*, line: QuoteLine, text: str, by: Member, at: datetime) -> Reply:
    """Answer what was asked about a job, and mail the answer to whoever asked.

    The same words again, with no question in between, are the same answer.

    Raises:
        Refused: nothing was asked about the job, the quote was taken back, there are no words or too many, or the
            member is of another yard.
    """
    quote = (
        Quote.objects.select_for_update(of=("self",), no_key=True)
        .select_related("yard", "boat")
        .get(pk=line.quote_id)
    )
    line = quote.lines.select_related("job").get(pk=line.pk)
    if by.yard_id != quote.yard_id:
        raise Refused("member", f"{by} is not of this yard", "name a member of the yard")
    words = _words(text)
    question = line.decisions.filter(verdict=Verdict.ASK).order_by("-decided_at", "-id").first()
    if question is None:
        raise Refused(
            "line", "nothing was asked about this job", "wait for a question, or write a mail of your own"
        )
    if quote.state == Quote.State.SUPERSEDED:
        raise Refused("quote", f"is {quote.get_state_display()}", "say it with the new quote, or write a mail")
    last = line.replies.order_by("-written_at", "-id").first()
    if last is not None and last.text == words and last.written_at >= question.decided_at:
        return last
    reply = Reply(yard_id=quote.yard_id, line=line, text=words, member=by, written_at=at)
    reply.save(force_insert=True)
    _mail(quote, line, question, reply)
    return reply


def _words(text: str) -> str:
    words = text.strip()
    if not words:
        raise Refused("text", "is empty", "write what you would answer")
    if len(words) > LONGEST_REPLY:
        raise Refused("text", f"has {len(words)} characters", f"use {LONGEST_REPLY} at most")
    return words


def _mail(quote: Quote, line: QuoteLine, question: Decision, reply: Reply) -> None:
    """To whoever asked: what the question was, what the answer is, and where to go on."""
    asker = question.owner or question.member
    assert asker is not None  # held by decision_is_somebodys
    address = decider_address(asker)
    if not address:  # a manager without one reads it on the quote's page
        return
    document = quote_document(quote)
    job = document.job(line.job_id)
    live = OwnerLink.objects.filter(quote=quote, revoked_at__isnull=True, expires_at__gt=reply.written_at)
    link = live.filter(owner=question.owner, member=question.member).first()
    letter = letter_to(asker, document)
    with letter.written_in():
        subject = gettext("{boat}: the answer to your question on job {number}").format(
            boat=short_name(document.boat.name), number=job.position
        )
    context = {
        "name": asker.name,
        "yard": document.yard.name,
        "boat": document.boat.name,
        "number": document.number,
        "position": job.position,
        "title": job.title,
        "question": question.question,
        "text": reply.text,
        "by": str(reply.member),
        "open": quote.state == Quote.State.SENT,
        "valid_until": letter.day(document.valid_until),
        "url": "" if link is None else link_url(link),
    }
    mail_write(
        yard=quote.yard,
        key=f"reply:{reply.pk}",
        to_address=address,
        subject=subject,
        **letter.parts("reply", context),
        at=reply.written_at,
    )


__all__ = ["LONGEST_REPLY", "Said", "answered", "reply_write", "thread_of"]
