"""What a quote is built of: proposed jobs with their days, holds and choices, and findings without a job."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import transaction
from django.http import QueryDict
from django.utils import timezone

from inspections.models import Finding, Inspection
from web.office.job_lines import JobLine, job_lines
from workshop.estimating.job_building import NO_WORK
from workshop.models import Hold, Job, JobNeed, Operation, Quote, QuoteLine
from workshop.selectors.findings_queue import ORDERS, Narrowed, QueueLine, findings_queue, queue_lines
from workshop.services.job_calendar import JobCalendar, Where, YardAir, air_of_yard, job_calendar
from workshop.services.jobs_made import jobs_make
from workshop.services.prices import operations_of
from workshop.services.quotes import quote_change, quote_draft
from workshop.services.standing import Standing, standing_of
from yard.models import Member
from yard.refusals import Refused
from yard.selectors import today_at

MOST_OFFERED = 100


@dataclass(frozen=True, slots=True)
class BuildLine:
    """A proposed job as a manager decides on it.

    Args:
        ticked: it is in the draft, or was ticked in the form that is shown again.
        days: its calendar, or None where `why_no_days` says why it has none.
        holds: what it waits for.
        choice: the line in the draft, where it is one way of several.
        needs: titles of jobs that it can't be had without.
    """

    line: JobLine
    ticked: bool
    days: JobCalendar | None
    why_no_days: str
    holds: tuple[Hold, ...]
    choice: QuoteLine | None
    needs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Offered:
    """A finding that no job serves. `why_none` says why none can be made for it; empty where one can."""

    line: QueueLine
    why_none: str


def build_lines(quote: Quote, *, typed: Collection[str] | None = None) -> list[BuildLine]:
    """Every proposed job of the inspection, the most urgent first, in a fixed number of queries.

    Args:
        typed: the jobs that were ticked in a form that is shown again; None ticks those that are in the draft.
    """
    yard = quote.yard
    lines = job_lines(quote.inspection)
    jobs = [line.job for line in lines]
    operations = operations_of(jobs)
    findings = {row.finding.pk: row.finding for rows in operations.values() for row in rows if row.finding}
    standing = standing_of(findings.values())
    air = {where: air_of_yard(yard, where) for where in Where}
    holds: dict[int, list[Hold]] = {}
    for hold in Hold.objects.filter(job__in=jobs, released_at__isnull=True).order_by("expected_on", "pk"):
        holds.setdefault(hold.job_id, []).append(hold)
    needs: dict[int, list[str]] = {}
    for need in JobNeed.objects.filter(job__in=jobs).select_related("needed").order_by("pk"):
        needs.setdefault(need.job_id, []).append(need.needed.title)
    within = {each.job_id: each for each in quote.lines.select_related("option_group")}
    built = []
    for line in lines:
        key = line.job.pk
        waits_for = tuple(holds.get(key, ()))
        line.job.yard = yard
        days, why = _days(line.job, operations[key], waits_for, standing, air)
        choice = within.get(key)
        built.append(
            BuildLine(
                line=line,
                ticked=key in within if typed is None else str(key) in typed,
                days=days,
                why_no_days=why,
                holds=waits_for,
                choice=choice if choice is not None and choice.option_group_id is not None else None,
                needs=tuple(needs.get(key, ())),
            )
        )
    return built


def offered_findings(inspection: Inspection) -> list[Offered]:
    """What this inspection found and no job serves yet, the most urgent first."""
    yard = inspection.yard
    rows = findings_queue(yard, Narrowed(boat=inspection.boat, no_job=True)).filter(inspection=inspection)
    lines = queue_lines(
        yard, list(rows.order_by(*ORDERS["urgent"][1])[:MOST_OFFERED]), today_at(yard, timezone.now())
    )
    return [Offered(line, _why_none(line)) for line in lines]


@transaction.atomic
def draft_begin(inspection: Inspection, given: QueryDict, *, by: Member, at: datetime) -> Quote:
    """Draw up a quote of the ticked jobs and of those that are made for the ticked findings, by their urgency.

    Raises:
        Refused: as for `jobs_make` and `quote_draft`; then nothing is made.
    """
    jobs = _jobs_of(inspection, given, by=by, at=at)
    return quote_draft(inspection=inspection, jobs=jobs, by=by, at=at)


@transaction.atomic
def draft_build(quote: Quote, given: QueryDict, *, by: Member, at: datetime, valid_until: date) -> None:
    """Put the ticked jobs into the draft, and those that serve the ticked findings, by their urgency.

    Raises:
        Refused: as for `jobs_make` and `quote_change`; then nothing is made.
    """
    jobs = _jobs_of(quote.inspection, given, by=by, at=at)
    quote_change(quote=quote, at=at, jobs=jobs, valid_until=valid_until)


def _jobs_of(inspection: Inspection, given: QueryDict, *, by: Member, at: datetime) -> list[Job]:
    """The ticked jobs, and those of the ticked findings, which are made where there is none yet.

    A finding that has a job by now keeps it, so that the same form twice has the effect of one.
    """
    ticked = set(given.getlist("jobs"))
    findings = _findings(inspection, given.getlist("findings"))
    if findings:
        jobs_make(findings=findings, by=by, at=at)
    serving = set(Operation.objects.filter(finding__in=findings).values_list("job", flat=True))
    return [line.job for line in job_lines(inspection) if str(line.job.pk) in ticked or line.job.pk in serving]


def _findings(inspection: Inspection, keys: Sequence[str]) -> list[Finding]:
    known = {str(key): key for key in Finding.objects.filter(inspection=inspection).values_list("pk", flat=True)}
    ticked = [known[key] for key in keys if key in known]
    return list(Finding.objects.filter(pk__in=ticked).select_related("spot", "entry").order_by("found_at", "pk"))


def _why_none(line: QueueLine) -> str:
    judged = line.finding.standing_assessments
    if not judged:
        return "not judged yet; that is done in a moment"
    return "" if any(code not in NO_WORK for code in judged[0].treatments) else "no work is advised"


def _days(
    job: Job,
    operations: Sequence[Operation],
    holds: Sequence[Hold],
    standing: Mapping[UUID, Standing],
    air: Mapping[Where, YardAir],
) -> tuple[JobCalendar | None, str]:
    where = Where(job.worked_in)
    served = {row.finding_id for row in operations}
    try:
        calendar = job_calendar(
            yard=job.yard,
            operations=operations,
            holds=holds,
            standing={key: stands for key, stands in standing.items() if key in served},
            on_date=today_at(job.yard, timezone.now()),
            where=where,
            air=air[where],
        )
    except Refused as refusal:
        return None, f"{refusal.problem}; {refusal.remedy}"
    return calendar, ""


__all__ = ["BuildLine", "Offered", "build_lines", "draft_begin", "draft_build", "offered_findings"]
