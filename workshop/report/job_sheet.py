"""The sheet that a technician takes along to a job."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Final
from uuid import UUID

from django.conf import settings
from django.urls import reverse

from inspections.models import Finding, Sign
from workshop.estimating.calendar_parts import JobDays
from workshop.models import Caution, Hold, Job, Operation
from workshop.pricing.job_price import MaterialLine
from workshop.pricing.pack_words import packs_words
from workshop.report.job_figures import figures_for
from workshop.report.job_sheet_views import FiguresView, HoldView, JobSheetView, PlaceView, StepView, WorkView
from workshop.report.making import english
from workshop.report.rendering import Rendered, paper_of
from workshop.report.sheet_rendering import sheet_render
from workshop.report.views import Row
from workshop.selectors.job_steps import JobSteps, StepState, WorkState, job_steps
from workshop.services.job_calendar import Group, Where
from workshop.services.prices import price_list_of, price_of
from workshop.services.quote_words import place_of
from workshop.services.standing import Standing, standing_of
from yard.locale_format import date_text, hours_phrase
from yard.refusals import Refused
from yard.tag_codes import tag_display

FINDING_ROUTE: Final = "web:finding"
ALWAYS: Final = "GENERAL"
AGREED: Final = frozenset(
    {Job.State.APPROVED, Job.State.IN_WORK, Job.State.STOPPED, Job.State.DONE, Job.State.VERIFIED}
)
LINEAR_UNITS: Final = {"m": "m", "m2": "m²", "m2_coat": "m², one coat"}


def job_sheet_render(job: Job, *, on_date: date, where: Where | None = None) -> Rendered:
    """Render the sheet of a job as it stands.

    Args:
        job: with its boat and yard.
        on_date: today, at the yard.
        where: outdoors or in a shed, which decides how long its waits are; None: where the job says.

    Raises:
        Refused: the job has no operation, or one whose steps make no sense.
    """
    view = job_sheet_view(job, on_date=on_date, where=where)
    codes = {
        place.code: f"{settings.PUBLIC_URL}{reverse(FINDING_ROUTE, args=[place.code])}" for place in view.places
    }
    return sheet_render("job_sheet", {"sheet": view}, codes)


def job_sheet_view(job: Job, *, on_date: date, where: Where | None = None) -> JobSheetView:
    """What the sheet says; see `job_sheet_render`."""
    steps = job_steps(job, on_date=on_date, where=where)
    operations = [operation for group in steps.calendar.groups for operation in group.operations]
    found = {operation.finding_id for operation in operations if operation.finding_id is not None}
    findings = list(
        Finding.objects.filter(pk__in=found).select_related("component", "spot", "entry").order_by("found_at", "id")
    )
    holds = list(job.holds.filter(released_at__isnull=True).select_related("who__user"))
    return _Setter(steps, findings, standing_of(findings)).view(operations, holds, on_date)


class _Setter:
    def __init__(self, steps: JobSteps, findings: Sequence[Finding], standing: Mapping[UUID, Standing]) -> None:
        self.job = job = steps.job
        self.steps = steps
        self.findings = findings
        self.by_id = {finding.pk: finding for finding in findings}
        self.standing = standing
        self.calendar = steps.calendar
        self.locale = english(job.yard)

    def day(self, day: date) -> str:
        return date_text(day, self.locale, "medium")

    def moment(self, at: datetime) -> str:
        local = at.astimezone(self.job.yard.zone)
        return f"{date_text(local.date(), self.locale, 'medium')}, {local:%H:%M}"

    def view(self, operations: Sequence[Operation], holds: Iterable[Hold], on_date: date) -> JobSheetView:
        job = self.job
        materials, none, hours = self._materials(operations, on_date)
        return JobSheetView(
            language=self.locale.replace("_", "-"),
            paper=paper_of(self.locale),
            yard=job.yard.name,
            boat=job.boat.name,
            title=job.title,
            state=str(job.get_state_display()),
            approved=job.state in AGREED,
            dated=self.day(on_date),
            facts=self._facts(hours),
            opening_up=job.opening_up,
            not_sealed=self._not_sealed(),
            places=tuple(self._place(finding) for finding in self.findings),
            holds=tuple(
                HoldView(
                    hold.what,
                    hold.who.name if hold.who else "",
                    self.day(hold.expected_on),
                    hold.meanwhile,
                    self.day(hold.put_right_by) if hold.put_right_by else "",
                )
                for hold in holds
            ),
            meanwhile=tuple(
                f"{self._where(finding)}: {hold['say']}"
                for finding in self.findings
                if isinstance(hold := self._judged(finding).get("hold"), Mapping)
            ),
            works=tuple(map(self._work, self.steps.works)),
            materials=materials,
            no_materials=none,
            cautions=self._cautions(operations),
            waits_note=self._waits_note(),
            metered=tuple(
                f"{self._where(self.by_id[reading.finding_id])}: {_plain(reading.moisture_pct)} % on "
                f"{self.moment(reading.read_at)}, {reading.by.name}"
                for reading in self.steps.readings
                if reading.finding_id in self.by_id
            ),
        )

    def _facts(self, hours: str) -> tuple[Row, ...]:
        likely, cautious = self.calendar.likely, self.calendar.cautious
        rows = [Row("Hours", hours)] if hours else []
        rows.append(Row("Can begin", self.day(likely.start_on)))
        rows.append(Row("Waits take", _days_between(likely, cautious)))
        ready = "not within three years" if likely.ready_on is None else self.day(likely.ready_on)
        rows.append(Row("All waits over", ready))
        return tuple(rows)

    def _not_sealed(self) -> tuple[str, ...]:
        likely, cautious = self.calendar.likely, self.calendar.cautious
        if likely.never_dries:
            return ("Do not seal: in this air the wood does not get dry enough within three years.",)
        if likely.not_sealed_before is None:
            return ()
        first = f"Do not seal before {self.day(likely.not_sealed_before)}, and not before the meter says so."
        if cautious.never_dries or cautious.not_sealed_before is None:
            return (first, "It may take much longer: meter every week.")
        return (first, f"Wood that gives its water up slowly takes until {self.day(cautious.not_sealed_before)}.")

    def _judged(self, finding: Finding) -> Mapping[str, object]:
        stands = self.standing.get(finding.pk)
        return {} if stands is None else dict(stands.assessment.document)

    def _where(self, finding: Finding) -> str:
        return place_of(finding.component, finding.entry.elsewhere, finding.spot)

    def _worked_on(self, operation: Operation) -> str:
        if operation.finding_id is None:
            return f"{operation.surface}, the whole surface"
        return self._where(self.by_id[operation.finding_id])

    def _place(self, finding: Finding) -> PlaceView:
        names = dict(
            Sign.objects.of_yard(self.job.yard_id)
            .filter(code__in=finding.entry.signs)
            .order_by()
            .values_list("code", "name")
        )
        do_not = self._judged(finding).get("do_not")
        stands = self.standing.get(finding.pk)
        return PlaceView(
            code=str(finding.pk),
            place=self._where(finding),
            tag=tag_display(finding.spot.tag) if finding.spot is not None else "",
            signs=", ".join(names.get(code, code) for code in finding.entry.signs),
            do_not=tuple(str(each) for each in do_not) if isinstance(do_not, list) else (),
            due_back="" if stands is None else self.day(stands.due_back_on),
        )

    def _work(self, work: WorkState) -> WorkView:
        group, placed = work.group, work.days
        treatment = group.first.treatment
        amount = sum((operation.quantity for operation in group.operations), Decimal(0))
        figures, missing = self._figures(group, placed.steps[-1].not_before or self.calendar.likely.start_on)
        conditions = []
        if treatment.minimum_temperature_c is not None:
            conditions.append(f"not below {treatment.minimum_temperature_c} °C")
        if treatment.maximum_moisture_pct is not None:
            conditions.append(f"wood at {treatment.maximum_moisture_pct} % or drier")
        conditions += ["under cover"] if treatment.needs_shelter else []
        conditions += ["in dry weather"] if treatment.needs_dry_weather else []
        return WorkView(
            name=treatment.name,
            amount=f"{_plain(amount)} {_unit(treatment.unit, amount)}",
            places=tuple(
                f"{self._worked_on(operation)} ({_plain(operation.quantity)})" for operation in group.operations
            )
            if len(self.findings) > 1 or any(operation.surface for operation in group.operations)
            else (),
            conditions=tuple(conditions),
            needs=tuple(treatment.needs),
            tools=tuple(treatment.tools),
            steps=tuple(map(self._step, work.steps)),
            ready="" if placed.ready_on is None else self.day(placed.ready_on),
            figures=figures,
            limits=" ".join(filter(None, (treatment.limits, *missing))),
        )

    def _step(self, state: StepState) -> StepView:
        placed, number = state.days, state.number
        wait, allowed = placed.step.wait, placed.not_before
        told = ""
        if wait is not None:
            from_step = f" from step {wait.since_step}" if wait.since_step != number else ""
            span = _hours(wait.hours_low, wait.hours_high)
            told = f"Then {wait.what or 'rest'}: {span} at 20 °C{from_step}."
        said = why = ""
        last = None if state.is_open or state.words is None else state.words.last
        if last is not None:
            verb = "Left out" if state.left_out is not None else "Ticked"
            said = f"{verb} {self.moment(last.ticked_at)}, {last.by.name}"
            early = f"Before its time ({self.day(last.allowed_on)}): " if last.allowed_on else ""
            why = f"{early}{last.reason}" if last.reason else ""
        if placed.not_before_at is not None:
            day = self.moment(placed.not_before_at)
        else:
            day = "never in this air" if allowed is None else self.day(allowed)
        return StepView(
            number=number,
            text=placed.step.text,
            not_before="" if said else day,
            wait=told,
            reasons=() if said else placed.reasons,
            seals=placed.seals,
            said=said,
            why=why,
        )

    def _figures(self, group: Group, on_date: date) -> tuple[tuple[FiguresView, ...], tuple[str, ...]]:
        figures: dict[FiguresView, None] = {}
        missing: dict[str, None] = {}
        for operation in group.operations:
            finding = None if operation.finding_id is None else self.by_id[operation.finding_id]
            part = None if finding is None else finding.component
            if part is None:
                continue
            found, lacking = figures_for(
                group.first.treatment.code,
                yard=self.job.yard,
                part=str(part),
                species=part.species,
                on_date=on_date,
            )
            figures.update(dict.fromkeys(found))
            missing.update({lacking: None} if lacking else {})
        return tuple(figures), tuple(missing)

    def _materials(self, operations: Sequence[Operation], on_date: date) -> tuple[tuple[Row, ...], str, str]:
        """Materials with waste, as the job is priced; what is missing for that is told."""
        try:
            price = price_of(self.job, operations, price_list_of(self.job.yard, on_date=on_date))
        except Refused as refusal:
            return (), f"Materials can't be reckoned: {refusal.problem}; {refusal.remedy}.", ""
        rows = tuple(Row(line.name, self._amount(line)) for line in price.materials)
        hours = hours_phrase(price.hours_likely, price.hours_ceiling, self.locale)
        return rows, "" if rows else "No materials are listed for it.", hours

    def _amount(self, line: MaterialLine) -> str:
        amount = f"{_plain(line.quantity)} {LINEAR_UNITS.get(line.unit, line.unit)}"
        packs = packs_words(line.packs, line.unit, self.locale)
        return f"{amount} ({packs})" if packs else amount

    def _cautions(self, operations: Iterable[Operation]) -> tuple[Row, ...]:
        codes = {code for operation in operations for code in operation.treatment.cautions} | {ALWAYS}
        rows = Caution.objects.of_yard(self.job.yard_id).filter(code__in=codes)
        ordered = sorted(rows, key=lambda caution: (caution.code != ALWAYS, caution.title))
        return tuple(Row(caution.title, caution.text) for caution in ordered)

    def _waits_note(self) -> str:
        if self.calendar.where is Where.SHED:
            air = "a heated shed"
        elif self.calendar.climate_known:
            air = "outdoors, by the mean temperature of each month"
        else:
            air = "air of 20 °C, since the yard has entered no climate"
        return f"Days are reckoned for {air}. A product's data sheet and the meter come first."


def _days_between(likely: JobDays, cautious: JobDays) -> str:
    if likely.days is None:
        return "longer than three years in this air"
    most = "perhaps far longer" if cautious.days is None else f"at most about {cautious.days}"
    if cautious.days == likely.days:
        return f"{likely.days} days besides the hours"
    return f"{likely.days} days besides the hours, {most}"


def _hours(low: float, high: float) -> str:
    if low >= 48:
        low, high, unit = low / 24, high / 24, "days"
    else:
        unit = "h"
    first, last = f"{low:.3g}", f"{high:.3g}"
    return f"{first} {unit}" if first == last else f"{first} to {last} {unit}"


def _plain(number: Decimal) -> str:
    return format(number.normalize(), "f")


def _unit(unit: str, quantity: Decimal) -> str:
    if unit in LINEAR_UNITS:
        return LINEAR_UNITS[unit]
    return unit if quantity == 1 else f"{unit}s"


__all__ = ["job_sheet_render", "job_sheet_view"]
