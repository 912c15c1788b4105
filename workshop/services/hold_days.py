"""By when the proper repair is due at what is held, and the due-back book that says so."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime

from inspections.judgement.vocabulary import DueBackKind, Priority
from inspections.models import DueBack, Finding, Inspection
from inspections.services.due_back import due_back_set
from workshop.models import Hold, Job
from workshop.services.standing import Standing, standing_of


def findings_of(job: Job) -> list[Finding]:
    """The findings that a job serves, in one order for everybody who locks them."""
    return list(Finding.objects.filter(operations__job=job).distinct().order_by("id"))


def put_right_by(findings: Sequence[Finding]) -> date | None:
    """The earliest day on which the proper repair is due at one of them; None where nothing was judged."""
    days = [_due(stands) for stands in standing_of(findings).values()]
    return min(days, default=None)


def holds_into_the_book(*, jobs: Iterable[Job], at: datetime) -> None:
    """Let the lines of the due-back book say what each held place waits for, and by when it must be put right.

    A look that is due before stays on its day, and its line tells of the repair as well.
    """
    for job in jobs:
        holds = list(job.holds.filter(released_at__isnull=True).order_by("expected_on", "id"))
        findings = _locked(job)
        standing = standing_of(findings)
        for finding in findings if holds else ():
            stands = standing.get(finding.pk)
            if stands is None:
                continue
            due_on, kind, _ = _judged_line(stands)
            by = _due(stands)
            if by < due_on:
                due_on, kind = by, DueBackKind.PUT_RIGHT
            due_back_set(due_on=due_on, kind=kind, reason=_told(holds[0], by), finding=finding, at=at)


def held_in_the_book(*, inspection: Inspection, at: datetime) -> None:
    """The same for all held jobs of an inspection, after its findings were judged again."""
    held = Job.objects.filter(inspection=inspection, holds__released_at__isnull=True, state__in=Job.LIVE)
    jobs = Job.objects.filter(pk__in=held.values("pk")).order_by("pk")
    holds_into_the_book(jobs=jobs, at=at)


def judged_into_the_book(findings: Iterable[Finding], *, at: datetime) -> None:
    """Let the lines say again what the judgement says."""
    there = list(findings)
    standing = standing_of(there)
    held = Hold.objects.filter(job__operations__finding__in=[each.pk for each in there], released_at__isnull=True)
    still = set(held.values_list("job__operations__finding", flat=True))
    for finding in there:
        stands = standing.get(finding.pk)
        if finding.ended_at is not None or stands is None or finding.pk in still:
            continue
        due_on, kind, reason = _judged_line(stands)
        if DueBack.objects.filter(finding=finding, ended_at__isnull=True).exists():
            due_back_set(due_on=due_on, kind=kind, reason=reason, finding=finding, at=at)


def _locked(job: Job) -> list[Finding]:
    ids = [finding.pk for finding in findings_of(job) if finding.ended_at is None]
    return list(Finding.objects.select_for_update(no_key=True).filter(pk__in=ids).order_by("id"))


def _due(stands: Standing) -> date:
    """By when it is put right: a manager's day, else what may stand in until, else the judgement's own."""
    hold = stands.assessment.document.get("hold")
    if stands.overruling is None and isinstance(hold, dict):
        return date.fromisoformat(hold["until"])
    return stands.due_back_on


def _judged_line(stands: Standing) -> tuple[date, DueBackKind, str]:
    overruled = stands.overruling
    if overruled is not None:
        watched = overruled.priority == Priority.WATCH
        kind = DueBackKind.LOOK_AGAIN if watched else DueBackKind.PUT_RIGHT
        return overruled.due_back_on, kind, overruled.reason
    judged = stands.assessment
    return judged.due_back_on, DueBackKind(judged.due_back_kind), judged.reasons[0]


def _told(hold: Hold, by: date) -> str:
    begun = "Half done, waits" if hold.stopped_work else "Waits"
    return (
        f"{begun} for {hold.what}, expected {hold.expected_on.isoformat()}. Meanwhile: {hold.meanwhile}. "
        f"The proper repair is due by {by.isoformat()}."
    )


__all__ = ["findings_of", "held_in_the_book", "holds_into_the_book", "judged_into_the_book", "put_right_by"]
