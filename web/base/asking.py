"""What the address of a list asks for, read alike for every list: words, a day, and the address itself."""

from __future__ import annotations

from collections.abc import Container, Iterable
from datetime import date
from typing import Final, TypeVar

from django.db.models import Model
from django.http import QueryDict
from django.utils.dateparse import parse_date

from yard.words import words_of

LONGEST_TEXT: Final = 120

Row = TypeVar("Row", bound=Model)


def text_asked(given: QueryDict, name: str = "text") -> str:
    """The words that are looked for, with single blanks between: the same that a page shows in the field again."""
    return " ".join(words_of(given.get(name, "")[:LONGEST_TEXT]))


def word_asked(given: QueryDict, name: str, known: Container[str], otherwise: str = "") -> str:
    """One of the words that are known, such as an order; one that there is not narrows nothing."""
    word = given.get(name, otherwise)
    return word if word in known else otherwise


def row_asked(given: QueryDict, name: str, rows: Iterable[Row]) -> Row | None:
    """The one of the rows whose key is given; one that is not among them narrows nothing."""
    return next((row for row in rows if str(row.pk) == given.get(name)), None)


def day_asked(given: QueryDict, name: str) -> date | None:
    """A day like 2027-05-01; None where none is given, or what is given is none."""
    try:
        day = parse_date(given.get(name, ""))
    except ValueError:
        return None
    # At the ends of the calendar a day has no next one, or none in another zone.
    return day if day is not None and 1900 <= day.year <= 2200 else None


def query_without(given: QueryDict, *names: str) -> str:
    """The address without some of its parts, for the links that go on from it."""
    rest = given.copy()
    for name in names:
        rest.pop(name, None)
    return rest.urlencode()


__all__ = ["day_asked", "query_without", "row_asked", "text_asked", "word_asked"]
