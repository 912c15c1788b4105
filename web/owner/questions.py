"""What the decider's page shows: the quote as it was sent, question by question, and what was said so far."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext

from inspections.judgement.vocabulary import Priority
from web.base.photos import photos_of
from web.owner.language import Reader
from workshop.models import Decision, Quote, Reply
from workshop.models.quotes import Verdict
from workshop.pricing.money import Totals
from workshop.quoting.choices import Follows, follows_approval, follows_refusal, still_open
from workshop.quoting.document import JobPart, QuoteDocument, totals_of_jobs
from workshop.report.context import report_view
from workshop.report.plan import Ground
from workshop.report.views import FindingView, JobView, ReportView
from workshop.report.words import number_text
from workshop.services.threads import Said, thread_of
from yard.locale_format import money_text

URGENCY = {str(priority.value): turn for turn, priority in enumerate(Priority)}
# A whole surface that has had its time is upkeep, done while she is laid up; nobody's safety hangs on it.
SURFACE_PRIORITY = str(Priority.NEXT_LAYUP.value)
UPKEEP = 4


@dataclass(frozen=True, slots=True)
class Sum:
    """Amounts as they are shown: without VAT, VAT by rate, with VAT."""

    jobs: int
    net: str
    vat: tuple[tuple[str, str], ...]
    gross: str


@dataclass(frozen=True, slots=True)
class Along:
    """What a word on a job settles besides: lines, and titles of what is approved and of what is left with it."""

    lines: tuple[int, ...]
    approved: tuple[str, ...]
    left: tuple[str, ...]
    net: str
    unsafe: bool


@dataclass(frozen=True, slots=True)
class Question:
    """One job to be decided on.

    `line` is None in a draft that is looked over; `standing` is the yes or no, `thread` the decider's questions and
    the yard's answers; `yes` and `no` are what either word would settle now. What is `open` is neither decided nor
    taken back.
    """

    line: int | None
    job: JobView
    priority: str
    due_back: str
    standing: Decision | None
    thread: tuple[Said, ...]
    yes: Along
    no: Along
    open: bool
    turn: int = 0
    way: int = 0

    @property
    def waits_for_yard(self) -> bool:
        """Whether a question is to be answered: a yes or no to the job, and taking the quote back, settle it."""
        return self.open and not self.answered

    @property
    def answered(self) -> bool:
        """Whether nothing was asked since the yard's last word."""
        return not self.thread or self.thread[-1].by_yard

    @property
    def thread_told(self) -> str:
        """How the thread stands, for the office."""
        if self.answered:
            return "asked and answered"
        if self.waits_for_yard:
            return "a question waits for an answer"
        return "asked, and decided without an answer" if self.standing is not None else "asked, not answered"

    @property
    def anchor(self) -> str:
        """Where the job stands on the page; a way of a choice stands below the choice."""
        return f"question-{self.turn}-{self.way}" if self.way else f"question-{self.turn}"

    @property
    def number(self) -> str:
        """As it is counted on the page: 2, or 2.1 for the first way of the second question."""
        return f"{self.turn}.{self.way}" if self.way else str(self.turn)

    @property
    def approved(self) -> bool:
        return self.standing is not None and self.standing.verdict == Verdict.APPROVE

    @property
    def declined(self) -> bool:
        return self.standing is not None and self.standing.verdict == Verdict.DECLINE


