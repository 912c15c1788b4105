"""Jobs for findings that a manager has ticked, by what comes off together, as the worker groups them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from inspections.models import Finding, Inspection, OpeningStep
from inspections.services.acknowledging import findings_acknowledge
from workshop.models import Job, Operation
from workshop.models.jobs import PARTED_KEY
from workshop.services.proposing import (
    Wanted,
    free_key,
    job_describe_wanted,
    jobs_propose,
    opening_key,
    operations_for,
    work_wanted,
)
from yard.models import Member
from yard.refusals import Refused, RefusedMany


@dataclass(frozen=True, slots=True)
class JobsMade:
    """What became of the findings that jobs were wanted for.

    Args:
        jobs: that are new, in the order in which they were made.
        served: how many of the findings had a job already.
    """

    jobs: tuple[Job, ...]
    served: int


@transaction.atomic
def jobs_make(*, findings: Sequence[Finding], by: Member, at: datetime) -> JobsMade:
    """Make the jobs that are advised for findings, also for those that are only to be watched.

    What was dropped is made again. A finding that has a job keeps it, whatever state that is in.

    Args:
        findings: of any number of inspections.

    Raises:
        RefusedMany: a finding has ended, is not judged yet, or no work is advised for it; then nothing is made.
    """
    inspections = Inspection.objects.filter(pk__in={finding.inspection_id for finding in findings}).order_by("pk")
    before = set(Job.objects.filter(inspection__in=inspections).values_list("pk", flat=True))
    served = _served(findings)
    refusals: list[Refused] = []
    for inspection in inspections:
        jobs_propose(inspection=inspection, at=at)
        rows = (
            Finding.objects.filter(inspection=inspection, pk__in=[finding.pk for finding in findings])
            .select_related("component", "spot", "entry__answers")
            .order_by("found_at", "id")
        )
        by_now = _served(rows)
        without = [finding for finding in rows if finding.pk not in by_now]
        wanted = work_wanted(inspection, without, watched=True)
        advised = {want.finding.pk for want in wanted}
        refusals += [_why_none(finding) for finding in without if finding.pk not in advised]
        _make(inspection, wanted, by, at)
    if refusals:
        raise RefusedMany(refusals)
    findings_acknowledge(findings=findings, by=by, at=at)
    made = Job.objects.filter(inspection__in=inspections).exclude(pk__in=before).order_by("id")
    return JobsMade(tuple(made.exclude(state=Job.State.DROPPED)), len(served))


def _served(findings: Iterable[Finding]) -> set[object]:
    """Those that a job which was not dropped is about."""
    rows = Operation.objects.filter(finding__in=[finding.pk for finding in findings])
    return set(rows.exclude(job__state=Job.State.DROPPED).values_list("finding", flat=True))


def _make(inspection: Inspection, wanted: Sequence[Wanted], by: Member, at: datetime) -> None:
    steps = list(OpeningStep.objects.filter(inspection=inspection).order_by("position"))
    by_key: dict[str, list[Wanted]] = {}
    for want in wanted:
        by_key.setdefault(opening_key(want.finding, steps), []).append(want)
    standing = Job.objects.filter(inspection=inspection).exclude(state=Job.State.DROPPED)
    taken = set(standing.values_list("key", flat=True))
    for key, wants in by_key.items():
        job = Job(
            yard_id=inspection.yard_id,
            boat_id=inspection.boat_id,
            inspection=inspection,
            # a member's own: the worker reckons nothing in it again
            key=free_key(f"{PARTED_KEY}{key}", taken),
            created_at=at,
            changed_at=at,
            edited_by=by,
        )
        taken.add(job.key)
        job_describe_wanted(job, wants, steps)
        job.save(force_insert=True)
        Operation.objects.bulk_create(operations_for(job, wants))


def _why_none(finding: Finding) -> Refused:
    place = finding.spot.name if finding.spot is not None else finding.entry.elsewhere
    if finding.ended_at is not None:
        return Refused("finding", f"{place} is {finding.get_state_display()}", "untick it")
    if not finding.assessments.filter(superseded_at__isnull=True).exists():
        return Refused("finding", f"{place} is not judged yet", "wait a moment and try again")
    return Refused("finding", f"no work is advised for {place}", "untick it, or judge it otherwise first")


__all__ = ["JobsMade", "jobs_make"]
