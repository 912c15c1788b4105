"""The calendar of a job as the tables have it: its operations with their waits, its wet wood, the yard's air."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum
from uuid import UUID

from inspections.selectors.air import month_climates_of
from inspections.selectors.rules import rules_of
from workshop.estimating.calendar_parts import Air, JobDays, Pace, WetWood, Work
from workshop.estimating.steps import DRYING, steps_of
from workshop.estimating.waits import CATALOGUE_C, job_days
from workshop.models import Hold, MeterReading, Operation, StepTick
from workshop.services.standing import Standing
from workshop.services.step_words import StepWords, words_on
from yard.models import Yard
from yard.refusals import Refused


class Where(StrEnum):
    """Where a job is done."""

    OUTDOORS = "outdoors"
    SHED = "shed"


@dataclass(frozen=True, slots=True)
class YardAir:
    """The air to reckon with, and whether the yard has entered its climate."""

    air: Air
    known: bool


@dataclass(frozen=True, slots=True)
class Group:
    """Operations of one treatment that are done together, at several findings."""

    operations: tuple[Operation, ...]

    @property
    def first(self) -> Operation:
        return self.operations[0]


@dataclass(frozen=True, slots=True)
class JobCalendar:
    """A job in the calendar at the likely and at the cautious pace, and in what air.

    Args:
        words: what was said of each step, by the place of its group from 0 and its own from 1.
        limits: the moisture at or below which the wood at a finding is dry enough, % of dry mass; those of findings
            that nothing asks it of are left out.
    """

    groups: tuple[Group, ...]
    likely: JobDays
    cautious: JobDays
    where: Where
    climate_known: bool
    words: Mapping[tuple[int, int], StepWords] = field(default_factory=dict)
    limits: Mapping[UUID, float] = field(default_factory=dict)


def grouped(operations: Iterable[Operation]) -> tuple[Group, ...]:
    """The same treatment at several findings is done in one go, unless something else comes between at one of them.

    The order at each finding stays as it was given.
    """
    groups: list[list[Operation]] = []
    for operation in operations:
        home = None
        for group in reversed(groups):
            if group[0].treatment_id == operation.treatment_id:
                home = group
                break
            if any(each.place_key == operation.place_key for each in group):
                break
        if home is None:
            groups.append([operation])
        else:
            home.append(operation)
    return tuple(Group(tuple(group)) for group in groups)


def job_calendar(
    *,
    yard: Yard,
    operations: Sequence[Operation],
    holds: Iterable[Hold],
    standing: Mapping[UUID, Standing],
    on_date: date,
    where: Where = Where.OUTDOORS,
    air: YardAir | None = None,
    ticks: Iterable[StepTick] = (),
    readings: Iterable[MeterReading] = (),
) -> JobCalendar:
    """Put a job into the calendar, from today or from the day on which the last thing it waits for is expected.

    What was ticked counts from its tick. The meter comes before the reckoning: wood that was read at or below what
    is allowed is dry since then, and wood that was read above it is not dry before it is read again.

    Args:
        air: what `air_of_yard` gave for the same `where`, read once for many jobs.
        ticks: of the job, in the order of their making.
        readings: of the job, likewise.

    Raises:
        Refused: the job has no operation, or one whose steps make no sense; the field names its treatment.
    """
    groups = grouped(operations)
    start_on = max([on_date, *(hold.expected_on for hold in holds if hold.released_at is None)])
    in_air = air or air_of_yard(yard, where)
    works = [_work(group) for group in groups]
    words = words_on([(group.operations, work.steps) for group, work in zip(groups, works, strict=True)], ticks)
    ticked = {
        place: said.done.ticked_at.astimezone(yard.zone) for place, said in words.items() if said.done is not None
    }
    limits = _limits(groups, standing)
    wet = {
        str(finding): wood
        for finding, stands in standing.items()
        if (wood := _wet_wood(stands.assessment.document, where)) is not None
    }
    wet |= _metered(groups, works, words, limits, wet, readings, yard)
    likely, cautious = (
        job_days(works=works, start_on=start_on, air=in_air.air, wet=wet, pace=pace, ticked=ticked)
        for pace in (Pace.LIKELY, Pace.CAUTIOUS)
    )
    return JobCalendar(groups, likely, cautious, where, in_air.known, words, limits)


def _limits(groups: Sequence[Group], standing: Mapping[UUID, Standing]) -> dict[UUID, float]:
    """The driest that an operation of the job asks for at each finding, else what its judgement dries it to."""
    limits: dict[UUID, float] = {}
    for finding, stands in standing.items():
        drying = stands.assessment.document.get("drying")
        target = drying.get("target_pct") if isinstance(drying, Mapping) else None
        if isinstance(target, int | float):
            limits[finding] = float(target)
    asked: dict[UUID, float] = {}
    for group in groups:
        most = group.first.treatment.maximum_moisture_pct
        for operation in group.operations if most is not None else ():
            if operation.finding_id is not None:
                asked[operation.finding_id] = min(asked.get(operation.finding_id, 100.0), float(most or 0))
    return limits | asked


def _metered(
    groups: Sequence[Group],
    works: Sequence[Work],
    words: Mapping[tuple[int, int], StepWords],
    limits: Mapping[UUID, float],
    wet: Mapping[str, WetWood],
    readings: Iterable[MeterReading],
    yard: Yard,
) -> dict[str, WetWood]:
    """What the last reading at each finding makes of its wood.

    A reading from before the drying that is under way began says nothing about how far that has come.
    """
    newest = {reading.finding_id: reading for reading in readings if reading.finding_id in limits}
    metered = {}
    for finding, reading in newest.items():
        begins = [
            words.get((at, step.wait.since_step))
            for at, (group, work) in enumerate(zip(groups, works, strict=True))
            if any(operation.finding_id == finding for operation in group.operations)
            for step in work.steps
            if step.wait is not None and step.wait.what == DRYING
        ]
        if any(begun is None or begun.done is None or begun.done.ticked_at > reading.read_at for begun in begins):
            continue
        read_on = reading.read_at.astimezone(yard.zone).date()
        if float(reading.moisture_pct) <= limits[finding]:
            metered[str(finding)] = WetWood(read_on, read_on, read_on)
            continue
        again = read_on + timedelta(days=rules_of(yard).moisture.read_again_days)
        before = wet.get(str(finding), WetWood(again, again, again))
        metered[str(finding)] = WetWood(
            *(
                None if day is None else max(day, again)
                for day in (before.early_on, before.likely_on, before.cautious_on)
            )
        )
    return metered


def _work(group: Group) -> Work:
    treatment = group.first.treatment
    try:
        return Work(
            treatment=treatment.code,
            findings=tuple(operation.place_key for operation in group.operations),
            # an operation without steps is one step: doing it
            steps=steps_of(treatment.steps or [{"text": treatment.name}]),
            minimum_temperature_c=treatment.minimum_temperature_c,
            wants_dry_wood=treatment.maximum_moisture_pct is not None,
        )
    except Refused as refusal:
        raise refusal.under(f"treatments.{treatment.code}") from refusal


def air_of_yard(yard: Yard, where: Where) -> YardAir:
    """The air of a yard, in one query at most for outdoors."""
    if where is Where.SHED:
        return YardAir(Air.shed(rules_of(yard).drying.shed_temperature_c), known=True)
    months = month_climates_of(yard)
    if len(months) != 12:
        return YardAir(Air.shed(CATALOGUE_C), known=False)
    return YardAir(Air({month.month: month.temperature_c for month in months}), known=True)


def _wet_wood(document: Mapping[str, object], where: Where) -> WetWood | None:
    drying = document.get("drying")
    if not isinstance(drying, Mapping):
        return None
    if where is Where.SHED:
        # the judgement gives one day for a shed; it stands for all three
        day = _day(drying.get("shed_likely_on"))
        return WetWood(day, day, day)
    return WetWood(*(_day(drying.get(name)) for name in ("earliest_on", "likely_on", "cautious_on")))


def _day(text: object) -> date | None:
    return date.fromisoformat(text) if isinstance(text, str) else None


__all__ = ["Group", "JobCalendar", "Where", "YardAir", "air_of_yard", "grouped", "job_calendar"]
