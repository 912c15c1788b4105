"""The steps of a job as they stand: ticked, left out or open, and from when each is allowed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from inspections.models import Finding
from workshop.estimating.calendar_parts import StepDays, WorkDays
from workshop.models import Job, MeterReading, StepTick
from workshop.services.job_calendar import Group, JobCalendar, Where, job_calendar
from workshop.services.prices import operations_of
from workshop.services.standing import standing_of
from workshop.services.step_words import StepWords


@dataclass(frozen=True, slots=True)
class StepState:
    """One step of a job.

    Args:
        number: counted from 1 among the steps of its operation.
        days: in the calendar, at the likely pace.
        words: what was said of it; None where nobody said anything yet.
    """

    number: int
    days: StepDays
    words: StepWords | None

    @property
    def done(self) -> StepTick | None:
        return None if self.words is None else self.words.done

    @property
    def left_out(self) -> StepTick | None:
        return None if self.words is None else self.words.left_out

    @property
    def is_open(self) -> bool:
        return self.done is None and self.left_out is None

    def is_early(self, at: datetime, today: date) -> bool:
        """Whether the waits before it are not over yet."""
        if self.days.not_before_at is not None:
            return at < self.days.not_before_at
        return self.days.not_before is None or today < self.days.not_before


@dataclass(frozen=True, slots=True)
class WorkState:
    """Operations that are done together, with their steps."""

    group: Group
    days: WorkDays
    steps: tuple[StepState, ...]

    @property
    def key(self) -> int:
        """The operation that its ticks are written on."""
        return self.group.first.pk


@dataclass(frozen=True, slots=True)
class JobSteps:
    """All of them."""

    job: Job
    calendar: JobCalendar
    works: tuple[WorkState, ...]
    ticks: tuple[StepTick, ...]
    readings: tuple[MeterReading, ...]

    def open_steps(self) -> Iterator[tuple[WorkState, StepState]]:
        return ((work, step) for work in self.works for step in work.steps if step.is_open)

    @property
    def some_ticked(self) -> bool:
        return any(step.done is not None for work in self.works for step in work.steps)


def job_steps(job: Job, *, on_date: date, where: Where | None = None) -> JobSteps:
    """The steps of a job today.

    Args:
        job: with its yard.
        on_date: today, at the yard.
        where: the air its waits are reckoned for; None: the job's own.

    Raises:
        Refused: the job has no operation, or one whose steps make no sense.
    """
    operations = operations_of([job])[job.pk]
    findings = Finding.objects.filter(
        pk__in={operation.finding_id for operation in operations if operation.finding_id is not None}
    )
    ticks = tuple(job.ticks.select_related("by__user", "operation__treatment").order_by("ticked_at", "id"))
    readings = tuple(job.meter_readings.select_related("by__user", "finding").order_by("read_at", "id"))
    calendar = job_calendar(
        yard=job.yard,
        operations=operations,
        holds=list(job.holds.filter(released_at__isnull=True)),
        standing=standing_of(findings),
        on_date=on_date,
        where=Where(job.worked_in) if where is None else where,
        ticks=ticks,
        readings=readings,
    )
    works = tuple(
        WorkState(
            group,
            days,
            tuple(
                StepState(number, step, calendar.words.get((place, number)))
                for number, step in enumerate(days.steps, start=1)
            ),
        )
        for place, (group, days) in enumerate(zip(calendar.groups, calendar.likely.works, strict=True))
    )
    return JobSteps(job, calendar, works, ticks, readings)


__all__ = ["JobSteps", "StepState", "WorkState", "job_steps"]
