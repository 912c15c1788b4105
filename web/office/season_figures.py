"""The figures behind the season page, each counted for all boats at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from django.db.models import Count, Exists, Min, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from inspections.judgement.vocabulary import Answer
from inspections.models import (
    Assessment,
    Check,
    DueBack,
    Entry,
    EntryPhoto,
    Finding,
    Inspection,
    Overruling,
    Photo,
    SetAside,
)
from inspections.selectors.entries import standing
from workshop.models import Decision, Hold, Job, Quote
from workshop.models.quotes import Verdict
from yard.models import Yard

# Put right and looked at, or never there: nobody's business on this page any more.
SETTLED = (Finding.State.VERIFIED, Finding.State.WITHDRAWN)
# What a finding counts under while the worker has not judged it yet.
UNJUDGED = ""


@dataclass(frozen=True, slots=True)
class Answers:
    """Of one inspection: checks with an answer, and places not seen."""

    answered: int = 0
    not_seen: int = 0


@dataclass(frozen=True, slots=True)
class Asked:
    """The newest quote of an inspection that counts, with what the decider has said."""

    quote: Quote
    jobs: int
    decided: int
    questions: int


@dataclass(frozen=True, slots=True)
class Waiting:
    """Open holds: how many, and when the first is expected to be over."""

    holds: int
    first_on: date


@dataclass(frozen=True, slots=True)
class SeasonFigures:
    """By inspection, except what belongs to a boat."""

    checks: Mapping[int, int] = field(default_factory=dict)
    answers: Mapping[int, Answers] = field(default_factory=dict)
    photos_missing: Mapping[int, int] = field(default_factory=dict)
    findings: Mapping[int, Mapping[str, int]] = field(default_factory=dict)
    quotes: Mapping[int, Asked] = field(default_factory=dict)
    jobs: Mapping[int, Mapping[str, int]] = field(default_factory=dict)
    waiting: Mapping[int, Waiting] = field(default_factory=dict)
    due_back_by_boat: Mapping[int, date] = field(default_factory=dict)
    set_aside_by_boat: Mapping[int, int] = field(default_factory=dict)


def season_figures(yard: Yard, inspections: QuerySet[Inspection]) -> SeasonFigures:
    """Count everything for these inspections of the yard, in a fixed number of queries."""
    keys = inspections.values("pk")
    return SeasonFigures(
        checks=_counts(Check.objects.of_yard(yard).filter(inspection__in=keys), "inspection_id"),
        answers=_answers(yard, keys),
        photos_missing=_photos_missing(yard, keys),
        findings=_findings(yard, keys),
        quotes=_quotes(yard, keys),
        jobs=_jobs(yard, keys),
        waiting=_waiting(yard, keys),
        due_back_by_boat={
            row["boat_id"]: row["first"]
            for row in DueBack.objects.of_yard(yard)
            .filter(ended_at__isnull=True)
            .order_by()
            .values("boat_id")
            .annotate(first=Min("due_on"))
        },
        set_aside_by_boat=_counts(SetAside.objects.of_yard(yard).filter(settled_at__isnull=True), "boat_id"),
    )


def _counts(rows: QuerySet[Check] | QuerySet[SetAside], by: str) -> dict[int, int]:
    return {row[by]: row["count"] for row in rows.order_by().values(by).annotate(count=Count("pk"))}


def _answers(yard: Yard, keys: QuerySet[Inspection, dict[str, int]]) -> dict[int, Answers]:
    rows = (
        standing(Entry.objects.of_yard(yard).filter(inspection__in=keys))
        .order_by()
        .values("inspection_id")
        .annotate(
            answered=Count("answers", distinct=True),
            not_seen=Count("pk", filter=Q(answer=Answer.NOT_SEEN.value)),
        )
    )
    return {row["inspection_id"]: Answers(row["answered"], row["not_seen"]) for row in rows}


def _photos_missing(yard: Yard, keys: QuerySet[Inspection, dict[str, int]]) -> dict[int, int]:
    here = Photo.objects.filter(yard=OuterRef("yard"), sha256=OuterRef("sha256"))
    entries = standing(Entry.objects.of_yard(yard).filter(inspection__in=keys))
    rows = (
        EntryPhoto.objects.of_yard(yard)
        .filter(~Exists(here), entry__in=entries.order_by().values("pk"))
        .order_by()
        .values("entry__inspection_id")
        .annotate(count=Count("pk"))
    )
    return {row["entry__inspection_id"]: row["count"] for row in rows}


def _findings(yard: Yard, keys: QuerySet[Inspection, dict[str, int]]) -> dict[int, dict[str, int]]:
    """By the priority that stands: a manager's word before the rules'."""
    overruled = Overruling.objects.filter(finding=OuterRef("pk"), withdrawn_at__isnull=True)
    judged = Assessment.objects.filter(finding=OuterRef("pk"), superseded_at__isnull=True)
    rows = (
        Finding.objects.of_yard(yard)
        .filter(inspection__in=keys)
        .exclude(state__in=SETTLED)
        .order_by()
        .annotate(standing=Coalesce(Subquery(overruled.values("priority")), Subquery(judged.values("priority"))))
        .values("inspection_id", "standing")
        .annotate(count=Count("pk"))
    )
    found: dict[int, dict[str, int]] = {}
    for row in rows:
        found.setdefault(row["inspection_id"], {})[row["standing"] or UNJUDGED] = row["count"]
    return found


def _quotes(yard: Yard, keys: QuerySet[Inspection, dict[str, int]]) -> dict[int, Asked]:
    asked_by_quote: dict[int, set[int]] = {}
    decided_by_quote: dict[int, set[int]] = {}
    words = Decision.objects.of_yard(yard).filter(line__quote__inspection__in=keys)
    for quote, line, verdict in words.order_by().values_list("line__quote_id", "line_id", "verdict"):
        into = asked_by_quote if verdict == Verdict.ASK else decided_by_quote
        into.setdefault(quote, set()).add(line)
    newest: dict[int, Asked] = {}
    rows = (
        Quote.objects.of_yard(yard)
        .filter(inspection__in=keys)
        .exclude(state=Quote.State.SUPERSEDED)
        .defer("content")
        .annotate(jobs=Count("lines"))
        .order_by("created_at", "pk")
    )
    for quote in rows:
        decided = decided_by_quote.get(quote.pk, set())
        questions = asked_by_quote.get(quote.pk, set()) - decided
        newest[quote.inspection_id] = Asked(quote, quote.jobs, len(decided), len(questions))
    return newest


def _jobs(yard: Yard, keys: QuerySet[Inspection, dict[str, int]]) -> dict[int, dict[str, int]]:
    rows = (
        Job.objects.of_yard(yard)
        .filter(inspection__in=keys)
        .order_by()
        .values("inspection_id", "state")
        .annotate(count=Count("pk"))
    )
    found: dict[int, dict[str, int]] = {}
    for row in rows:
        found.setdefault(row["inspection_id"], {})[row["state"]] = row["count"]
    return found


def _waiting(yard: Yard, keys: QuerySet[Inspection, dict[str, int]]) -> dict[int, Waiting]:
    rows = (
        Hold.objects.of_yard(yard)
        .filter(job__inspection__in=keys, job__state__in=Job.LIVE, released_at__isnull=True)
        .order_by()
        .values("job__inspection_id")
        .annotate(count=Count("pk"), first=Min("expected_on"))
    )
    return {row["job__inspection_id"]: Waiting(row["count"], row["first"]) for row in rows}


__all__ = ["UNJUDGED", "Answers", "Asked", "SeasonFigures", "Waiting", "season_figures"]
