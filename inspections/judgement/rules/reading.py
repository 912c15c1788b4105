"""How single words and figures of the rule data are read, and refused where they make no sense."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any, TypeVar

from inspections.figures import number
from yard.refusals import Refused
from yard.vocabulary import Labelled

Word = TypeVar("Word", bound=Labelled)

# From never to all the time; F stands apart.
LEVELS = ("E", "D", "C", "B", "A")
ELIMINATED = "F"
SEVERITIES = (1, 2, 3, 4)

# Beyond these no figure of the rules means anything, and what is reckoned from them must stay reckonable.
SMALLEST = 1e-6
LARGEST = 1e6


def word(field: str, value: str, vocabulary: type[Word]) -> Word:
    """A code as a member of its vocabulary."""
    try:
        return vocabulary(value)
    except ValueError as unknown:
        known = ", ".join(member.value for member in vocabulary)
        raise Refused(field, f"{value!r} is not known", f"give one of: {known}") from unknown


def word_set(field: str, values: Iterable[str], vocabulary: type[Word]) -> frozenset[Word]:
    """Codes as a set of members."""
    return frozenset(word(field, value, vocabulary) for value in values)


def ranks(field: str, values: Iterable[str], vocabulary: type[Word]) -> Mapping[Word, int]:
    """Members by their place in a list, the first 0."""
    return MappingProxyType({word(field, value, vocabulary): rank for rank, value in enumerate(values)})


def figure(field: str, value: Any, *, least: float = 0.0, most: float = LARGEST) -> float:
    """A finite figure from `least` to `most`, both included."""
    read = number(field, value)
    if not least <= read <= most:
        raise Refused(field, f"{plain(read)} can't be", f"give a figure from {plain(least)} to {plain(most)}")
    return read


def plain(value: float) -> str:
    """A figure as it is typed: without an exponent and without a nought after the point."""
    return f"{value:.10f}".rstrip("0").rstrip(".")


def positive(field: str, value: Any, *, least: float = SMALLEST, most: float = LARGEST) -> float:
    """A figure above 0, from `least` to `most`."""
    return figure(field, value, least=least, most=most)


def count(field: str, value: Any, *, most: int = 366) -> int:
    """A whole number from 1 to `most`."""
    read = figure(field, value, least=1, most=most)
    if read != int(read):
        raise Refused(field, f"{plain(read)} is no whole number", "give one like 3")
    return int(read)


def share(field: str, value: Any) -> float:
    """A probability between 0 and 1, neither included."""
    read = figure(field, value, most=1)
    if read in (0, 1):
        raise Refused(field, f"{plain(read)} is certain", "give more than 0 and less than 1")
    return read


def figures(
    field: str, table: Mapping[str, Any], vocabulary: type[Word], *, least: float = 0.0
) -> Mapping[Word, float]:
    """Figures by member, none below `least`."""
    return MappingProxyType(
        {
            word(field, name, vocabulary): figure(f"{field}.{name}", value, least=least)
            for name, value in table.items()
        }
    )


def severity(field: str, value: Any) -> int:
    """A category of MIL-STD-882E, Table I."""
    if value not in SEVERITIES:
        raise Refused(field, f"{value!r} is no severity", "give 1 (catastrophic) to 4 (negligible)")
    return int(value)


def complete(field: str, table: Iterable[Labelled], vocabulary: type[Labelled], leave_out: str = "") -> None:
    """Refuse a table that leaves a word out."""
    there = set(table)
    missing = [member.value for member in vocabulary if member not in there and member.value != leave_out]
    if missing:
        raise Refused(field, f"nothing is said of {', '.join(missing)}", "name each of them")


__all__ = [
    "ELIMINATED",
    "LARGEST",
    "LEVELS",
    "SEVERITIES",
    "complete",
    "count",
    "figure",
    "figures",
    "plain",
    "positive",
    "ranks",
    "severity",
    "share",
    "word",
    "word_set",
]
