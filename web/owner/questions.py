"""What the decider's page shows: the quote as it was sent, question by question, and what was said so far."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inspections.judgement.vocabulary import Priority
from web.base.photos import photos_of
from workshop.models import Decision, Quote, Reply
from workshop.models.quotes import Verdict
from workshop.pricing.money import Totals
from workshop.quoting.document import JobPart, QuoteDocument, totals_of_jobs
from workshop.report.context import report_view
from workshop.report.making import english
from workshop.report.views import JobView, ReportView
from workshop.services.threads import Said, thread_of
from yard.locale_format import money_text
from yard.models import Owner

URGENCY = {str(priority.value): turn for turn, priority in enumerate(Priority)}


@dataclass(frozen=True, slots=True)
class Sum:
    """Amounts as they are shown: without VAT, VAT by rate, with VAT."""

    jobs: int
    net: str
    vat: tuple[tuple[str, str], ...]
    gross: str


@dataclass(frozen=True, slots=True)
class Question:
    """One job to be decided on.

    `line` is None in a draft that is looked over; `standing` is the yes or no, `thread` the decider's questions and
    the yard's answers.
    """

    turn: int
    line: int | None
    job: JobView
    priority: str
    due_back: str
    standing: Decision | None
    thread: tuple[Said, ...]

    @property
    def waits_for_yard(self) -> bool:
        """Whether the last word of the thread is a question."""
        return bool(self.thread) and not self.thread[-1].by_yard

    @property
    def anchor(self) -> str:
        return f"question-{self.turn}"

    @property
    def approved(self) -> bool:
        return self.standing is not None and self.standing.verdict == Verdict.APPROVE


@dataclass(frozen=True, slots=True)
class Asked:
    """The whole page."""

    report: ReportView
    language: str
    questions: tuple[Question, ...]
    approved: Sum
    open: Sum
    everything: Sum

    @property
    def answered(self) -> int:
        return sum(question.standing is not None for question in self.questions)

    @property
    def declined(self) -> int:
        return sum(question.standing is not None and not question.approved for question in self.questions)

    @property
    def next_open(self) -> Question | None:
        """The first question without a yes or no."""
        return next((question for question in self.questions if question.standing is None), None)


def asked_of(quote: Quote, document: QuoteDocument, digest: str, *, reader: Owner | None) -> Asked:
    """Everything the page shows of a quote.

    Args:
        quote: with its yard.
        document: what was sent, or what would be.
        digest: of the document.
        reader: whose language the figures follow; the yard's where none is given.
    """
    language = english(reader or quote.yard)
    photos = photos_of(quote.yard_id, (name for finding in document.findings for name in finding.photos))
    report = report_view(document, digest=digest, locale=language, photos=photos)
    lines: Mapping[int, int] = {} if quote.sent_at is None else dict(quote.lines.values_list("job_id", "id"))
    said, replies = _said(quote), _replies(quote)
    views = {view.position: view for view in report.jobs}
    ordered = sorted(document.jobs, key=lambda job: _urgency(job, document))
    questions = tuple(
        _question(turn, job, views[job.position], lines.get(job.id), said.get(job.id, ()), replies, document)
        for turn, job in enumerate(ordered, start=1)
    )
    by_id = {question.job.position: question for question in questions}
    approved = [job for job in document.jobs if by_id[job.position].approved]
    undecided = [job for job in document.jobs if by_id[job.position].standing is None]
    return Asked(
        report=report,
        language=language.replace("_", "-"),
        questions=questions,
        approved=_sum(approved, document.currency, language),
        open=_sum(undecided, document.currency, language),
        everything=_sum(list(document.jobs), document.currency, language),
    )


def _said(quote: Quote) -> dict[int, list[Decision]]:
    """Every word on each job, the oldest first."""
    said: dict[int, list[Decision]] = {}
    rows = (
        Decision.objects.filter(line__quote=quote)
        .select_related("line", "owner", "member")
        .order_by("decided_at", "id")
    )
    for decision in rows:
        said.setdefault(decision.line.job_id, []).append(decision)
    return said


def _replies(quote: Quote) -> dict[int, list[Reply]]:
    """The yard's answers by the quote's lines."""
    replies: dict[int, list[Reply]] = {}
    for reply in (
        Reply.objects.filter(line__quote=quote).select_related("member__user").order_by("written_at", "id")
    ):
        replies.setdefault(reply.line_id, []).append(reply)
    return replies


def _question(
    turn: int,
    job: JobPart,
    view: JobView,
    line: int | None,
    said: Iterable[Decision],
    replies: Mapping[int, Sequence[Reply]],
    document: QuoteDocument,
) -> Question:
    words = list(said)
    urgent = min((document.finding(each) for each in job.findings), key=lambda part: URGENCY[part.priority])
    return Question(
        turn=turn,
        line=line,
        job=view,
        priority=urgent.priority,
        due_back=view.due_back,
        standing=next((word for word in words if word.verdict != Verdict.ASK), None),
        thread=thread_of(
            (word for word in words if word.verdict == Verdict.ASK), () if line is None else replies.get(line, ())
        ),
    )


def _urgency(job: JobPart, document: QuoteDocument) -> tuple[bool, int, int, date, int]:
    """What is unsafe to leave comes first, then by priority, severity and the day it is due."""
    findings = [document.finding(each) for each in job.findings]
    return (
        not job.unsafe_to_leave,
        min(URGENCY[finding.priority] for finding in findings),
        min(finding.severity for finding in findings),
        min(finding.due_back_on for finding in findings),
        job.position,
    )


def _sum(jobs: Sequence[JobPart], currency: str, language: str) -> Sum:
    totals: Totals = totals_of_jobs(list(jobs), currency)

    def shown(amount: Decimal) -> str:
        return money_text(amount, currency, language)

    return Sum(
        jobs=len(jobs),
        net=shown(totals.net),
        vat=tuple((f"VAT {part.rate_pct:f} % of {shown(part.net)}", shown(part.vat)) for part in totals.by_rate),
        gross=shown(totals.gross),
    )


__all__ = ["Asked", "Question", "Sum", "asked_of"]
