"""Jobs proposed from what the findings of an inspection mean.

Proposing is repeatable: it brings the proposed jobs in line with the judgements that stand, adds to a job that a
member has put a hand to without reckoning it again, and leaves alone whatever is with the decider or beyond.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from inspections.judgement.vocabulary import Priority
from inspections.models import Finding, Inspection, OpeningStep
from workshop.estimating.hours import ThreePoint
from workshop.estimating.job_building import NO_WORK, Opening, quantity_of, shared_opening
from workshop.models import Job, Operation, QuoteLine, Treatment
from workshop.models.jobs import PARTED_KEY, SURFACE_KEY
from workshop.quoting.job_words import cut, job_words
from workshop.services.option_groups import groups_tidy
from workshop.services.quote_words import TAKE_OFF, after, job_facts
from workshop.services.standing import Standing, standing_of
from yard.models import Surface
from yard.refusals import Refused

CENT = Decimal("0.01")
GRAVE = 2  # severities 1 and 2 of MIL-STD-882E: catastrophic and critical


@dataclass(frozen=True, slots=True)
class Wanted:
    """Work that a finding wants."""

    finding: Finding
    standing: Standing
    treatments: tuple[Treatment, ...]


@transaction.atomic
def jobs_propose(*, inspection: Inspection, at: datetime) -> list[Job]:
    """Propose the jobs of an inspection, or bring the proposed ones in line. Watched findings want none.

    Returns:
        The proposed jobs that now stand.

    Raises:
        Refused: a judgement advises an operation that the yard's catalogue doesn't have. Nothing is changed then.
    """
    # One proposer at a time; with it nobody else makes a job of this inspection.
    Inspection.objects.select_for_update(no_key=True).get(pk=inspection.pk)
    findings = list(
        Finding.objects.filter(inspection=inspection)
        .select_related("component", "spot", "entry__answers")
        .order_by("found_at", "id")
    )
    jobs = list(
        Job.objects.filter(inspection=inspection)
        .select_for_update(of=("self",), no_key=True)
        .order_by("id")
        .prefetch_related("operations")
    )
    steps = list(OpeningStep.objects.filter(inspection=inspection).order_by("position"))
    wanted = work_wanted(inspection, findings)
    settled = _settled(jobs)
    by_key: dict[str, list[Wanted]] = {}
    for want in wanted:
        if want.finding.pk not in settled:
            by_key.setdefault(opening_key(want.finding, steps), []).append(want)
    ended = {finding.pk for finding in findings if finding.ended_at is not None}
    standing_jobs = []
    for job in jobs:
        if job.state == Job.State.PROPOSED and not job.key.startswith(SURFACE_KEY):
            wants = by_key.pop(_base(job.key), [])
            if _bring_in_line(job, wants, ended, steps, at):
                standing_jobs.append(job)
    taken = {job.key for job in jobs if job.state != Job.State.DROPPED}
    for key, wants in by_key.items():
        job = Job(
            yard_id=inspection.yard_id,
            boat_id=inspection.boat_id,
            inspection=inspection,
            key=free_key(key, taken),
            created_at=at,
            changed_at=at,
        )
        job_describe_wanted(job, wants, steps)
        job.save(force_insert=True)
        Operation.objects.bulk_create(operations_for(job, wants))
        standing_jobs.append(job)
    return standing_jobs


def work_wanted(inspection: Inspection, findings: Sequence[Finding], *, watched: bool = False) -> list[Wanted]:
    """The work that is advised for these findings of an inspection.

    Args:
        watched: that of findings to be watched as well.

    Raises:
        Refused: an operation is advised that the yard's catalogue doesn't have.
    """
    standing = standing_of(findings)
    treatments = {treatment.code: treatment for treatment in Treatment.objects.of_yard(inspection.yard_id)}
    wanted = []
    for finding in findings:
        stands = standing.get(finding.pk)
        if finding.ended_at is not None or stands is None:
            continue
        if stands.priority == Priority.WATCH and not watched:
            continue
        codes = [code for code in dict.fromkeys(stands.assessment.treatments) if code not in NO_WORK]
        unknown = [code for code in codes if code not in treatments]
        if unknown:
            raise Refused(
                "treatments",
                f"{', '.join(unknown)} is advised for finding {finding.pk} and not in the yard's catalogue",
                "add the operation to the catalogue, then send this again",
            )
        if codes:
            wanted.append(Wanted(finding, stands, tuple(treatments[code] for code in codes)))
    return wanted


def _settled(jobs: Iterable[Job]) -> AbstractSet[object]:
    """Findings that a job beyond proposing serves already, or that a member took out of the list by dropping it.

    Another way of a job takes nothing away from it before it is agreed; neither does more work on an agreed one.
    What a member put into the job of a whole surface, or took out of one job into another, stays there.
    """
    return {operation.finding_id for job in jobs if _settles(job) for operation in job.operations.all()}


def _settles(job: Job) -> bool:
    if job.extends_id is not None or job.alternative_to_id is not None:
        return job.state in Job.AGREED
    if job.state == Job.State.DROPPED:
        return job.edited_by_id is not None
    return job.state != Job.State.PROPOSED or job.key.startswith((SURFACE_KEY, PARTED_KEY))


def opening_key(finding: Finding, steps: Sequence[OpeningStep]) -> str:
    """What is opened up for a finding, in one word: findings of one key make one job."""
    if finding.component_id is None:
        return f"spot:{finding.spot_id}" if finding.spot_id else f"finding:{finding.pk}"
    openings = (
        Opening(step.key, step.kind == TAKE_OFF, step.shares)
        for step in steps
        if step.component_id == finding.component_id
    )
    shared = shared_opening(openings, after(finding))
    return f"opening:{shared}" if shared else f"component:{finding.component_id}"


def _base(key: str) -> str:
    return key.partition("~")[0]


def free_key(base: str, taken: set[str]) -> str:
    """A key that no job has.

    What comes in after the first job of an opening up is with the decider gets a job of its own.
    """
    key, count = base, 1
    while key in taken:
        count += 1
        key = f"{base}~{count}"
    return key


def _bring_in_line(
    job: Job, wants: Sequence[Wanted], ended: AbstractSet[object], steps: Sequence[OpeningStep], at: datetime
) -> bool:
    """Add what is wanted and take out what is not. False when nothing was left and the job was dropped."""
    had = list(job.operations.all())
    served = {operation.finding_id for operation in had}
    if job.edited_by_id is not None:
        gone = [operation for operation in had if operation.finding_id in ended]
        new = [want for want in wants if want.finding.pk not in served]
        kept = [operation for operation in had if operation not in gone]
        made = operations_for(job, new, first=1 + max((operation.position for operation in had), default=0))
    else:
        made = operations_for(job, wants)
        same = {_figures(operation): operation for operation in had}
        kept = [same[_figures(operation)] for operation in made if _figures(operation) in same]
        gone = [operation for operation in had if operation not in kept]
        made = [operation for operation in made if _figures(operation) not in same]
        job_describe_wanted(job, wants, steps)
    if not kept and not made:
        job_empty(job, at)
        return False
    if gone:
        Operation.objects.filter(pk__in=[operation.pk for operation in gone]).delete()
    Operation.objects.bulk_create(made)
    if gone or made:
        job.changed_at = at
    job.save()
    return True


def job_empty(job: Job, at: datetime) -> None:
    """Drop a proposed job that nothing speaks for any more; its operations stay to be read."""
    job.state = Job.State.DROPPED
    job.changed_at = at
    job.save(update_fields=["state", "changed_at"])
    for line in QuoteLine.objects.filter(job=job, quote__state="draft").select_related("quote"):
        line.delete()
        groups_tidy(line.quote)


def _figures(operation: Operation) -> tuple[object, ...]:
    return (
        operation.finding_id,
        operation.treatment_id,
        operation.quantity,
        operation.hours_low,
        operation.hours_likely,
        operation.hours_high,
        operation.position,
    )


def operations_for(job: Job, wants: Sequence[Wanted], first: int = 1) -> list[Operation]:
    """The operations of what is wanted, in turn; not yet stored."""
    pairs = [(want.finding, treatment) for want in wants for treatment in want.treatments]
    return [
        operation_of(job, treatment, finding, quantity_of(treatment.unit, finding.entry.size_mm), position)
        for position, (finding, treatment) in enumerate(pairs, start=first)
    ]


def operation_of(
    job: Job, treatment: Treatment, on: Finding | Surface, quantity: Decimal, position: int
) -> Operation:
    """An operation on a finding or a whole surface, at the hours of the catalogue; not yet stored."""
    hours = ThreePoint(treatment.hours_low, treatment.hours_likely, treatment.hours_high).times(quantity)
    return Operation(
        yard_id=job.yard_id,
        job=job,
        treatment=treatment,
        finding=on if isinstance(on, Finding) else None,
        surface=on if isinstance(on, Surface) else None,
        quantity=quantity,
        hours_low=Decimal(hours.low).quantize(CENT),
        hours_likely=Decimal(hours.likely).quantize(CENT),
        hours_high=Decimal(hours.high).quantize(CENT),
        position=position,
    )


def job_describe_wanted(job: Job, wants: Sequence[Wanted], steps: Sequence[OpeningStep]) -> None:
    """Title, opening up and what happens if it is left, from the findings that a job serves."""
    if not wants:
        return
    names = [treatment.name for want in wants for treatment in want.treatments]
    standing = {want.finding.pk: want.standing for want in wants}
    words = job_words(job_facts([want.finding for want in wants], names, steps, standing))
    job.title, job.opening_up, job.if_left = words.title, words.opening_up, words.if_left
    job.unsafe_to_leave = any(
        want.standing.priority == Priority.BEFORE_LAUNCH and want.standing.assessment.severity <= GRAVE
        for want in wants
    )


__all__ = [
    "Wanted",
    "cut",
    "free_key",
    "job_describe_wanted",
    "job_empty",
    "jobs_propose",
    "opening_key",
    "operation_of",
    "operations_for",
    "work_wanted",
]
