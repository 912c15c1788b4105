"""From a quote as it was sent to the words and figures of the report, in the language that is asked for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from datetime import date
from decimal import Decimal
from typing import Final

from django.utils.translation import gettext, gettext_noop, ngettext, override, pgettext

from inspections.judgement.speech import label_in
from inspections.judgement.vocabulary import Condition, DueBackKind, Priority, RiskLevel
from workshop.pricing.job_price import MaterialLine
from workshop.pricing.money import Totals
from workshop.pricing.pack_words import packs_words
from workshop.quoting.choices import options_of
from workshop.quoting.document import FindingPart, JobPart, QuoteDocument, SavingPart
from workshop.quoting.surface_parts import SurfacePart, TakenOffPart
from workshop.report.calendar import calendar_view
from workshop.report.finding_pictures import picture_then, pictures_of
from workshop.report.plan import Drawing, Ground, Mark, plan_drawing
from workshop.report.profile import Profile, profile_drawing
from workshop.report.telling import told
from workshop.report.trend import trend_charts
from workshop.report.views import (
    AddsToView,
    DueBackView,
    DueBackYear,
    FindingView,
    JobView,
    NotSeenView,
    PriorityView,
    ReportView,
    Row,
    SurfaceView,
    TotalsView,
)
from workshop.report.words import (
    material_amount,
    metres_text,
    number_text,
    reading_name,
    tag_text,
    unit_text,
    work_amount,
)
from yard.languages import Language, language_of
from yard.locale_format import date_text, hours_phrase, hours_text, money_text
from yard.models import PlanLevel
from yard.vocabulary import Finish

SMALL_PLAN: Final = 76.0
# Of plan and profile together, so that the cover stays one page on letter paper, the shorter one.
COVER_HEIGHT: Final = 117.0

# What the priority says to an owner, beside its name.
PRIORITY_MEANS: Final = {
    Priority.BEFORE_LAUNCH: gettext_noop("She should not go in before this is put right."),
    Priority.THIS_SEASON: gettext_noop("She may go in; it should be done before she is laid up again."),
    Priority.NEXT_LAYUP: gettext_noop("It stands still for now and can wait until she is out of the water."),
    Priority.WATCH: gettext_noop("Nothing is gained by touching it now. Somebody looks again by the day given."),
}


def report_view(
    document: QuoteDocument,
    *,
    digest: str,
    locale: str,
    photos: AbstractSet[str] | Mapping[str, object],
    language: Language | None = None,
    ground: Ground | None = None,
) -> ReportView:
    """Set a quote in words.

    Args:
        document: as it was sent.
        digest: its SHA-256.
        locale: of figures and dates.
        photos: SHA-256 of those that can be shown; any other becomes a marked blank.
        language: of the words around what was sent; the document's own unless another is asked for.
        ground: the yard's own drawing of the boat, for the plan on the cover.
    """
    spoken = language or language_of(document.language)
    with override(spoken):
        return _report_view(document, digest, locale, photos, spoken, ground)


def _report_view(
    document: QuoteDocument,
    digest: str,
    locale: str,
    photos: AbstractSet[str] | Mapping[str, object],
    language: Language,
    ground: Ground | None,
) -> ReportView:
    setter = _Setter(document, locale, language)
    findings = setter.findings(photos)
    boat = document.boat
    plan = plan_drawing(
        loa_mm=boat.loa_mm,
        beam_mm=boat.beam_mm,
        marks=_marks(findings, document.findings),
        label=_plan_label(boat.name, findings),
        length_text=gettext("length over all {length}").format(length=setter.metres(boat.loa_mm)),
        ground=ground,
    )
    return ReportView(
        language=locale.replace("_", "-"),
        title=gettext("{boat}: spring inspection {year}, quote {number}").format(
            boat=boat.name, year=document.inspection.season_year, number=document.number
        ),
        yard=document.yard.name,
        boat=boat.name,
        season=document.inspection.season_year,
        number=document.number,
        title_block=setter.title_block(),
        decide_by=setter.day(document.valid_until),
        decider=document.decider.name,
        plan=plan,
        # Our shape would contradict the yard's own drawing.
        profile=_profile(document, findings, room=COVER_HEIGHT - plan.height) if ground is None else None,
        lead=setter.lead(),
        legend=tuple((priority.value, label_in(priority, language)) for priority in Priority),
        priorities=tuple(
            PriorityView(priority.value, label_in(priority, language), gettext(PRIORITY_MEANS[priority]), same)
            for priority in Priority
            if (same := tuple(finding for finding in findings if finding.priority == priority))
        ),
        findings=findings,
        jobs=tuple(setter.job(job, findings) for job in document.jobs),
        totals=setter.totals(document.totals),
        not_seen=setter.not_seen(),
        due_back=setter.due_back(),
        calendar=calendar_view(document.due_back, locale, language),
        cautions=tuple(Row(caution.title, caution.text) for caution in document.cautions),
        rules_versions=", ".join(document.rules_versions),
        digest=digest,
        dated=setter.day(document.dated),
        choices=len(options_of(document.jobs)),
        adds_to=None
        if document.adds_to is None
        else AddsToView(document.adds_to.number, setter.day(document.adds_to.dated), document.adds_to.digest),
    )


class _Setter:
    def __init__(self, document: QuoteDocument, locale: str, language: Language) -> None:
        self.document = document
        self.locale = locale
        self.language = language

    def day(self, day: date) -> str:
        return date_text(day, self.locale, "long")

    def days(self, first: date, last: date) -> str:
        if first == last:
            return self.day(first)
        return gettext("{first} to {last}").format(first=self.day(first), last=self.day(last))

    def money(self, amount: Decimal) -> str:
        return money_text(amount, self.document.currency, self.locale)

    def metres(self, length_mm: int) -> str:
        return metres_text(length_mm, self.locale)

    def number(self, number: Decimal) -> str:
        return number_text(number, self.locale)

    def title_block(self) -> tuple[Row, ...]:
        document, boat, inspection = self.document, self.document.boat, self.document.inspection
        seen_until = inspection.closed_on or document.dated
        build = f"{boat.build}, {boat.material}" if boat.material else boat.build
        rows = [
            Row(gettext("Boat"), boat.name),
            Row(gettext("Build"), build),
            Row(gettext("Length × beam"), f"{self.metres(boat.loa_mm)} × {self.metres(boat.beam_mm)}"),
            Row(pgettext("built", "Year"), str(boat.year or gettext("not known"))),
            Row(gettext("Looked at"), self.days(inspection.opened_on, seen_until)),
            Row(gettext("To go in"), self.day(inspection.launch_on)),
            Row(gettext("For"), document.decider.name),
            Row(
                gettext("Quote"),
                gettext("No. {number} of {day}").format(number=document.number, day=self.day(document.dated)),
            ),
            *self._adds_to(),
            Row(gettext("Open until"), self.day(document.valid_until)),
        ]
        return tuple(rows)

    def _adds_to(self) -> tuple[Row, ...]:
        agreed = self.document.adds_to
        if agreed is None:
            return ()
        return (Row(gettext("Adds to"), gettext("Quote No. {number}").format(number=agreed.number)),)

    def lead(self) -> str:
        found, jobs = len(self.document.findings), len(self.document.jobs)
        urgent = sum(finding.priority == Priority.BEFORE_LAUNCH for finding in self.document.findings)
        where = ngettext("We found something at {count} place.", "We found something at {count} places.", found)
        need = (
            ngettext(
                "{count} of {found} must be put right before she goes in.",
                "{count} of {found} must be put right before she goes in.",
                urgent,
            )
            if urgent
            else gettext("Nothing of it keeps her ashore.")
        )
        ask = ngettext(
            "We put {count} job to you for a yes or no.",
            "We put {count} jobs to you, each for a yes or no of its own.",
            jobs,
        )
        if options_of(self.document.jobs):
            ask = gettext("We put {count} jobs to you; where there are several ways, you choose one.")
        return " ".join((where.format(count=found), need.format(count=urgent, found=found), ask.format(count=jobs)))

    def findings(self, photos: AbstractSet[str] | Mapping[str, object]) -> tuple[FindingView, ...]:
        return tuple(
            self._finding(number, finding, photos) for number, finding in enumerate(self.document.findings, start=1)
        )

    def _finding(
        self, number: int, finding: FindingPart, photos: AbstractSet[str] | Mapping[str, object]
    ) -> FindingView:
        measured = [Row(gettext("Signs"), ", ".join(finding.signs))]
        if finding.size_mm is not None:
            measured.append(Row(gettext("Size"), f"{self.number(finding.size_mm)} mm"))
        measured += [
            Row(
                reading_name(reading.quantity, reading.unit),
                f"{self.number(reading.value)} {unit_text(reading.unit)}",
            )
            for reading in finding.readings
        ]
        condition = label_in(Condition(finding.condition), self.language)
        risk = gettext("{risk}: severity {severity}, likelihood {level}").format(
            risk=label_in(RiskLevel(finding.risk), self.language),
            severity=finding.severity,
            level=finding.probability_level,
        )
        facts = [*measured, Row(gettext("Condition"), condition), Row(gettext("Risk"), risk)]
        return FindingView(
            number=number,
            id=finding.id,
            place=finding.place,
            tag=tag_text(finding.tag),
            priority=finding.priority,
            priority_label=label_in(Priority(finding.priority), self.language),
            condition=condition,
            measured=tuple(measured),
            facts=tuple(facts),
            reasons=finding.reasons,
            reasons_in=finding.reasons_in,
            told=told(finding),
            overruled=finding.overruled,
            if_left=finding.if_left,
            due_back=gettext("{what} by {day}").format(
                what=label_in(DueBackKind(finding.due_back_kind), self.language), day=self.day(finding.due_back_on)
            ),
            due_back_day=self.day(finding.due_back_on),
            then=picture_then(finding, photos, self.locale),
            pictures=pictures_of(finding, photos, self.locale, self.language),
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
            label=gettext(
                "Plan of the boat, bow to the right, with the place of finding {number}: {place}."
            ).format(number=number, place=finding.place),
            width=SMALL_PLAN,
            full=False,
        )

    def job(self, job: JobPart, findings: Sequence[FindingView]) -> JobView:
        served = tuple(finding for finding in findings if finding.id in job.findings)
        surfaces = self.document.surfaces_of(job)
        due = [self.document.finding(each).due_back_on for each in job.findings]
        first_due = min(due + [surface.due_on for surface in surfaces if surface.due_on], default=None)
        return JobView(
            position=job.position,
            title=job.title,
            findings=served,
            opening_up=job.opening_up,
            if_left=job.if_left,
            unsafe_to_leave=job.unsafe_to_leave,
            work=self._work(job),
            hours=hours_told(job.hours_likely, job.hours_ceiling, self.locale),
            materials=tuple(
                Row(line.name, f"{self.material(line)}, {self.money(line.net)}") for line in job.materials
            ),
            labour=self.money(job.net_labour),
            materials_net=self.money(job.net_materials),
            net=self.money(job.net),
            due_back="" if first_due is None else self.day(first_due),
            option=job.option,
            recommended=job.recommended,
            in_sum=job in self.document.as_advised,
            means=job.means,
            proper_by="" if job.proper_by is None else self.day(job.proper_by),
            needs=tuple(Row(str(needed.position), needed.title) for needed in map(self.document.job, job.needs)),
            builds_on=tuple(Row(str(part.quote), part.title) for part in job.builds_on),
            extends=None if job.extends is None else Row(str(job.extends.quote), job.extends.title),
            surfaces=tuple(self._surface(surface) for surface in surfaces),
            taken_off=tuple(self._taken_off(strip) for strip in job.taken_off),
            saving="" if job.saving is None else self._saving(job.saving),
        )

    def material(self, line: MaterialLine) -> str:
        """How much of it, and the packs that are opened for this job where these are what is paid for."""
        packs = packs_words(line.packs, line.unit, self.locale, gettext("{count} {name} of {amount}"))
        amount = material_amount(line.quantity, line.unit, self.locale)
        return f"{amount} ({packs})" if packs else amount

    def _saving(self, saving: SavingPart) -> str:
        """One sentence on what doing the findings together saves."""
        if not saving.hours:
            return gettext("Done together this saves about {net}.").format(net=self.money(saving.net))
        text = gettext("Done together this saves about {hours} and {net}.")
        return text.format(hours=hours_text(saving.hours, self.locale), net=self.money(saving.net))

    def _work(self, job: JobPart) -> tuple[str, ...]:
        """Each operation once, with the units of work of all findings together."""
        quantities: dict[str, Decimal] = {}
        names: dict[str, tuple[str, str]] = {}
        for operation in job.operations:
            quantities[operation.treatment] = quantities.get(operation.treatment, Decimal(0)) + operation.quantity
            names[operation.treatment] = (operation.name, operation.unit)
        return tuple(
            f"{name}: {work_amount(quantities[code], unit, self.locale)}" for code, (name, unit) in names.items()
        )

    def _surface(self, surface: SurfacePart) -> SurfaceView:
        area = f"{number_text(surface.area_m2, self.locale)} m²"
        return SurfaceView(surface.name, label_in(Finish(surface.finish), self.language), area, surface.reasons)

    def _taken_off(self, strip: TakenOffPart) -> str:
        surface = strip.surface
        if strip.job:
            text = gettext("The strip of {surface} in this quote, job {job}, takes this patch off again.")
            return text.format(surface=surface, job=strip.job)
        if strip.by is None:
            return gettext("The strip of {surface} will take this patch off again.").format(surface=surface)
        if strip.by < self.document.dated:
            text = gettext("This patch will be taken off by the strip of {surface}, already due by {day}.")
        else:
            text = gettext("This patch will be taken off by the strip of {surface}, due by {day}.")
        return text.format(surface=surface, day=self.day(strip.by))

    def totals(self, totals: Totals) -> TotalsView:
        return TotalsView(
            net=self.money(totals.net),
            vat=tuple(
                Row(
                    gettext("VAT {rate} % of {net}").format(
                        rate=self.number(part.rate_pct), net=self.money(part.net)
                    ),
                    self.money(part.vat),
                )
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
                means_in=part.reasons_in,
                due_back="" if part.due_back_on is None else self.day(part.due_back_on),
            )
            for part in self.document.not_seen
        )

    def due_back(self) -> tuple[DueBackYear, ...]:
        years: dict[int, list[DueBackView]] = {}
        for part in self.document.due_back:
            line = DueBackView(
                self.day(part.on),
                label_in(DueBackKind(part.kind), self.language),
                part.place,
                tag_text(part.tag),
            )
            years.setdefault(part.on.year, []).append(line)
        return tuple(DueBackYear(year, tuple(lines)) for year, lines in sorted(years.items()))


def hours_told(likely: Decimal, ceiling: Decimal, locale: str) -> str:
    """An estimate as a yard tells it, in the language that is being written."""
    return hours_phrase(likely, ceiling, locale, gettext("about {likely}; we ask again before {ceiling}"))


def _marks(findings: Iterable[FindingView], parts: Iterable[FindingPart]) -> list[Mark]:
    return [
        Mark(part.pin.x, part.pin.y, view.number, view.tag, view.priority)
        for view, part in zip(findings, parts, strict=True)
        if part.pin is not None
    ]


def _profile(document: QuoteDocument, findings: Sequence[FindingView], *, room: float) -> Profile | None:
    """Her side with the places on the hull and inside, where the cover has the room for it under the plan."""
    below = [
        view
        for view, part in zip(findings, document.findings, strict=True)
        if part.pin is not None and part.pin.level in (PlanLevel.HULL, PlanLevel.INTERIOR)
    ]
    numbers = {view.number for view in below}
    boat = document.boat
    return profile_drawing(
        loa_mm=boat.loa_mm,
        beam_mm=boat.beam_mm,
        marks=[mark for mark in _marks(findings, document.findings) if mark.number in numbers],
        label=gettext(
            "{boat} from the side, bow to the right, with the places on the hull and inside: {places}."
        ).format(
            boat=boat.name, places="; ".join(f"{view.number} {view.place}" for view in below) or gettext("none")
        ),
        sides_text=gettext("Broken line: on the port side"),
        room=room,
    )


def _plan_label(boat: str, findings: Sequence[FindingView]) -> str:
    places = "; ".join(f"{view.number} {view.place}, {view.priority_label}" for view in findings)
    return gettext("Deck plan of {boat}, bow to the right, with the places of the findings: {places}.").format(
        boat=boat, places=places or gettext("none")
    )


__all__ = ["PRIORITY_MEANS", "hours_told", "reading_name", "report_view", "tag_text", "unit_text"]
