"""A season at a glance: boat by boat how far she is, what was found, what is due back when.

Hundreds of boats are told on one page, so nothing is read that is not told: plain values instead of models, and the
database counts.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from django.db.models import Count, Exists, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce, JSONObject

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
from inspections.selectors.findings import findings_judged
from yard.models import Boat, Season, Yard

PRIORITIES: Final = tuple(Priority)
NO_FINDINGS: Final[Mapping[Priority, int]] = MappingProxyType(dict.fromkeys(PRIORITIES, 0))


class SeasonBoatTold(NamedTuple):
    """What is told of the boat herself; `decider` is a name."""

    pk: int
    name: str
    build: str
    loa_mm: int
    decider: str


class SeasonInspection(NamedTuple):
    """Her inspection, and what of it is counted; the counts are told in `SeasonRow`."""

    pk: int
    launch_on: date
    afloat_on: date | None
    closed: bool
    steps: int
    steps_said: int
    checks: int
    answered: int
    not_seen: int


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

    boat: SeasonBoatTold
    inspection: SeasonInspection | None
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
    season_days = Season.objects.of_yard(yard).filter(year=season_year).values_list("launch_on", flat=True)
    season_day = season_days.first()
    inspections = _inspections(yard, season_year)
    photos = _photos_missing(yard, season_year)
    aside = _set_aside(yard)
    findings = _findings(yard, season_year)
    due = boats_due_back_on(yard)
    rows = []
    for boat in _boats(yard):
        inspection = inspections.get(boat.pk)
        key = inspection.pk if inspection else None
        found, unjudged = findings.get(key, (NO_FINDINGS, 0))
        rows.append(
            SeasonRow(
                boat=boat,
                inspection=inspection,
                launch_on=inspection.launch_on if inspection else season_day,
                steps=inspection.steps if inspection else 0,
                steps_said=inspection.steps_said if inspection else 0,
                checks=inspection.checks if inspection else 0,
                answered=inspection.answered if inspection else 0,
                not_seen=inspection.not_seen if inspection else 0,
                photos_missing=photos.get(key, 0),
                set_aside=aside.get(boat.pk, 0),
                findings=found,
                unjudged=unjudged,
                due_back_on=due.get(boat.pk),
            )
        )
    rows.sort(key=lambda row: (row.launch_on or date.max, row.boat.name))
    return rows


def _boats(yard: Yard) -> Iterator[SeasonBoatTold]:
    decider = Coalesce("decider_owner__name", "decider_member__name")
    rows = Boat.objects.of_yard(yard).filter(left_on__isnull=True)
    return map(SeasonBoatTold._make, rows.values_list("pk", "name", "build", "loa_mm", decider))


def _inspections(yard: Yard, season_year: int) -> dict[int, SeasonInspection]:
    """By boat. Where a check has several answers, the newest counts; only these are read one by one."""
    holding = _holding(yard)
    answers = JSONObject(
        checks=Count("answers", distinct=True),
        hidden=Count("pk", filter=Q(answer=Answer.NOT_SEEN)),
        entries=Count("pk"),
    )
    rows = (
        Inspection.objects.of_yard(yard)
        .filter(season_year=season_year)
        .order_by()
        .annotate(closed=Q(closed_at__isnull=False))
        .values_list(
            "boat",
            "pk",
            "launch_on",
            "afloat_on",
            "closed",
            # The inspection's own index answers steps and checks without a look at the rows.
            _counted(OpeningStep.objects.all(), Count("inspection")),
            _counted(StepEntry.objects.all(), Count("step", distinct=True)),
            _counted(Check.objects.all(), Count("inspection")),
            _counted(holding, answers),
        )
    )
    found: dict[int, SeasonInspection] = {}
    in_doubt: dict[int, int] = {}
    for boat, key, launch_on, afloat_on, closed, steps, said, checks, told in rows:
        answered, hidden = (told["checks"], told["hidden"]) if told else (0, 0)
        found[boat] = SeasonInspection(
            key, launch_on, afloat_on, closed, steps or 0, said or 0, checks or 0, answered, hidden
        )
        if hidden and told["entries"] > answered:
            in_doubt[key] = boat
    if in_doubt:
        for key, hidden in _hidden_by_the_newest(holding.filter(inspection__in=in_doubt)).items():
            boat = in_doubt[key]
            found[boat] = found[boat]._replace(not_seen=hidden)
    return found


def _counted(rows: QuerySet[Any], told: Any) -> Subquery:
    """What is told of an inspection's rows, beside the inspection; None where it has none."""
    own = rows.filter(inspection=OuterRef("pk")).order_by().values("inspection")
    return Subquery(own.annotate(told=told).values("told"))


def _holding(yard: Yard) -> QuerySet[Entry]:
    """Answers that were not superseded."""
    superseded = Entry.objects.of_yard(yard).filter(supersedes__isnull=False).values("supersedes")
    return Entry.objects.filter(answers__isnull=False).exclude(pk__in=superseded)


def _hidden_by_the_newest(holding: QuerySet[Entry]) -> Mapping[int, int]:
    """By inspection, how many checks' newest answer is that the place was not seen; 0 where none is."""
    newest: dict[int, tuple[int, str]] = {}
    for inspection, check, answer in in_order_seen(holding).values_list("inspection_id", "answers_id", "answer"):
        newest[check] = (inspection, answer)  # they come oldest first
    hidden = dict.fromkeys((inspection for inspection, _ in newest.values()), 0)
    for inspection, answer in newest.values():
        hidden[inspection] += answer == Answer.NOT_SEEN
    return hidden


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


def _findings(yard: Yard, season_year: int) -> dict[int | None, tuple[Mapping[Priority, int], int]]:
    """By inspection, how many findings have which priority, and how many are not judged yet."""
    of_priority = {
        priority.value: Count("pk", filter=Q(standing_priority=priority.value)) for priority in PRIORITIES
    }
    rows = (
        findings_judged(yard)
        .filter(inspection__season_year=season_year)
        .exclude(state__in=Finding.ENDED)
        .order_by()
        .values("inspection_id")
        .annotate(unjudged=Count("pk", filter=Q(standing_priority=None)), **of_priority)
        .values_list("inspection_id", "unjudged", *of_priority)
    )
    return {
        inspection: (MappingProxyType(dict(zip(PRIORITIES, numbers, strict=True))), unjudged)
        for inspection, unjudged, *numbers in rows
    }


__all__ = ["SeasonRow", "season_rows"]
