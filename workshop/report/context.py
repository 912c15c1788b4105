"""From a quote as it was sent to the words and figures of the report. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from datetime import date
from decimal import Decimal
from typing import Final

from inspections.judgement.vocabulary import Condition, DueBackKind, Priority, RiskLevel
from workshop.pricing.job_price import MaterialLine
from workshop.pricing.money import Totals
from workshop.pricing.pack_words import packs_words
from workshop.quoting.document import FindingPart, JobPart, QuoteDocument
from workshop.report.calendar import calendar_view
from workshop.report.finding_pictures import picture_then, pictures_of
from workshop.report.plan import Drawing, Mark, plan_drawing
from workshop.report.telling import told
from workshop.report.trend import trend_charts
from workshop.report.views import (
    DueBackView,
    DueBackYear,
    FindingView,
    JobView,
    NotSeenView,
    PriorityView,
    ReportView,
    Row,
    TotalsView,
)
from workshop.report.words import plain_number, reading_name, tag_text, unit_text
from yard.locale_format import date_text, hours_phrase, money_text

SMALL_PLAN: Final = 76.0

# What the priority says to an owner, beside its name.
PRIORITY_MEANS: Final = {
    Priority.BEFORE_LAUNCH: "She should not go in before this is put right.",
    Priority.THIS_SEASON: "She may go in; it should be done before she is laid up again.",
    Priority.NEXT_LAYUP: "It stands still for now and can wait until she is out of the water.",
    Priority.WATCH: "Nothing is gained by touching it now. Somebody looks again by the day given.",
}
UNITS: Final = {
    "m": "m", "m2": "m²", "m2_coat": "m², one coat", "site": "place", "location": "place", "finding": "look",
}  # fmt: skip


def report_view(
    document: QuoteDocument, *, digest: str, locale: str, photos: AbstractSet[str] | Mapping[str, object]
) -> ReportView:
    """Set a quote in words.

    Args:
        document: as it was sent.
        digest: its SHA-256.
        locale: of figures and dates; the words are English.
        photos: SHA-256 of those that can be shown; any other becomes a marked blank.
    """
    setter = _Setter(document, locale)
    findings = setter.findings(photos)
    boat = document.boat
    return ReportView(
        language=locale.replace("_", "-"),
        title=f"{boat.name}: spring inspection {document.inspection.season_year}, quote {document.number}",
        yard=document.yard.name,
        boat=boat.name,
        season=document.inspection.season_year,
        number=document.number,
        title_block=setter.title_block(),
        decide_by=setter.day(document.valid_until),
        decider=document.decider.name,
        plan=plan_drawing(
            loa_mm=boat.loa_mm,
            beam_mm=boat.beam_mm,
            marks=_marks(findings, document.findings),
            label=_plan_label(boat.name, findings),
            length_text=f"length over all {setter.metres(boat.loa_mm)}",
        ),
        lead=setter.lead(),
        priorities=tuple(
            PriorityView(priority.value, priority.label, PRIORITY_MEANS[priority], same)
            for priority in Priority
            if (same := tuple(finding for finding in findings if finding.priority == priority))
        ),
        findings=findings,
        jobs=tuple(setter.job(job, findings) for job in document.jobs),
        totals=setter.totals(document.totals),
        not_seen=setter.not_seen(),
        due_back=setter.due_back(),
        calendar=calendar_view(document.due_back, locale),
        cautions=tuple(Row(caution.title, caution.text) for caution in document.cautions),
        rules_versions=", ".join(document.rules_versions),
        digest=digest,
        dated=setter.day(document.dated),
    )


class _Setter:
    def __init__(self, document: QuoteDocument, locale: str) -> None:
        self.document = document
        self.locale = locale

    def day(self, day: date) -> str:
        return date_text(day, self.locale, "long")

    def days(self, first: date, last: date) -> str:
        return self.day(first) if first == last else f"{self.day(first)} to {self.day(last)}"

    def money(self, amount: Decimal) -> str:
        return money_text(amount, self.document.currency, self.locale)

    def metres(self, length_mm: int) -> str:
        return f"{Decimal(length_mm) / 1000:.2f} m"

    def title_block(self) -> tuple[Row, ...]:
        document, boat, inspection = self.document, self.document.boat, self.document.inspection
        seen_until = inspection.closed_on or document.dated
        build = f"{boat.build}, {boat.material}" if boat.material else boat.build
        rows = [
            Row("Boat", boat.name),
            Row("Build", build),
            Row("Length × beam", f"{self.metres(boat.loa_mm)} × {self.metres(boat.beam_mm)}"),
            Row("Year", str(boat.year or "not known")),
            Row("Looked at", self.days(inspection.opened_on, seen_until)),
            Row("To go in", self.day(inspection.launch_on)),
            Row("For", document.decider.name),
            Row("Quote", f"No. {document.number} of {self.day(document.dated)}"),
            Row("Open until", self.day(document.valid_until)),
        ]
        return tuple(rows)

    def lead(self) -> str:
        found, jobs = len(self.document.findings), len(self.document.jobs)
        urgent = sum(finding.priority == Priority.BEFORE_LAUNCH for finding in self.document.findings)
        places = _count(found, "place", "places")
        if urgent == 0:
            need = "Nothing of it keeps her ashore"
        else:
            need = f"{urgent} of {found} must be put right before she goes in"
        ask = (
            "1 job to you for a yes or no" if jobs == 1 else f"{jobs} jobs to you, each for a yes or no of its own"
        )
        return f"We found something at {places}. {need}. We put {ask}."

    def findings(self, photos: AbstractSet[str] | Mapping[str, object]) -> tuple[FindingView, ...]:
        return tuple(
            self._finding(number, finding, photos) for number, finding in enumerate(self.document.findings, start=1)
        )

    def _finding(
        self, number: int, finding: FindingPart, photos: AbstractSet[str] | Mapping[str, object]
    ) -> FindingView:
        facts = [Row("Signs", ", ".join(finding.signs))]
        if finding.size_mm is not None:
            facts.append(Row("Size", f"{plain_number(finding.size_mm)} mm"))
        facts += [
            Row(
                reading_name(reading.quantity, reading.unit),
                f"{plain_number(reading.value)} {unit_text(reading.unit)}",
            )
            for reading in finding.readings
        ]
        facts.append(Row("Condition", Condition(finding.condition).label))
        facts.append(
            Row(
                "Risk",
                f"{RiskLevel(finding.risk).label}: severity {finding.severity}, "
                f"likelihood {finding.probability_level}",
            )
        )
        return FindingView(
            number=number,
            id=finding.id,
            place=finding.place,
            tag=tag_text(finding.tag),
            priority=finding.priority,
            priority_label=Priority(finding.priority).label,
            condition=Condition(finding.condition).label,
            facts=tuple(facts),
            reasons=finding.reasons,
            told=told(finding),
            overruled=finding.overruled,
            if_left=finding.if_left,
            due_back=f"{DueBackKind(finding.due_back_kind).label} by {self.day(finding.due_back_on)}",
            due_back_day=self.day(finding.due_back_on),
            then=picture_then(finding, photos, self.locale),
            pictures=pictures_of(finding, photos, self.locale),
            plan=self._small_plan(number, finding),
            trend=trend_charts(finding, self.locale),
            jobs=tuple(job.position for job in self.document.jobs if finding.id in job.findings),
        )

    def _small_plan(self, number: int, finding: FindingPart) -> Drawing | None:
        if finding.pin is None:
            return None
        mark = Mark(finding.pin.x, finding.pin.y, number, tag_text(finding.tag), finding.priority)
        return plan_drawing(
            loa_mm=self.document.boat.loa_mm,
            beam_mm=self.document.boat.beam_mm,
            marks=[mark],
            label=f"Plan of the boat, bow to the right, with the place of finding {number}: {finding.place}.",
            width=SMALL_PLAN,
            full=False,
        )

    def job(self, job: JobPart, findings: Sequence[FindingView]) -> JobView:
        served = tuple(finding for finding in findings if finding.id in job.findings)
        first_due = min(self.document.finding(each).due_back_on for each in job.findings)
        return JobView(
            position=job.position,
            title=job.title,
            findings=served,
            opening_up=job.opening_up,
            if_left=job.if_left,
            unsafe_to_leave=job.unsafe_to_leave,
            work=_work(job),
            hours=hours_phrase(job.hours_likely, job.hours_ceiling, self.locale),
            materials=tuple(
                Row(line.name, f"{self.material(line)}, {self.money(line.net)}") for line in job.materials
            ),
            labour=self.money(job.net_labour),
            materials_net=self.money(job.net_materials),
            net=self.money(job.net),
            due_back=self.day(first_due),
        )

    def material(self, line: MaterialLine) -> str:
        """How much of it, and the packs that are opened for this job where these are what is paid for."""
        packs = packs_words(line.packs, line.unit, self.locale)
        amount = _amount(line.quantity, line.unit)
        return f"{amount} ({packs})" if packs else amount

    def totals(self, totals: Totals) -> TotalsView:
        return TotalsView(
            net=self.money(totals.net),
            vat=tuple(
                Row(f"VAT {plain_number(part.rate_pct)} % of {self.money(part.net)}", self.money(part.vat))
                for part in totals.by_rate
            ),
            gross=self.money(totals.gross),
        )

    def not_seen(self) -> tuple[NotSeenView, ...]:
        return tuple(
            NotSeenView(
                place=part.place,
                why=part.why,
                means=part.reasons[0] if part.reasons else "",
                due_back="" if part.due_back_on is None else self.day(part.due_back_on),
            )
            for part in self.document.not_seen
        )

    def due_back(self) -> tuple[DueBackYear, ...]:
        years: dict[int, list[DueBackView]] = {}
        for part in self.document.due_back:
            line = DueBackView(self.day(part.on), DueBackKind(part.kind).label, part.place, tag_text(part.tag))
            years.setdefault(part.on.year, []).append(line)
        return tuple(DueBackYear(year, tuple(lines)) for year, lines in sorted(years.items()))


def _marks(findings: Iterable[FindingView], parts: Iterable[FindingPart]) -> list[Mark]:
    return [
        Mark(part.pin.x, part.pin.y, view.number, view.tag, view.priority)
        for view, part in zip(findings, parts, strict=True)
        if part.pin is not None
    ]


def _plan_label(boat: str, findings: Sequence[FindingView]) -> str:
    places = "; ".join(f"{view.number} {view.place}, {view.priority_label}" for view in findings)
    return f"Deck plan of {boat}, bow to the right, with the places of the findings: {places or 'none'}."


def _work(job: JobPart) -> tuple[str, ...]:
    """Each operation once, with the units of work of all findings together."""
    quantities: dict[str, Decimal] = {}
    names: dict[str, tuple[str, str]] = {}
    for operation in job.operations:
        quantities[operation.treatment] = quantities.get(operation.treatment, Decimal(0)) + operation.quantity
        names[operation.treatment] = (operation.name, operation.unit)
    return tuple(
        f"{name}: {plain_number(quantities[code])} {_unit(unit, quantities[code])}"
        for code, (name, unit) in names.items()
    )


def _unit(unit: str, quantity: Decimal) -> str:
    word = UNITS.get(unit, unit)
    return word if quantity == 1 or unit in {"m", "m2", "m2_coat"} else f"{word}s"


def _amount(quantity: Decimal, unit: str) -> str:
    if unit == "pcs":
        return _count(int(quantity), "piece", "pieces")
    return f"{plain_number(quantity)} {'m²' if unit == 'm2' else unit}"


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


__all__ = ["PRIORITY_MEANS", "reading_name", "report_view", "tag_text", "unit_text"]
