"""The calendar of a job as the tables have it: its operations with their waits, its wet wood, the yard's air."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from uuid import UUID

from inspections.selectors.air import month_climates_of
from inspections.selectors.rules import rules_of
from workshop.estimating.calendar_parts import Air, JobDays, Pace, WetWood, Work
from workshop.estimating.steps import steps_of
from workshop.estimating.waits import CATALOGUE_C, job_days
from workshop.models import Hold, Operation
from workshop.services.standing import Standing
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
    """A job in the calendar at the likely and at the cautious pace, and in what air."""

    groups: tuple[Group, ...]
    likely: JobDays
    cautious: JobDays
    where: Where
    climate_known: bool


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
) -> JobCalendar:
    """Put a job into the calendar, from today or from the day on which the last thing it waits for is expected.

    `air` is what `air_of_yard` gave for the same `where`, read once for many jobs.

    Raises:
        Refused: the job has no operation, or one whose steps make no sense; the field names its treatment.
    """
    groups = grouped(operations)
    start_on = max([on_date, *(hold.expected_on for hold in holds if hold.released_at is None)])
    in_air = air or air_of_yard(yard, where)
    wet = {
        str(finding): wood
        for finding, stands in standing.items()
        if (wood := _wet_wood(stands.assessment.document, where)) is not None
    }
    works = [_work(group) for group in groups]
    likely, cautious = (
        job_days(works=works, start_on=start_on, air=in_air.air, wet=wet, pace=pace)
        for pace in (Pace.LIKELY, Pace.CAUTIOUS)
    )
    return JobCalendar(groups, likely, cautious, where, in_air.known)


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
