"""The decider's word on the jobs of a sent quote: yes, no, or a question. It names the digest of what was shown."""

from __future__ import annotations

from datetime import datetime

from django.db import IntegrityError, transaction

from inspections.models import Finding
from inspections.services.findings import finding_set_state
from workshop.models import Decision, Job, Quote, QuoteLine
from workshop.models.quotes import Verdict
from workshop.services.jobs import findings_of
from workshop.services.quote_content import decider_part
from workshop.services.quotes import quote_document, quote_finish, undecided_lines
from workshop.services.receipts import receipt_write
from workshop.services.threads import answered
from yard.models import Member, Owner
from yard.refusals import Refused

LONGEST_QUESTION = 2000


class AlreadyDecided(Refused):
    """The job has its yes or no. `decision` is the one that stands."""

    def __init__(self, decision: Decision) -> None:
        said = decision.get_verdict_display()
        super().__init__(
            "verdict", f"this job was {said} before", "talk to the yard if that is no longer what you want"
        )
        self.decision = decision


@transaction.atomic
def decision_make(
    *,
    line: QuoteLine,
    verdict: str,
    digest: str,
    at: datetime,
    question: str = "",
    read: bool = False,
    owner: Owner | None = None,
    member: Member | None = None,
    from_address: str | None = None,
) -> Decision:
    """Take down the decider's word on one job. The last yes or no ends the quote and has a receipt mailed.

    A question may be put again and again; the same one twice before it is answered is taken down once.

    Args:
        read: the decider has read what leaving an unsafe job means; without it there is no no to one.

    Raises:
        AlreadyDecided: the job has its yes or no.
        Refused: not the boat's decider, another digest than the quote's, a quote that is no longer open, an unknown
            verdict, a question without words, or a no to an unsafe job without `read`.
    """
    quote = (
        Quote.objects.select_for_update(of=("self",), no_key=True)
        .select_related("yard", "boat")
        .get(pk=line.quote_id)
    )
    line = quote.lines.select_related("job").get(pk=line.pk)
    question = _question(verdict, question)
    _refuse_stranger(quote, owner, member)
    if quote.state == Quote.State.DRAFT:
        raise Refused("quote", "has not been sent", "wait until the yard sends it")
    if digest != quote.digest:
        raise Refused("digest", "names another text than this quote's", "load the page again and read it once more")
    standing = line.decisions.exclude(verdict=Verdict.ASK).first()
    if standing is not None:
        raise AlreadyDecided(standing)
    _refuse_ended(quote, at)
    if verdict == Verdict.ASK:
        last = line.decisions.order_by("-decided_at", "-id").first()
        if last is not None and last.question == question and not answered(last):
            return last
    if verdict == Verdict.DECLINE and line.job.unsafe_to_leave and not read:
        raise Refused(
            "read",
            "this job is unsafe to leave, and it is not ticked that you have read what that means",
            "read it, tick the box, then decline",
        )
    decision = Decision(
        yard_id=quote.yard_id,
        line=line,
        verdict=verdict,
        question=question,
        digest=digest,
        owner=owner,
        member=member,
        decided_at=at,
        from_address=from_address,
    )
    try:
        with transaction.atomic():
            decision.save(force_insert=True)
    except IntegrityError as error:
        # The lock leaves no way here; should it ever fail, the database still holds one yes or no per job.
        raise AlreadyDecided(line.decisions.exclude(verdict=Verdict.ASK).get()) from error
    if verdict != Verdict.ASK:
        _carry_out(line.job, verdict, at)
        if not undecided_lines(quote):
            quote_finish(quote, at)
            receipt_write(quote=quote, at=at)
    return decision


def _carry_out(job: Job, verdict: str, at: datetime) -> None:
    """The job and its findings follow the word. What another agreed job still serves stays open."""
    approved = verdict == Verdict.APPROVE
    state = Job.State.APPROVED if approved else Job.State.DECLINED
    moved = Job.objects.filter(pk=job.pk, state=Job.State.QUOTED).update(state=state, changed_at=at)
    if not moved:
        raise Refused("line", f"{job} is no longer with the decider", "have the yard send a new quote")
    if approved:
        return
    for finding in findings_of(job):
        elsewhere = finding.operations.exclude(job=job).filter(job__state__in=Job.LIVE).exists()
        if finding.ended_at is None and not elsewhere:
            finding_set_state(finding=finding, state=Finding.State.DECLINED, at=at)


def _question(verdict: str, question: str) -> str:
    if verdict not in Verdict.values:
        raise Refused("verdict", f"is {verdict!r}", f"give one of: {', '.join(Verdict.values)}")
    question = question.strip()
    if verdict == Verdict.ASK and not question:
        raise Refused("question", "is empty", "write what you would like to know")
    if len(question) > LONGEST_QUESTION:
        raise Refused("question", f"has {len(question)} characters", f"use {LONGEST_QUESTION} at most")
    return question


def _refuse_stranger(quote: Quote, owner: Owner | None, member: Member | None) -> None:
    """Only the decider the quote was put to may speak, and only while the boat is still theirs to decide on."""
    person = owner if owner is not None else member
    if person is None or (owner is not None and member is not None):
        raise Refused("decider", "it is not said who decides", "give the owner or the member")
    wanted = decider_part(quote.boat)
    kind = "owner" if owner is not None else "member"
    if (kind, person.pk) != (wanted.kind, wanted.id) or person.yard_id != quote.yard_id:
        raise Refused("decider", f"{person} does not decide on this boat", f"{wanted.name} does")
    if quote.content:
        asked = quote_document(quote).decider
        if (asked.kind, asked.id) != (wanted.kind, wanted.id):
            raise Refused("decider", f"the quote was put to {asked.name}", "have the yard send a new quote")


def _refuse_ended(quote: Quote, at: datetime) -> None:
    today = at.astimezone(quote.yard.zone).date()
    if quote.state == Quote.State.LAPSED or (quote.state == Quote.State.SENT and today > quote.valid_until):
        raise Refused("quote", f"ran out on {quote.valid_until.isoformat()}", "ask the yard for a new one")
    if quote.state != Quote.State.SENT:
        raise Refused("quote", f"is {quote.get_state_display()}", "look for a newer one, or ask the yard")


__all__ = ["AlreadyDecided", "decision_make"]
