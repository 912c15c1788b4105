"""The picking list of a week: what is to be fetched for the approved jobs that must be begun in it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from uuid import UUID

from django.db.models import F, Sum

from inspections.models import DueBack
from workshop.models import Job, MaterialLog, Operation
from workshop.pricing.job_price import MaterialLine, PriceList, material_lines
from workshop.pricing.picking import Picked, picked
from workshop.services.job_calendar import Where, YardAir, air_of_yard, job_calendar
from workshop.services.prices import cost_of, operations_of, price_list_of
from workshop.services.standing import Standing, standing_of
from yard.models import Yard
from yard.refusals import Refused
from yard.weeks import Week, week_of

TO_BE_WORKED_ON = (Job.State.APPROVED, Job.State.IN_WORK, Job.State.STOPPED)


@dataclass(frozen=True, slots=True)
class PickingJob:
    """A job of the week.

    Attributes:
        job: with its boat.
        due_on: the earliest due-back date of its findings; the launch where none is judged.
        begin_by: the last day on which its waits still end in time, or the day from which nothing holds it.
        why_not: why its materials can't be reckoned; empty where they can.
    """

    job: Job
    due_on: date
    begin_by: date
    why_not: str


@dataclass(frozen=True, slots=True)
class PickingTool:
    """A tool and the jobs it is for."""

    name: str
    jobs: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class PickingList:
    """What is to be fetched in a week, with the jobs it is for, the first to be begun first."""

    week: Week
    jobs: tuple[PickingJob, ...]
    materials: tuple[Picked, ...]
    tools: tuple[PickingTool, ...]


def picking_list(yard: Yard, week: Week, *, on_date: date) -> PickingList:
    """Gather a week's list less what is booked, in a number of queries that does not grow with the jobs.

    A job stands in the week in which it must be begun: the earliest due-back date of its findings and surfaces (the
    launch where there is none) less its waits, and not before what it waits for is expected. What should have been
    begun already, and what is in work, stands in the week of `on_date`.
    """
    jobs = list(
        Job.objects.of_yard(yard)
        .filter(state__in=TO_BE_WORKED_ON)
        .select_related("yard", "boat", "inspection")
        .prefetch_related("holds")
        .order_by("id")
    )
    operations = operations_of(jobs)
    worked_on = [operation for rows in operations.values() for operation in rows]
    standing = standing_of({each.finding.pk: each.finding for each in worked_on if each.finding}.values())
    strips = _strips_due({each.surface_id for each in worked_on if each.surface_id})
    air = air_of_yard(yard, Where.OUTDOORS)
    prices = price_list_of(yard, on_date=on_date)
    found: list[PickingJob] = []
    needs: dict[int, Sequence[MaterialLine]] = {}
    for job in jobs:
        mine = operations[job.pk]
        due_on = _due_on(job, mine, standing, strips)
        begin_by = on_date
        if job.state != Job.State.IN_WORK:
            begin_by = _begin_by(job, mine, due_on, standing, on_date=on_date, air=air)
        if week_of(begin_by) != week:
            continue
        lines, why_not = _materials(mine, prices)
        needs[job.pk] = lines
        found.append(PickingJob(job, due_on, begin_by, why_not))
    found.sort(key=lambda each: (each.begin_by, each.due_on, each.job.pk))
    in_order = {each.job.pk: needs[each.job.pk] for each in found}
    materials = picked(in_order, prices.materials, _booked(in_order))
    return PickingList(week, tuple(found), materials, _tools(found, operations))


def _begin_by(
    job: Job,
    operations: Sequence[Operation],
    due_on: date,
    standing: Mapping[UUID, Standing],
    *,
    on_date: date,
    air: YardAir,
) -> date:
    keys = [operation.finding_id for operation in operations if operation.finding_id is not None]
    mine = {key: standing[key] for key in keys if key in standing}
    try:
        calendar = job_calendar(
            yard=job.yard, operations=operations, holds=job.holds.all(), standing=mine, on_date=on_date, air=air
        )
    except Refused:
        # steps that make no sense, or none: what the job sheet refuses must not hide the job here
        return max(due_on, on_date)
    # a job that is never ready in this air can't be begun too soon
    days = calendar.likely.days
    last_start = on_date if days is None else due_on - timedelta(days=days)
    return max(last_start, calendar.likely.start_on)


def _due_on(
    job: Job, operations: Sequence[Operation], standing: Mapping[UUID, Standing], strips: Mapping[int, date]
) -> date:
    days = [standing[op.finding_id].due_back_on for op in operations if op.finding_id and op.finding_id in standing]
    days += [strips[op.surface_id] for op in operations if op.surface_id and op.surface_id in strips]
    return min(days, default=job.inspection.launch_on)


def _strips_due(surfaces: Iterable[int]) -> Mapping[int, date]:
    """By when each of these surfaces has to be stripped, as the due-back book has it."""
    lines = DueBack.objects.filter(surface__in=list(surfaces), ended_at__isnull=True)
    return {line.surface_id: line.due_on for line in lines if line.surface_id is not None}


def _materials(operations: Sequence[Operation], prices: PriceList) -> tuple[Sequence[MaterialLine], str]:
    try:
        return material_lines([cost_of(operation) for operation in operations], prices), ""
    except Refused as refusal:
        return (), f"{refusal.problem}; {refusal.remedy}"


def _booked(jobs: Iterable[int]) -> Mapping[tuple[int, str], Decimal]:
    """What was used on these jobs already; a line in a unit that the list no longer has can't be taken off."""
    rows = MaterialLog.objects.filter(job__in=list(jobs), unit=F("material__unit")).order_by()
    summed = rows.values_list("job", "material__code").annotate(used=Sum("quantity"))
    return {(job, code): used for job, code, used in summed}


def _tools(jobs: Sequence[PickingJob], operations: Mapping[int, Sequence[Operation]]) -> tuple[PickingTool, ...]:
    wanted: dict[str, dict[int, None]] = {}
    for each in jobs:
        for operation in operations[each.job.pk]:
            for tool in operation.treatment.tools:
                wanted.setdefault(tool, {})[each.job.pk] = None
    return tuple(PickingTool(name, tuple(wanted[name])) for name in sorted(wanted, key=str.casefold))


__all__ = ["PickingJob", "PickingList", "PickingTool", "picking_list"]
