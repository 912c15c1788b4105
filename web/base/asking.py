"""What the address of a list asks for, read alike for every list: words, a day, and the address itself."""

from __future__ import annotations

from datetime import date
from typing import Final

from django.http import QueryDict
from django.utils.dateparse import parse_date

from yard.words import words_of

LONGEST_TEXT: Final = 120


def text_asked(given: QueryDict, name: str = "text") -> str:
    """The words that are looked for, with single blanks between: the same that a page shows in the field again."""
    return " ".join(words_of(given.get(name, "")[:LONGEST_TEXT]))


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


__all__ = ["day_asked", "query_without", "text_asked"]
