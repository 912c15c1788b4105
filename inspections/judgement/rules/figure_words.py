"""The figures of the rules as people read them: their names in words, and their units apart. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

DOT: Final = "."
# How the last part of a figure's name ends, the longer ending first.
UNITS: Final[Mapping[str, str]] = {
    "mm_per_stage": "mm a stage",
    "rate_per_year": "passed a year",
    "_points": "percentage points",
    "_years": "years",
    "_days": "days",
    "_pct": "%",
    "_mm": "mm",
    "_c": "°C",
}
WHOLE: Final = "rules"


def table_words(name: str) -> str:
    """The table that a figure stands in, as the page heads it."""
    return _plain(_path(name)[0]).capitalize()


def figure_words(name: str) -> str:
    """A figure within its table, its unit last: `water on wood, standing`, `wet, %`."""
    *tables, last = _path(name)[1:] or _path(name)
    parts = [*map(_plain, tables), *_stem_and_unit(last)]
    return ", ".join(part for part in parts if part)


def whole_words(name: str) -> str:
    """A figure, or a table of them, wherever it is spoken of: `Moisture, wet, %`."""
    path = _path(name)
    return table_words(name) if len(path) == 1 else f"{table_words(name)}, {figure_words(name)}"


def moved_words(name: str, was: str, now: str) -> str:
    """From what to what a figure was set: `Moisture, wet: 20 to 18 %`."""
    _, unit = _stem_and_unit(_path(name)[-1])
    words = whole_words(name).removesuffix(f", {unit}")
    return f"{words}: {was} to {now} {unit}".rstrip()


def _path(name: str) -> list[str]:
    """The parts of a name; the rules as a whole stand before it in some refusals."""
    path = name.split(DOT)
    return path[1:] if path[0] == WHOLE and len(path) > 1 else path


def _stem_and_unit(last: str) -> tuple[str, str]:
    for ending, unit in UNITS.items():
        if last.endswith(ending):
            return _plain(last.removesuffix(ending)), unit
    return _plain(last), ""


def _plain(word: str) -> str:
    return word.replace("_", " ").strip()


__all__ = ["figure_words", "moved_words", "table_words", "whole_words"]