@dataclass(frozen=True, slots=True)
class Section:
    """One question of the page: a job, or several ways of which one can be had. A single job has no `title`."""

    turn: int
    title: str
    ways: tuple[Question, ...]

    @property
    def anchor(self) -> str:
        return f"question-{self.turn}"

    @property
    def first(self) -> Question:
        """The single job, or the way that is advised."""
        return max(self.ways, key=lambda way: way.job.recommended)

    @property
    def open_ways(self) -> tuple[Question, ...]:
        return tuple(way for way in self.ways if way.standing is None)

    @property
    def chosen(self) -> Question | None:
        return next((way for way in self.ways if way.approved), None)

    @property
    def findings(self) -> tuple[FindingView, ...]:
        """What any of the ways serves, each once."""
        return tuple({finding.id: finding for way in self.ways for finding in way.job.findings}.values())

    @property
    def unsafe(self) -> bool:
        return any(way.job.unsafe_to_leave for way in self.ways)

    @property
    def none_unsafe(self) -> bool:
        """Whether a no to all of it leaves something unsafe."""
        return any(way.no.unsafe for way in self.open_ways)

    @property
    def none_along(self) -> tuple[int, ...]:
        return tuple(dict.fromkeys(line for way in self.open_ways for line in way.no.lines))

    @property
    def none_left(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(title for way in self.open_ways for title in way.no.left))

    @property
    def thread_ways(self) -> tuple[Question, ...]:
        return tuple(way for way in self.ways if way.thread)


@dataclass(frozen=True, slots=True)
class Asked:
    """The whole page. `open` and `everything` reckon with the advised way of each choice, never with two.

    `sent_in` is the language of what was sent, where the page speaks another.
    """

    report: ReportView
    sent_in: str
    sections: tuple[Section, ...]
    approved: Sum
    open: Sum
    everything: Sum

    @property
    def questions(self) -> tuple[Question, ...]:
        """Every job, in the order of the page."""
        return tuple(way for section in self.sections for way in section.ways)

    @property
    def sent_as(self) -> SafeString:
        """For the mark-up round what was sent: the language it is in, where the page speaks another."""
        return format_html(' lang="{}"', self.sent_in) if self.sent_in else SafeString()

    @property
    def answered(self) -> int:
        return sum(not section.open_ways for section in self.sections)

    @property
    def begun(self) -> bool:
        return any(question.standing is not None for question in self.questions)

    @property
    def declined(self) -> int:
        return sum(question.declined for question in self.questions)

    @property
    def not_chosen(self) -> int:
        return (
            sum(question.standing is not None for question in self.questions) - self.declined - self.approved.jobs
        )

    @property
    def next_open(self) -> Section | None:
        """The first question without an answer."""
        return next((section for section in self.sections if section.open_ways), None)

    def section_of(self, line: int) -> Section | None:
        return next((each for each in self.sections if any(way.line == line for way in each.ways)), None)


def asked_of(
    quote: Quote, document: QuoteDocument, digest: str, *, reader: Reader, ground: Ground | None = None
) -> Asked:
    """Everything the page shows of a quote.

    Args:
        quote: with its yard.
        document: what was sent, or what would be.
        digest: of the document.
        reader: whose language the words around it and the figures follow.
        ground: the yard's own drawing of the boat, for the plan.
    """
    locale = reader.locale
    photos = photos_of(quote.yard_id, (name for finding in document.findings for name in finding.photos))
    report = report_view(
        document, digest=digest, locale=locale, photos=photos, language=reader.language, ground=ground
    )
    maker = _Maker(quote, document, report, locale)
    approved = [job for job in document.jobs if maker.verdict(job) == Verdict.APPROVE]
    return Asked(
        report=report,
        sent_in="" if document.language == reader.language else document.language,
        sections=maker.sections(),
        approved=_sum(approved, document.currency, locale),
        open=_sum(still_open(document.jobs, maker.undecided), document.currency, locale),
        everything=_sum(document.as_advised, document.currency, locale),
    )


