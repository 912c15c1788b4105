"""The season for a spreadsheet."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Final

from inspections.judgement.vocabulary import Priority
from workshop.selectors.season import SeasonBoat
from yard.models import Build
from yard.safe_cells import csv_text

CSV_HEAD: Final = (
    "week",
    "launch_on",
    "boat",
    "build",
    "length_m",
    "decider",
    "stage",
    "blocked_by",
    "checks",
    "answered",
    *(priority.value for priority in Priority),
    "not_judged",
    "not_seen",
    "quote",
    "quote_state",
    "quote_since",
    "quote_waits_days",
    "hours_due_by_launch",
    "hours_later",
    "hours_likely",
    "hours_asked",
    "due_back_on",
    "afloat_on",
)


def season_csv(boats: Iterable[SeasonBoat], today: date) -> str:
    """A line a boat (RFC 4180). What a spreadsheet would read as a formula begins with an apostrophe.

    Hours are those that are open: `hours_due_by_launch` and `hours_later` the 80 % figures of agreed jobs less what
    is booked, `hours_likely` the likely ones of both, `hours_asked` the 80 % figures of jobs with the decider.
    """
    return csv_text(CSV_HEAD, (_cells(boat, today) for boat in boats))


def _cells(boat: SeasonBoat, today: date) -> Iterable[str]:
    row, quote, work = boat.row, boat.quote, boat.work
    waits = boat.waiting_since
    return (
        "" if boat.week is None else boat.week.code,
        _day(row.launch_on),
        row.boat.name,
        str(Build(row.boat.build).label),
        f"{Decimal(row.boat.loa_mm) / 1000:.2f}",
        row.boat.decider,
        boat.stage.label,
        "; ".join(block.told for block in boat.blocks),
        str(row.checks),
        str(row.answered),
        *(str(row.findings[priority]) for priority in Priority),
        str(row.unjudged),
        str(row.not_seen),
        "" if quote is None else str(quote.facts.number),
        "" if quote is None else str(quote.state.label),
        "" if quote is None else _day(quote.facts.since),
        "" if waits is None else str((today - waits).days),
        _hours(work.by_launch),
        _hours(work.later),
        _hours(work.likely),
        _hours(work.asked),
        _day(row.due_back_on),
        _day(None if row.inspection is None else row.inspection.afloat_on),
    )


def _day(day: date | None) -> str:
    return "" if day is None else day.isoformat()


def _hours(hours: Decimal) -> str:
    return format(hours.normalize(), "f") if hours else "0"


__all__ = ["season_csv"]
