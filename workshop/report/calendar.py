"""The due-back book of a boat by year and month: what is to be put right, opened up, looked at again. Pure."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from datetime import date

from babel.dates import format_date

from inspections.judgement.speech import label_in
from inspections.judgement.vocabulary import DueBackKind
from workshop.quoting.document import DueBackPart
from workshop.report.views import CalendarMonth, CalendarPlace, CalendarView, CalendarYear
from workshop.report.words import tag_text
from yard.languages import Language

# The columns, in the order of the work.
KINDS = (DueBackKind.PUT_RIGHT, DueBackKind.OPEN_UP, DueBackKind.LOOK_AGAIN)


def calendar_view(lines: Sequence[DueBackPart], locale: str, language: Language = "en") -> CalendarView:
    """A row for each month in which something is due; kinds of which nothing is due have no column."""
    kinds = tuple(kind for kind in KINDS if any(line.kind == kind for line in lines))
    ordered = sorted(lines, key=lambda line: line.on)  # lines of a day stay in the order of the book
    years = []
    for year, of_year in itertools.groupby(ordered, key=lambda line: line.on.year):
        months = tuple(
            CalendarMonth(
                _month(on, locale),
                tuple(
                    tuple(
                        CalendarPlace(str(line.on.day), line.place, tag_text(line.tag))
                        for line in of_month
                        if line.kind == kind
                    )
                    for kind in kinds
                ),
            )
            for on, of_month in (
                (date(year, month, 1), list(group))
                for month, group in itertools.groupby(of_year, key=lambda line: line.on.month)
            )
        )
        years.append(CalendarYear(year, months))
    return CalendarView(tuple(label_in(kind, language) for kind in kinds), tuple(years))


def _month(day: date, locale: str) -> str:
    return str(format_date(day, "LLLL", locale=locale.replace("-", "_")))


__all__ = ["calendar_view"]
