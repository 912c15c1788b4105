"""A job as its page tells it: its steps, what was booked, what it waits for, and what waits to be verified."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from inspections.judgement.repaired import LookAfter
from inspections.models import Finding
from workshop.models import Job, Material, Verification
from workshop.pricing.job_price import JobPrice
from workshop.selectors.job_steps import JobSteps, StepState, WorkState, job_steps
from workshop.services.hold_days import findings_of
from workshop.services.prices import operations_of, price_list_of, price_of
from workshop.services.quote_words import place_of
from workshop.services.verifying import judged_look, wants_second_look
from yard.refusals import Refused
from yard.selectors import today_at


@dataclass(frozen=True, slots=True)
class StepTold:
    """A step with what is to be asked about it.

    Args:
        early: its wait is not over, so that ticking it asks for a reason.
        turn: everything before it in its operation is done.
        key: by which a form that was refused finds back to it.
    """

    key: str
    state: StepState
    early: bool
    turn: bool


@dataclass(frozen=True, slots=True)
class WorkTold:
    work: WorkState
    places: tuple[str, ...]
    steps: tuple[StepTold, ...]


@dataclass(frozen=True, slots=True)
class Repaired:
    """A finding that waits for a look, or has had one."""

    finding: Finding
    place: str
    verifications: tuple[Verification, ...]
    waiting: Verification | None
    look: LookAfter | None
    by_two: bool


@dataclass(frozen=True, slots=True)
class JobTold:
    job: Job
    places: Mapping[Finding, str]
    steps: JobSteps | None
    works: tuple[WorkTold, ...]
    why_no_steps: str
    price: JobPrice | None
    hours: Decimal
    materials: tuple[tuple[Material, str, Decimal], ...]
    repaired: tuple[Repaired, ...]


def job_told(job: Job, *, now: datetime) -> JobTold:
    """Everything about a job; its queries grow with its findings alone, of which a job has few."""
    today = today_at(job.yard, now)
    rows = findings_of(job)
    found = Finding.objects.filter(pk__in=[each.pk for each in rows])
    findings = list(found.select_related("yard", "component", "spot", "entry").order_by("found_at", "id"))
    places = {each: place_of(each.component, each.entry.elsewhere, each.spot) for each in findings}
    steps, works, why = _steps(job, places, now, today)
    return JobTold(
        job=job,
        places=places,
        steps=steps,
        works=works,
        why_no_steps=why,
        price=_price(job, today),
        hours=sum((log.hours for log in job.work_logs.all()), Decimal(0)),
        materials=tuple(_used(job)),
        repaired=tuple(_repaired(places, today)) if job.state in (Job.State.DONE, Job.State.VERIFIED) else (),
    )


def _steps(
    job: Job, places: Mapping[Finding, str], now: datetime, today: date
) -> tuple[JobSteps | None, tuple[WorkTold, ...], str]:
    try:
        steps = job_steps(job, on_date=today)
    except Refused as refusal:
        return None, (), f"{refusal.field} {refusal.problem}; {refusal.remedy}"
    by_key = {finding.pk: place for finding, place in places.items()}
    works = []
    for work in steps.works:
        told, turn = [], True
        for state in work.steps:
            told.append(StepTold(f"{work.key}-{state.number}", state, state.is_early(now, today), turn))
            turn = turn and not state.is_open
        where = tuple(
            f"{operation.surface}, the whole surface"
            if operation.finding_id is None
            else by_key[operation.finding_id]
            for operation in work.group.operations
        )
        works.append(WorkTold(work, where, tuple(told)))
    return steps, tuple(works), ""


def _price(job: Job, today: date) -> JobPrice | None:
    try:
        return price_of(job, operations_of([job])[job.pk], price_list_of(job.yard, on_date=today))
    except Refused:
        return None


def _used(job: Job) -> Iterator[tuple[Material, str, Decimal]]:
    sums: dict[tuple[int, str], Decimal] = {}
    named: dict[int, Material] = {}
    for log in job.material_logs.select_related("material"):
        named[log.material_id] = log.material
        key = (log.material_id, log.unit)
        sums[key] = sums.get(key, Decimal(0)) + log.quantity
    for (material, unit), quantity in sums.items():
        yield named[material], unit, quantity


def _repaired(places: Mapping[Finding, str], today: date) -> Iterator[Repaired]:
    for finding, place in places.items():
        looks = finding.verifications.select_related("by", "second_look_by", "second_look__by").order_by("-turn")
        verifications = tuple(looks)
        waiting = next((each for each in verifications if each.waits_for_second_look), None)
        wanted = finding.state == Finding.State.REPAIRED and waiting is None
        yield Repaired(
            finding=finding,
            place=place,
            verifications=verifications,
            waiting=waiting if finding.state == Finding.State.REPAIRED else None,
            look=judged_look(finding, today) if wanted else None,
            by_two=wanted and wants_second_look(finding),
        )


__all__ = ["JobTold", "job_told"]
