"""A line of the due-back book in words, the same on the page, in the calendar, in the mail and on paper."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import Final

from django.conf import settings
from django.urls import reverse

from inspections.models import DueBack
from workshop.services.quote_words import place_of
from yard.weeks import days_overdue

# What every line is read with, so that the number of queries does not grow with them.
LINE_READS: Final = ("boat", "component", "spot", "surface", "finding__entry__answers", "entry__answers")
BOOK_ROUTE: Final = "web:due-back"


@dataclass(frozen=True, slots=True)
class BookLine:
    """A line of the book as it is shown."""

    due: DueBack
    place: str
    questions: tuple[str, ...]
    told: str
    overdue: bool

    @property
    def kind(self) -> str:
        """What for: put right, look again, open up and look."""
        return str(self.due.get_kind_display())

    @property
    def boat(self) -> str:
        return str(self.due.boat.name)


def book_line(line: DueBack, today: date) -> BookLine:
    """A line with its place in words and how its day stands to today."""
    entry = line.finding.entry if line.finding is not None else line.entry
    check = entry.answers if entry is not None else None
    questions = (check.prompt,) if check is not None else ()
    elsewhere = entry.elsewhere if entry is not None else ""
    place = line.surface.name if line.surface is not None else place_of(line.component, elsewhere, line.spot)
    return BookLine(line, place, questions, days_overdue(line.due_on, today), line.due_on < today)


def book_lines(lines: Iterable[DueBack], today: date) -> list[BookLine]:
    return [book_line(line, today) for line in lines]


def told_together(lines: Iterable[BookLine]) -> list[BookLine]:
    """Lines for a reader: the questions that one hidden part left open are told once, as one way to it."""
    together: dict[object, BookLine] = {}
    for line in lines:
        due = line.due
        one_of_its_own = due.finding_id is not None or due.spot_id is not None or due.surface_id is not None
        way = (due.boat_id, due.component_id, line.place, due.due_on, due.kind, due.reason)
        key: object = due.pk if one_of_its_own else way
        first = together.get(key)
        together[key] = line if first is None else replace(first, questions=first.questions + line.questions)
    return list(together.values())


def line_url(line: DueBack) -> str:
    """Where the office reads more about a line, for somebody who is not on a page of ours."""
    if line.finding_id is not None:
        return f"{settings.PUBLIC_URL}{reverse('web:finding', args=[line.finding_id])}"
    return f"{settings.PUBLIC_URL}{reverse('web:boat', args=[line.boat_id])}"


def book_url() -> str:
    return f"{settings.PUBLIC_URL}{reverse(BOOK_ROUTE)}"


__all__ = ["LINE_READS", "BookLine", "book_line", "book_lines", "book_url", "line_url", "told_together"]
