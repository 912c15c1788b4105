"""A season at a glance: boat by boat how far she is, what was found, what is due back when."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Any

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from inspections.judgement.vocabulary import Answer, Priority
from inspections.models import (
    Check,
    Entry,
    EntryPhoto,
    Finding,
    Inspection,
    OpeningStep,
    Photo,
    SetAside,
    StepEntry,
)
from inspections.selectors.due_backs import boats_due_back_on
from inspections.selectors.entries import in_order_seen
from inspections.selectors.findings import findings_with_judgement
from yard.models import Boat, Season, Yard


@dataclass(frozen=True, slots=True)
class SeasonRow:
    """One boat in one season.

    Args:
        inspection: None where it is still to be opened.
        launch_on: hers, or the season's day until an inspection says otherwise.
        steps: of opening up.
        steps_said: those of them that were said to be done or not possible.
        checks: how many questions there are.
        answered: how many of them have an answer; "not seen" is one.
        not_seen: how many were answered so.
        photos_missing: named by an entry that holds, and not here yet.
        set_aside: entries that wait for the office to place them, of whatever season.
        findings: of this inspection that have not ended, by priority.
        unjudged: of them, those that wait for the worker.
        due_back_on: her earliest day in the due-back book, whatever season it stems from.
    """

    boat: Boat
    inspection: Inspection | None
    launch_on: date | None
    steps: int
    steps_said: int
    checks: int
    answered: int
    not_seen: int
    photos_missing: int
    set_aside: int
    findings: Mapping[Priority, int]
    unjudged: int
    due_back_on: date | None

    @property
    def launch_week(self) -> tuple[int, int] | None:
        """Year and week of the launch (ISO 8601)."""
        return None if self.launch_on is None else self.launch_on.isocalendar()[:2]


def season_rows(yard: Yard, season_year: int) -> list[SeasonRow]:
    """The yard's boats in the order in which they go in, the same number of queries for any number of boats."""
    boats = (
        Boat.objects.of_yard(yard)
        .filter(left_on__isnull=True)
        .select_related("decider_owner", "decider_member")
        .only("yard", "name", "build", "loa_mm", "decider_owner__name", "decider_member__name")
    )
    season = Season.objects.of_yard(yard).filter(year=season_year).first()
    inspections = {
        inspection.boat_id: inspection
        for inspection in Inspection.objects.of_yard(yard).filter(season_year=season_year)
    }
    keys = Inspection.objects.of_yard(yard).filter(season_year=season_year).values("pk")
    of_season = {"inspection__in": keys}
    steps = _number_of(OpeningStep.objects.filter(**of_season))
    said = _number_of(StepEntry.objects.filter(**of_season), "step")
    checks = _number_of(Check.objects.filter(**of_season))
    answers = _answers(yard, keys)
    photos = _photos_missing(yard, season_year)
    aside = _set_aside(yard)
    findings = _findings(yard, season_year)
    due = boats_due_back_on(yard)
    rows = []
    for boat in boats:
        inspection = inspections.get(boat.pk)
        key = inspection.pk if inspection else None
        found = findings.get(key, {})
        rows.append(
            SeasonRow(
                boat=boat,
                inspection=inspection,
                launch_on=inspection.launch_on if inspection else season.launch_on if season else None,
                steps=steps.get(key, 0),
                steps_said=said.get(key, 0),
                checks=checks.get(key, 0),
                answered=answers.get(key, NO_ANSWERS).checks,
                not_seen=answers.get(key, NO_ANSWERS).not_seen,
                photos_missing=photos.get(key, 0),
                set_aside=aside.get(boat.pk, 0),
                findings=MappingProxyType({priority: found.get(priority.value, 0) for priority in Priority}),
                unjudged=found.get(None, 0),
                due_back_on=due.get(boat.pk),
            )
        )
    rows.sort(key=lambda row: (row.launch_on or date.max, row.boat.name))
    return rows


def _number_of(rows: QuerySet[Any], what: str = "") -> dict[int | None, int]:
    """By inspection, how many rows there are, or how many things they are about."""
    # The inspection's own index answers the first without a look at the rows.
    number = Count(what, distinct=True) if what else Count("inspection")
    counted = rows.order_by().values("inspection").annotate(number=number)
    return dict(counted.values_list("inspection", "number"))


@dataclass(frozen=True, slots=True)
class _Answers:
    """How many checks of an inspection have an answer that holds, and how many were answered as not seen."""

    checks: int
    not_seen: int


NO_ANSWERS = _Answers(0, 0)


def _answers(yard: Yard, inspections: QuerySet[Inspection, Any]) -> dict[int | None, _Answers]:
    """By inspection. Where a check has several answers, the newest counts; only these are read one by one."""
    superseded = Entry.objects.of_yard(yard).filter(supersedes__isnull=False).values("supersedes")
    holding = Entry.objects.filter(inspection__in=inspections, answers__isnull=False).exclude(pk__in=superseded)
    hidden = Count("pk", filter=Q(answer=Answer.NOT_SEEN))
    counted = (
        holding.order_by()
        .values("inspection")
        .annotate(checks=Count("answers", distinct=True), hidden=hidden, entries=Count("pk"))
    )
    found: dict[int | None, _Answers] = {}
    in_doubt: list[int] = []
    for inspection, checks, not_seen, entries in counted.values_list("inspection", "checks", "hidden", "entries"):
        found[inspection] = _Answers(checks, not_seen)
        if not_seen and entries > checks:
            in_doubt.append(inspection)
    newest: dict[int, tuple[int, str]] = {}
    one_by_one = in_order_seen(holding.filter(inspection__in=in_doubt))
    for inspection, check, answer in one_by_one.values_list("inspection_id", "answers_id", "answer"):
        newest[check] = (inspection, answer)  # they come oldest first
    hidden_at = Counter(inspection for inspection, answer in newest.values() if answer == Answer.NOT_SEEN)
    for inspection in in_doubt:
        found[inspection] = _Answers(found[inspection].checks, hidden_at[inspection])
    return found


def _photos_missing(yard: Yard, season_year: int) -> dict[int | None, int]:
    here = Photo.objects.filter(yard=OuterRef("yard"), sha256=OuterRef("sha256"))
    superseded = Entry.objects.filter(supersedes=OuterRef("entry"))
    rows = (
        EntryPhoto.objects.of_yard(yard)
        .filter(~Exists(here), ~Exists(superseded), entry__inspection__season_year=season_year)
        .order_by()
        .values("entry__inspection")
        .annotate(number=Count("pk"))
    )
    return dict(rows.values_list("entry__inspection", "number"))


def _set_aside(yard: Yard) -> dict[int | None, int]:
    rows = SetAside.objects.of_yard(yard).filter(settled_at__isnull=True).order_by().values("boat")
    return dict(rows.annotate(number=Count("pk")).values_list("boat", "number"))


def _findings(yard: Yard, season_year: int) -> dict[int | None, dict[str | None, int]]:
    """By inspection, how many findings have which priority; under None those that are not judged yet."""
    counted: dict[int | None, dict[str | None, int]] = defaultdict(dict)
    rows = (
        findings_with_judgement(yard)
        .filter(inspection__season_year=season_year)
        .exclude(state__in=Finding.ENDED)
        .select_related(None)
        .prefetch_related(None)
        .order_by()
        .values("inspection_id", "standing_priority")
        .annotate(number=Count("pk"))
    )
    for inspection, priority, number in rows.values_list("inspection_id", "standing_priority", "number"):
        counted[inspection][priority] = number
    return counted


__all__ = ["SeasonRow", "season_rows"]
