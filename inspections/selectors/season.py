"""A season at a glance: boat by boat how far she is, what was found, what is due back when."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from django.db.models import Count

from inspections.judgement.vocabulary import Answer, Priority
from inspections.models import Check, Entry, Finding, Inspection
from inspections.selectors.due_backs import boats_due_back_on
from inspections.selectors.entries import standing
from inspections.selectors.findings import findings_with_judgement
from yard.models import Boat, Season, Yard


@dataclass(frozen=True, slots=True)
class SeasonRow:
    """One boat in one season.

    Args:
        inspection: None where it is still to be opened.
        launch_on: hers, or the season's day until an inspection says otherwise.
        checks: how many questions there are.
        answered: how many of them have an answer; "not seen" is one.
        not_seen: how many were answered so.
        findings: of this inspection that have not ended, by priority.
        unjudged: of them, those that wait for the worker.
        due_back_on: her earliest day in the due-back book, whatever season it stems from.
    """

    boat: Boat
    inspection: Inspection | None
    launch_on: date | None
    checks: int
    answered: int
    not_seen: int
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
        Boat.objects.of_yard(yard).filter(left_on__isnull=True).select_related("decider_owner", "decider_member")
    )
    season = Season.objects.of_yard(yard).filter(year=season_year).first()
    inspections = {
        inspection.boat_id: inspection
        for inspection in Inspection.objects.of_yard(yard).filter(season_year=season_year)
    }
    checks: dict[int | None, int] = dict(
        Check.objects.of_yard(yard)
        .filter(inspection__season_year=season_year)
        .order_by()
        .values("inspection")
        .annotate(number=Count("pk"))
        .values_list("inspection", "number")
    )
    answers = _answers(yard, season_year)
    findings = _findings(yard, season_year)
    due = boats_due_back_on(yard)
    rows = []
    for boat in boats:
        inspection = inspections.get(boat.pk)
        key = inspection.pk if inspection else None
        found = findings.get(key, Counter())
        rows.append(
            SeasonRow(
                boat=boat,
                inspection=inspection,
                launch_on=inspection.launch_on if inspection else season.launch_on if season else None,
                checks=checks.get(key, 0),
                answered=answers[key].total() if key in answers else 0,
                not_seen=answers[key][Answer.NOT_SEEN] if key in answers else 0,
                findings=MappingProxyType({priority: found[priority.value] for priority in Priority}),
                unjudged=found[None],
                due_back_on=due.get(boat.pk),
            )
        )
    rows.sort(key=lambda row: (row.launch_on or date.max, row.boat.name))
    return rows


def _answers(yard: Yard, season_year: int) -> dict[int | None, Counter[str]]:
    """By inspection, how many checks have which answer; where there are several, the newest counts."""
    newest: dict[tuple[int, int], str] = {}
    entries = standing(
        Entry.objects.of_yard(yard).filter(inspection__season_year=season_year, answers__isnull=False)
    )
    for inspection, check, answer in entries.values_list("inspection_id", "answers_id", "answer"):
        newest[inspection, check] = answer  # they come oldest first
    counted: dict[int | None, Counter[str]] = defaultdict(Counter)
    for (inspection, _), answer in newest.items():
        counted[inspection][answer] += 1
    return counted


def _findings(yard: Yard, season_year: int) -> dict[int | None, Counter[str | None]]:
    """By inspection, how many findings have which priority; under None those that are not judged yet."""
    counted: dict[int | None, Counter[str | None]] = defaultdict(Counter)
    rows = (
        findings_with_judgement(yard)
        .filter(inspection__season_year=season_year)
        .exclude(state__in=Finding.ENDED)
        .order_by()
        .values_list("inspection_id", "standing_priority")
    )
    for inspection, priority in rows:
        counted[inspection][priority] += 1
    return counted


__all__ = ["SeasonRow", "season_rows"]
