"""What the workshop, the tablets and the office add to a season, each counted for all boats at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db.models import Count, Exists, Min, OuterRef, QuerySet

from inspections.models import Entry, EntryPhoto, Inspection, Photo, SetAside
from inspections.selectors.entries import standing
from workshop.models import Decision, Hold, Job, Quote
from workshop.models.quotes import Verdict
from yard.models import Yard

Keys = QuerySet[Inspection, Any]


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

    photos_missing: Mapping[int, int] = field(default_factory=dict)
    quotes: Mapping[int, Asked] = field(default_factory=dict)
    jobs: Mapping[int, Mapping[str, int]] = field(default_factory=dict)
    waiting: Mapping[int, Waiting] = field(default_factory=dict)
    set_aside_by_boat: Mapping[int, int] = field(default_factory=dict)


def season_figures(yard: Yard, season_year: int) -> SeasonFigures:
    """Count everything for the inspections of a season, in a fixed number of queries."""
    keys = Inspection.objects.of_yard(yard).filter(season_year=season_year).values("pk")
    aside = SetAside.objects.of_yard(yard).filter(settled_at__isnull=True).order_by()
    return SeasonFigures(
        photos_missing=_photos_missing(yard, keys),
        quotes=_quotes(yard, keys),
        jobs=_jobs(yard, keys),
        waiting=_waiting(yard, keys),
        set_aside_by_boat=dict(aside.values("boat").annotate(count=Count("pk")).values_list("boat", "count")),
    )


def _photos_missing(yard: Yard, keys: Keys) -> dict[int, int]:
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


def _quotes(yard: Yard, keys: Keys) -> dict[int, Asked]:
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
    for row in rows:
        decided = decided_by_quote.get(row.pk, set())
        questions = asked_by_quote.get(row.pk, set()) - decided
        newest[row.inspection_id] = Asked(row, row.jobs, len(decided), len(questions))
    return newest


def _jobs(yard: Yard, keys: Keys) -> dict[int, dict[str, int]]:
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


def _waiting(yard: Yard, keys: Keys) -> dict[int, Waiting]:
    rows = (
        Hold.objects.of_yard(yard)
        .filter(job__inspection__in=keys, job__state__in=Job.LIVE, released_at__isnull=True)
        .order_by()
        .values("job__inspection_id")
        .annotate(count=Count("pk"), first=Min("expected_on"))
    )
    return {row["job__inspection_id"]: Waiting(row["count"], row["first"]) for row in rows}


__all__ = ["Asked", "SeasonFigures", "Waiting", "season_figures"]
