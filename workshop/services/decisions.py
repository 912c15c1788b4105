"""The decider's word on the jobs of a sent quote: yes, no, or a question. It names the digest of what was shown.

One word may settle several jobs: a yes to one way of a choice leaves the others not chosen, a yes to a job that
needs another is a yes to both, a no to what others need is a no to all of them. What nobody would expect has to be
named by the decider (`along`); each job so settled has a decision of its own that says from which word it followed.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.db import IntegrityError, transaction
from django.utils.translation import gettext, gettext_noop

from inspections.models import Finding
from inspections.services.findings import finding_set_state
from workshop.models import Decision, Job, OptionGroup, Quote, QuoteLine
from workshop.models.quotes import Verdict
from workshop.quoting.choices import follows_approval, follows_refusal
from workshop.quoting.document import QuoteDocument
from workshop.services.answers import answers_of
from workshop.services.decision_checks import (
    question_check,
    refuse_ended,
    refuse_lost,
    refuse_stranger,
    refuse_untold,
)
from workshop.services.jobs import findings_of
from workshop.services.needs import refuse_unmet
from workshop.services.quotes import quote_document, quote_finish
from workshop.services.receipts import receipt_write
from workshop.services.threads import answered
from yard.models import Member, Owner
from yard.refusals import Refused

JOB_STATES = {
    Verdict.APPROVE: Job.State.APPROVED,
    Verdict.DECLINE: Job.State.DECLINED,
    Verdict.NOT_CHOSEN: Job.State.NOT_CHOSEN,
}
# What becomes of findings that nothing else serves: declined is the decider's no, put off follows from a choice.
FINDING_STATES = {Verdict.DECLINE: Finding.State.DECLINED, Verdict.NOT_CHOSEN: Finding.State.DEFERRED}


BEFORE: Final = {
    Verdict.APPROVE: gettext_noop("this job was approved before"),
    Verdict.DECLINE: gettext_noop("this job was declined before"),
}


class AlreadyDecided(Refused):
    """The job has its yes or no. `decision` is the one that stands."""

    def __init__(self, decision: Decision) -> None:
        if decision.verdict == Verdict.NOT_CHOSEN:
            problem = gettext("another way was chosen before, and this job with it was not")
        else:
            problem = gettext(BEFORE[Verdict(decision.verdict)])
        super().__init__("verdict", problem, gettext("talk to the yard if that is no longer what you want"))
        self.decision = decision


@dataclass(frozen=True, slots=True)
class Said:
    """Who said it, when, and of what text."""

    digest: str
    at: datetime
    owner: Owner | None
    member: Member | None
    from_address: str | None


@transaction.atomic
def decision_make(
    *,
    line: QuoteLine,
    verdict: str,
    digest: str,
    at: datetime,
    question: str = "",
    read: bool = False,
    along: Collection[int] = (),
    owner: Owner | None = None,
    member: Member | None = None,
    from_address: str | None = None,
) -> Decision:
    """Take down the decider's word on one job. The last answer ends the quote and has a receipt mailed.

    A question may be put again and again; the same one twice before it is answered is taken down once.

    Args:
        read: the decider has read what leaving an unsafe job means; without it there is no no to one.
        along: ids of lines that the decider agrees to have settled by this word as well.

    Returns:
        The decision on this job; those that followed from it name it in `because`.

    Raises:
        AlreadyDecided: the job has its yes or no.
        Refused: not the boat's decider, another digest than the quote's, a quote that is no longer open, an unknown
            verdict, a question without words, a no to an unsafe job without `read`, a yes to a job that needs
            another quote's job, or other jobs would be settled that `along` doesn't name.
    """
    quote, document = _quote_open_to(line.quote_id, digest, owner, member)
    line = quote.lines.select_related("job").get(pk=line.pk)
    question = question_check(verdict, question)
    standing = line.decisions.exclude(verdict=Verdict.ASK).first()
    if standing is not None:
        raise AlreadyDecided(standing)
    refuse_ended(quote, at)
    said = Said(digest, at, owner, member, from_address)
    if verdict == Verdict.ASK:
        last = line.decisions.order_by("-decided_at", "-id").first()
        if last is not None and last.question == question and not answered(last):
            return last
        return _taken_down(line, Verdict.ASK, said, question=question)
    return _settled(quote, document, line, Verdict(verdict), said, read=read, along=along)


@transaction.atomic
def choice_decline(
    *,
    group: OptionGroup,
    digest: str,
    at: datetime,
    read: bool = False,
    along: Collection[int] = (),
    owner: Owner | None = None,
    member: Member | None = None,
    from_address: str | None = None,
) -> Decision:
    """Take down that none of the ways of a choice is wanted: a no to each that has no answer yet.

    Returns:
        The first of the decisions.

    Raises:
        AlreadyDecided: every way has its answer; with the yes where one was chosen.
        Refused: as for `decision_make`.
    """
    quote, document = _quote_open_to(group.quote_id, digest, owner, member)
    lines = list(quote.lines.filter(option_group=group).select_related("job").order_by("position"))
    answers = answers_of(quote)
    open_lines = [line for line in lines if line.job_id not in answers]
    if not open_lines:
        words = [answers[line.job_id] for line in lines]
        raise AlreadyDecided(next((word for word in words if word.verdict == Verdict.APPROVE), words[0]))
    refuse_ended(quote, at)
    said = Said(digest, at, owner, member, from_address)
    made = [_settled(quote, document, line, Verdict.DECLINE, said, read=read, along=along) for line in open_lines]
    return made[0]


def _settled(
    quote: Quote,
    document: QuoteDocument,
    line: QuoteLine,
    verdict: Verdict,
    said: Said,
    *,
    read: bool,
    along: Collection[int],
) -> Decision:
    """The word on a job and all that follows from it."""
    answers = answers_of(quote)
    undecided = {job.id for job in document.jobs if job.id not in answers}
    if verdict == Verdict.APPROVE:
        follows = follows_approval(line.job_id, document.jobs, undecided)
        refuse_lost(line.job_id, document, answers)
        refuse_unmet([line.job_id, *follows.approved], quote_id=quote.pk)
    else:
        follows = follows_refusal(line.job_id, document.jobs, undecided)
    lines = {each.job_id: each for each in quote.lines.select_related("job")}
    refuse_untold(document.job(line.job_id).title, document, follows, lines, along)
    left = [*follows.declined, *follows.ruled_out, *([line.job_id] if verdict == Verdict.DECLINE else [])]
    if not read and any(document.job(each).unsafe_to_leave for each in left):
        raise Refused(
            "read",
            gettext("this job is unsafe to leave, and it is not ticked that you have read what that means"),
            gettext("read it, tick the box, then decline"),
        )
    word = _taken_down(line, verdict, said)
    words = {
        **dict.fromkeys(follows.approved, Verdict.APPROVE),
        **dict.fromkeys(follows.declined, Verdict.DECLINE),
        **dict.fromkeys((*follows.rivals, *follows.instead, *follows.ruled_out), Verdict.NOT_CHOSEN),
    }
    for job_id, followed in words.items():
        _taken_down(lines[job_id], followed, said, because=word)
    # The yes first, so that what it serves stays open when others let go of it.
    for job_id, each in sorted(
        {line.job_id: verdict, **words}.items(), key=lambda pair: list(Verdict).index(pair[1])
    ):
        _carry_out(lines[job_id].job, each, said.at)
    if undecided == {line.job_id, *words}:
        quote_finish(quote, said.at)
        receipt_write(quote=quote, at=said.at)
    return word


def _taken_down(
    line: QuoteLine, verdict: Verdict, said: Said, *, question: str = "", because: Decision | None = None
) -> Decision:
    decision = Decision(
        yard_id=line.yard_id,
        line=line,
        verdict=verdict,
        question=question,
        digest=said.digest,
        owner=said.owner,
        member=said.member,
        decided_at=said.at,
        from_address=said.from_address,
        option_group_id=line.option_group_id,
        because=because,
    )
    try:
        with transaction.atomic():
            decision.save(force_insert=True)
    except IntegrityError as error:
        # The lock leaves no way here; should it ever fail, the database still holds one answer per job, and one yes
        # per choice.
        standing = line.decisions.exclude(verdict=Verdict.ASK).first()
        raise AlreadyDecided(
            standing or Decision.objects.get(option_group=line.option_group_id, verdict=Verdict.APPROVE)
        ) from error
    return decision


def _carry_out(job: Job, verdict: Verdict, at: datetime) -> None:
    """The job and its findings follow the word. What another job still serves stays open."""
    moved = Job.objects.filter(pk=job.pk, state=Job.State.QUOTED).update(state=JOB_STATES[verdict], changed_at=at)
    if not moved:
        raise Refused(
            "line",
            gettext("{job} is no longer with the decider").format(job=job),
            gettext("have the yard send a new quote"),
        )
    if verdict not in FINDING_STATES:
        return
    for finding in findings_of(job):
        elsewhere = finding.operations.exclude(job=job).filter(job__state__in=Job.LIVE).exists()
        if finding.ended_at is None and not elsewhere:
            finding_set_state(finding=finding, state=FINDING_STATES[verdict], at=at)


def _quote_open_to(
    quote_id: int, digest: str, owner: Owner | None, member: Member | None
) -> tuple[Quote, QuoteDocument]:
    """The quote, locked, for its decider and what they have read."""
    quote = (
        Quote.objects.select_for_update(of=("self",), no_key=True).select_related("yard", "boat").get(pk=quote_id)
    )
    document = quote_document(quote) if quote.content else None
    refuse_stranger(quote, document, owner, member)
    if document is None or quote.state == Quote.State.DRAFT:
        raise Refused("quote", gettext("has not been sent"), gettext("wait until the yard sends it"))
    if digest != quote.digest:
        raise Refused(
            "digest",
            gettext("names another text than this quote's"),
            gettext("load the page again and read it once more"),
        )
    return quote, document


__all__ = ["AlreadyDecided", "choice_decline", "decision_make"]
