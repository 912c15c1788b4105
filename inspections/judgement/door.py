"""The door of judgement: what can't be is refused with its field, what is wrong with it and what would do."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import TypeVar

from inspections.figures import Number, between
from yard.refusals import Refused
from yard.vocabulary import Labelled

Word = TypeVar("Word", bound=Labelled)

MAX_SIZE_MM = 100_000.0


def keep(facts: object, field: str, value: object) -> None:
    """Set a field of a frozen dataclass while it is being made."""
    object.__setattr__(facts, field, value)


def word(field: str, value: str, vocabulary: type[Word]) -> Word:
    """A code as a member of its vocabulary."""
    if isinstance(value, vocabulary):
        return value
    try:
        return vocabulary(value)
    except ValueError as unknown:
        known = ", ".join(member.value for member in vocabulary)
        raise Refused(field, f"{value!r} is not known", f"give one of: {known}") from unknown


def word_or_none(field: str, value: str | None, vocabulary: type[Word]) -> Word | None:
    """The same; nothing and the empty string are None."""
    return None if value is None or value == "" else word(field, value, vocabulary)


def words(field: str, values: Iterable[str], vocabulary: type[Word]) -> frozenset[Word]:
    """Codes as members of their vocabulary."""
    return frozenset(word(field, value, vocabulary) for value in values)


def size_or_none(field: str, value: Number | None) -> float | None:
    """A length of 0 to 100 000 mm, or None."""
    if value is None:
        return None
    return between(field, value, 0.0, MAX_SIZE_MM, "mm")


def not_after(field: str, day: date | None, limit: date, what: str) -> None:
    """Refuse a day after `limit`."""
    if day is not None and day > limit:
        raise Refused(
            field,
            f"{day.isoformat()} is after {what}, {limit.isoformat()}",
            f"give a day on or before {limit.isoformat()}",
        )
