"""The jobs of a season, boat by boat: how many are in which state, what they wait for, the hours open on them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.db.models import Count, Min, Q, QuerySet, Sum

from workshop.models import Hold, Job, Operation, Quote, QuoteLine, WorkLog
from workshop.models.jobs import HoldKind
from workshop.models.quotes import Verdict
from workshop.planning.launch_hours import open_hours
from workshop.planning.way import HoldFacts, JobFacts
from yard.models import Yard

# Agreed, and not done.
OPEN = (Job.State.APPROVED, Job.State.IN_WORK, Job.State.STOPPED)
NONE = Decimal(0)


@dataclass(frozen=True, slots=True)
class OpenHours:
    """Hours [h] open on the jobs of one inspection.

    Attributes:
        by_launch: agreed and due by the launch, or without a day: the 80 % figures less what is booked.
        later: likewise, due after the launch.
        likely: of both, as likely more as less.
        asked: the 80 % figures of what is with the decider; of jobs that exclude each other the longest.
    """

    by_launch: Decimal = NONE
    later: Decimal = NONE
    likely: Decimal = NONE
    asked: Decimal = NONE


NO_JOB, NO_HOURS = JobFacts(), OpenHours()


@dataclass(frozen=True, slots=True)
class InspectionJobs:
    """What came of one inspection."""

    jobs: JobFacts = NO_JOB
    holds: tuple[HoldFacts, ...] = ()
    hours: OpenHours = NO_HOURS


NO_JOBS = InspectionJobs()


@dataclass(slots=True)
class _Family:
    """A job and the agreed more work on it: what of them is open, hours agreed and booked."""

    ceiling: list[tuple[Decimal, Decimal]] = field(default_factory=list)
    likely: list[tuple[Decimal, Decimal]] = field(default_factory=list)
    by_launch: bool = False


def season_jobs(yard: Yard, season_year: int) -> Mapping[int, InspectionJobs]:
    """By inspection, in seven queries."""
    jobs = Job.objects.of_yard(yard).filter(inspection__season_year=season_year).order_by()
    states: dict[int, dict[str, int]] = defaultdict(dict)
    counted = jobs.values("inspection_id", "state").annotate(number=Count("pk"))
    for inspection, state, number in counted.values_list("inspection_id", "state", "number"):
        states[inspection][state] = number
    holds: dict[int, list[HoldFacts]] = defaultdict(list)
    waiting = Hold.objects.of_yard(yard).filter(
        job__inspection__season_year=season_year, job__state__in=Job.LIVE, released_at__isnull=True
    )
    for inspection, kind, day in waiting.values_list("job__inspection_id", "kind", "expected_on"):
        holds[inspection].append(HoldFacts(HoldKind(kind).label, day))
    agreed, asked = _agreed(jobs), _asked(yard, season_year)
    return {
        inspection: InspectionJobs(
            jobs=_job_facts(numbers),
            holds=tuple(holds.get(inspection, ())),
            hours=_hours(agreed.get(inspection, []), asked.get(inspection, NONE)),
        )
        for inspection, numbers in states.items()
    }


def _job_facts(numbers: Mapping[str, int]) -> JobFacts:
    told = (
        Job.State.PROPOSED,
        Job.State.APPROVED,
        Job.State.IN_WORK,
        Job.State.STOPPED,
        Job.State.DONE,
        Job.State.VERIFIED,
    )
    return JobFacts(**{state.value: numbers.get(state, 0) for state in told})


def _hours(families: list[_Family], asked: Decimal) -> OpenHours:
    return OpenHours(
        by_launch=open_hours(family.ceiling for family in families if family.by_launch),
        later=open_hours(family.ceiling for family in families if not family.by_launch),
        likely=open_hours(family.likely for family in families),
        asked=asked,
    )


def _agreed(jobs: QuerySet[Job]) -> dict[int, list[_Family]]:
    """By inspection, the agreed jobs that are not done. One that was due on no day, is due by the launch.

    What belongs to them is asked for by their keys: joined in one question, five tables that have just been filled
    (a fleet was taken in) are read row by row against each other, until the database has counted them.
    """
    open_jobs = {
        key: (extends, inspection, launch_on)
        for key, extends, inspection, launch_on in jobs.filter(state__in=OPEN).values_list(
            "pk", "extends_id", "inspection_id", "inspection__launch_on"
        )
    }
    keys = list(open_jobs)
    booked: dict[int, Decimal] = dict(
        WorkLog.objects.filter(job__in=keys)
        .order_by()
        .values("job")
        .annotate(h=Sum("hours"))
        .values_list("job", "h")
    )
    due: dict[int, date | None] = dict(
        Operation.objects.filter(job__in=keys)
        .order_by()
        .values("job")
        .annotate(first=Min("finding__due_backs__due_on", filter=Q(finding__due_backs__ended_at__isnull=True)))
        .values_list("job", "first")
    )
    families: dict[int, dict[int, _Family]] = defaultdict(lambda: defaultdict(_Family))
    lines = QuoteLine.objects.filter(job__in=keys, decisions__verdict=Verdict.APPROVE).order_by()
    for job, likely, ceiling in lines.values_list("job_id", "hours_likely", "hours_ceiling"):
        extends, inspection, launch_on = open_jobs[job]
        family = families[inspection][extends or job]
        worked = booked.get(job, NONE)
        family.ceiling.append((ceiling, worked))
        family.likely.append((likely, worked))
        first = due.get(job)
        family.by_launch = family.by_launch or first is None or first <= launch_on
    return {inspection: list(mine.values()) for inspection, mine in families.items()}


def _asked(yard: Yard, season_year: int) -> dict[int, Decimal]:
    lines: Iterable[tuple[int, int | None, Decimal]] = (
        QuoteLine.objects.of_yard(yard)
        .filter(
            quote__state=Quote.State.SENT,
            quote__inspection__season_year=season_year,
            job__state=Job.State.QUOTED,
        )
        .order_by()
        .values_list("quote__inspection_id", "option_group_id", "hours_ceiling")
    )
    options: dict[tuple[int, int], Decimal] = {}
    hours: dict[int, Decimal] = defaultdict(lambda: NONE)
    for inspection, group, ceiling in lines:
        if group is None:
            hours[inspection] += ceiling
        else:
            options[inspection, group] = max(options.get((inspection, group), NONE), ceiling)
    for (inspection, _), ceiling in options.items():
        hours[inspection] += ceiling
    return hours


__all__ = ["NO_JOBS", "InspectionJobs", "OpenHours", "season_jobs"]