class _Maker:
    def __init__(self, quote: Quote, document: QuoteDocument, report: ReportView, locale: str) -> None:
        self.document, self.locale = document, locale
        self.lines: Mapping[int, int] = (
            {} if quote.sent_at is None else dict(quote.lines.values_list("job_id", "id"))
        )
        self.said, self.replies = _said(quote), _replies(quote)
        self.taken_back = quote.state == Quote.State.SUPERSEDED
        self.views = {view.position: view for view in report.jobs}
        self.undecided: AbstractSet[int] = {job.id for job in document.jobs if self.verdict(job) is None}

    def verdict(self, job: JobPart) -> str | None:
        standing = self._standing(job)
        return None if standing is None else standing.verdict

    def sections(self) -> tuple[Section, ...]:
        """Questions in the order that matters; the ways of a choice stand together, the advised one first."""
        ordered = sorted(self.document.jobs, key=lambda job: _urgency(job, self.document))
        groups: dict[str, list[JobPart]] = {}
        for job in ordered:
            groups.setdefault(job.option or f"job {job.id}", []).append(job)
        sections = []
        for turn, jobs in enumerate(groups.values(), start=1):
            ways = sorted(jobs, key=lambda job: not job.recommended)
            several = bool(jobs[0].option)
            questions = tuple(
                self._question(job, turn, way if several else 0) for way, job in enumerate(ways, start=1)
            )
            sections.append(Section(turn, jobs[0].option, questions))
        return tuple(sections)

    def _standing(self, job: JobPart) -> Decision | None:
        return next((word for word in self.said.get(job.id, ()) if word.verdict != Verdict.ASK), None)

    def _question(self, job: JobPart, turn: int, way: int) -> Question:
        document, line = self.document, self.lines.get(job.id)
        priorities = [document.finding(each).priority for each in job.findings] or [SURFACE_PRIORITY]
        view = self.views[job.position]
        asked = (word for word in self.said.get(job.id, ()) if word.verdict == Verdict.ASK)
        return Question(
            line=line,
            job=view,
            priority=min(priorities, key=URGENCY.__getitem__),
            due_back=view.due_back,
            standing=self._standing(job),
            thread=thread_of(asked, () if line is None else self.replies.get(line, ())),
            yes=self._along(job, follows_approval(job.id, document.jobs, self.undecided)),
            no=self._along(job, follows_refusal(job.id, document.jobs, self.undecided), leaves=True),
            open=self._standing(job) is None and not self.taken_back,
            turn=turn,
            way=way,
        )

    def _along(self, job: JobPart, follows: Follows, *, leaves: bool = False) -> Along:
        approved = [self.document.job(each) for each in follows.approved]
        instead = [self.document.job(each) for each in follows.instead]
        left = [self.document.job(each) for each in (*follows.declined, *follows.ruled_out)]
        together = sum((each.net for each in approved), job.net)
        return Along(
            lines=tuple(self.lines[each] for each in follows.to_be_told if each in self.lines),
            approved=tuple(each.title for each in approved),
            left=tuple(each.title for each in (*instead, *left)),
            net=money_text(together, self.document.currency, self.locale),
            unsafe=any(each.unsafe_to_leave for each in ([*left, job] if leaves else left)),
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


def _urgency(job: JobPart, document: QuoteDocument) -> tuple[bool, int, int, date, int]:
    """What is unsafe to leave comes first, then by priority, severity and the day it is due."""
    findings = [document.finding(each) for each in job.findings]
    days = [finding.due_back_on for finding in findings]
    days += [surface.due_on for surface in document.surfaces_of(job) if surface.due_on is not None]
    return (
        not job.unsafe_to_leave,
        min((URGENCY[finding.priority] for finding in findings), default=URGENCY[SURFACE_PRIORITY]),
        min((finding.severity for finding in findings), default=UPKEEP),
        min(days, default=document.valid_until),
        job.position,
    )


def _sum(jobs: Sequence[JobPart], currency: str, locale: str) -> Sum:
    totals: Totals = totals_of_jobs(list(jobs), currency)

    def shown(amount: Decimal) -> str:
        return money_text(amount, currency, locale)

    return Sum(
        jobs=len(jobs),
        net=shown(totals.net),
        vat=tuple(
            (
                gettext("VAT {rate} % of {net}").format(
                    rate=number_text(part.rate_pct, locale), net=shown(part.net)
                ),
                shown(part.vat),
            )
            for part in totals.by_rate
        ),
        gross=shown(totals.gross),
    )


__all__ = ["Along", "Asked", "Question", "Section", "Sum", "asked_of"]
