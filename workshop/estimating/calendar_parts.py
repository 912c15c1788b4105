"""What goes into the calendar of a job, and what comes out of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Final

from inspections.figures import between
from workshop.estimating.steps import Step
from yard.refusals import Refused

_MONTHS: Final = range(1, 13)


class Pace(StrEnum):
    """Which of three figures of each wait is reckoned with."""

    EARLY = "early"
    LIKELY = "likely"
    CAUTIOUS = "cautious"


@dataclass(frozen=True, slots=True)
class Air:
    """How warm it is where the work is done, in °C, by month: the yard's normals outdoors, or the same all year.

    Args:
        by_month: mean air temperature of months 1 to 12 in °C, each -60 to 60.

    Raises:
        Refused: a month is missing or a temperature outside its range.
    """

    by_month: Mapping[int, float]

    def __post_init__(self) -> None:
        if set(self.by_month) != set(_MONTHS):
            raise Refused("months", "are not the twelve of a year", "give each month from 1 to 12 once")
        for month, celsius in self.by_month.items():
            between(f"temperature_c of month {month}", celsius, -60, 60, "°C")

    @classmethod
    def shed(cls, temperature_c: float) -> Air:
        """A shed kept at one temperature, in °C, -60 to 60."""
        return cls(dict.fromkeys(_MONTHS, temperature_c))

    def on(self, day: date) -> float:
        return self.by_month[day.month]


@dataclass(frozen=True, slots=True)
class WetWood:
    """From when the wood at a finding may be sealed; None where that air never dries it so far in three years."""

    early_on: date | None
    likely_on: date | None
    cautious_on: date | None


@dataclass(frozen=True, slots=True)
class Work:
    """One operation at one or more findings, done at them together.

    Args:
        treatment: code of the operation.
        findings: keys of the findings it is for, at least one.
        steps: in the order of work, at least one.
        minimum_temperature_c: below it nothing of it is brushed, glued or left to cure, in °C; None for no bound.
        wants_dry_wood: it closes the wood up, so that what it shuts in must be dry.
    """

    treatment: str
    findings: tuple[str, ...]
    steps: tuple[Step, ...]
    minimum_temperature_c: float | None = None
    wants_dry_wood: bool = False

    def __post_init__(self) -> None:
        if not self.findings or not self.steps:
            raise Refused("operations", f"{self.treatment} has no finding or no step", "give at least one of each")


@dataclass(frozen=True, slots=True)
class StepDays:
    """One step in the calendar.

    Args:
        step: what is done.
        not_before: the first day on which it is allowed; None where it isn't within three years.
        waits_days: by how many days it comes after the step before it, or after the day its operation can begin.
        seals: it is the first that closes up wood that must be dry.
        reasons: why it is not allowed earlier, each a sentence.
        ticked_at: when it was done; `not_before` is then the day of the tick.
        not_before_at: the moment itself, where the wait before it is counted from a tick.
    """

    step: Step
    not_before: date | None
    waits_days: int | None
    seals: bool
    reasons: tuple[str, ...]
    ticked_at: datetime | None = None
    not_before_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class WorkDays:
    """An operation in the calendar: its steps, and the day on which its last wait is over."""

    work: Work
    begins_on: date | None
    steps: tuple[StepDays, ...]
    ready_on: date | None


@dataclass(frozen=True, slots=True)
class JobDays:
    """A job in the calendar.

    Args:
        start_on: the first day of work.
        works: its operations in the order given.
        ready_on: when every wait is over, those for full strength too; None: not within three years.
        days: calendar days from start to ready, besides the hours of work.
        not_sealed_before: the latest day by which wood that is closed up must have dried; None where none is wet.
        never_dries: this air doesn't dry it within three years.
    """

    start_on: date
    works: tuple[WorkDays, ...]
    ready_on: date | None
    days: int | None
    not_sealed_before: date | None
    never_dries: bool


__all__ = ["Air", "JobDays", "Pace", "StepDays", "WetWood", "Work", "WorkDays"]
