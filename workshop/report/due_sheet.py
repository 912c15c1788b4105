"""The due-back book for paper and for a spreadsheet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Final

from babel.dates import format_date

from workshop.report.making import english
from workshop.report.rendering import Rendered, paper_of
from workshop.report.sheet_rendering import sheet_render
from workshop.report.words import tag_text
from workshop.services.due_words import BookLine, told_together
from yard.locale_format import date_text
from yard.models import Yard
from yard.safe_cells import csv_text

CSV_HEAD: Final = ("due_on", "stands", "boat", "place", "tag", "what_for", "question", "reason", "set_on")


@dataclass(frozen=True, slots=True)
class SheetLine:
    """A line on paper."""

    day: str
    stands: str
    boat: str
    place: str
    tag: str
    kind: str
    reason: str


@dataclass(frozen=True, slots=True)
class MonthSheet:
    """The lines of one month; where it is the running one, what is overdue from before stands first."""

    language: str
    paper: str
    yard: str
    month: str
    dated: str
    narrowed: str
    overdue: tuple[SheetLine, ...]
    lines: tuple[SheetLine, ...]


def month_sheet(
    overdue: Iterable[BookLine],
    lines: Iterable[BookLine],
    yard: Yard,
    *,
    first: date,
    on_date: date,
    narrowed: str = "",
) -> MonthSheet:
    """The month in words. `narrowed` says by what the book was narrowed, in words."""
    locale = english(yard)
    return MonthSheet(
        language=locale.replace("_", "-"),
        paper=paper_of(locale),
        yard=yard.name,
        month=format_date(first, "LLLL y", locale=locale),
        dated=date_text(on_date, locale, "medium"),
        narrowed=narrowed,
        overdue=tuple(_line(line, locale, "medium") for line in told_together(overdue)),
        lines=tuple(_line(line, locale, "EEE d MMM") for line in told_together(lines)),
    )


def month_render(sheet: MonthSheet) -> Rendered:
    """The month on paper, with boxes to tick."""
    return sheet_render("due_month", {"sheet": sheet}, {})


def book_csv(lines: Iterable[BookLine]) -> str:
    """The lines for a spreadsheet (RFC 4180). What it would read as a formula begins with an apostrophe."""
    return csv_text(CSV_HEAD, map(_cells, lines))


def _cells(line: BookLine) -> tuple[str, ...]:
    due = line.due
    return (
        due.due_on.isoformat(),
        line.told,
        line.boat,
        line.place,
        tag_text(due.spot.tag) if due.spot is not None else "",
        line.kind,
        "".join(line.questions),
        due.reason,
        due.set_at.astimezone(due.yard.zone).date().isoformat(),
    )


def _line(line: BookLine, locale: str, pattern: str) -> SheetLine:
    return SheetLine(
        day=format_date(line.due.due_on, pattern, locale=locale),
        stands=line.told,
        boat=line.boat,
        place=line.place,
        tag=tag_text(line.due.spot.tag) if line.due.spot is not None else "",
        kind=line.kind,
        reason=line.due.reason,
    )


__all__ = ["MonthSheet", "book_csv", "month_render", "month_sheet"]
