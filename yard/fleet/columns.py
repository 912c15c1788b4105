"""The sheets and their columns."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Final

Value = str | int | date | tuple[str, ...] | None


class Empty(StrEnum):
    """What an empty cell means."""

    REFUSED = "must be filled"
    CLEARS = "may be empty"
    STAYS = "as it was if empty"


@dataclass(frozen=True, slots=True)
class Column:
    """A column. Its kind is text, whole (a whole number), day, or addresses."""

    name: str
    told: str
    empty: Empty = Empty.CLEARS
    kind: str = "text"
    known_by: bool = False

    @property
    def rule(self) -> str:
        """What stands in it, for the page that explains it."""
        empty = "" if self.told and self.empty is Empty.CLEARS else self.empty.value
        return "; ".join(part for part in (self.told, empty) if part)


@dataclass(frozen=True, slots=True)
class SheetKind:
    """A sheet of one kind: what its rows are called, by which columns a row is known, how many it may have."""

    name: str
    one: str
    most_rows: int
    columns: tuple[Column, ...]

    @property
    def known_by(self) -> tuple[str, ...]:
        return tuple(column.name for column in self.columns if column.known_by)


OWNERS: Final = SheetKind(
    "owners",
    "owner",
    2_000,
    (
        Column("email", "by which the owner is known", Empty.REFUSED, known_by=True),
        Column("name", "", Empty.REFUSED),
        Column("phone", ""),
        Column(
            "locale", "the language of letters, like en_GB or de; for a new owner without one en_GB", Empty.STAYS
        ),
    ),
)
BOATS: Final = SheetKind(
    "boats",
    "boat",
    1_000,
    (
        Column("name", "by which the boat is known, in capitals or not", Empty.REFUSED, known_by=True),
        Column("build", "", Empty.REFUSED),
        Column("material", ""),
        Column("loa_mm", "length over all in mm", Empty.REFUSED, "whole"),
        Column("beam_mm", "in mm", Empty.REFUSED, "whole"),
        Column("year", "when she was built", kind="whole"),
        Column("owners", "their e-mail addresses, parted by blanks", kind="addresses"),
        Column(
            "decider",
            "an owner's e-mail, or manager: and the log-in; for a new boat without one her only owner",
            Empty.STAYS,
        ),
        Column("left_on", "the day she left the yard, like 2027-10-31", kind="day"),
    ),
)
COMPONENTS: Final = SheetKind(
    "components",
    "part",
    8_000,
    (
        Column("boat", "her name", Empty.REFUSED, known_by=True),
        Column("class", "its code", Empty.REFUSED),
        Column("name", "with boat and position, by which the part is known", Empty.REFUSED, known_by=True),
        Column("position", "", known_by=True),
        Column("species", ""),
        Column("finish", ""),
    ),
)
KINDS: Final[Mapping[str, SheetKind]] = {kind.name: kind for kind in (OWNERS, BOATS, COMPONENTS)}
MANAGER: Final = "manager:"


def value_text(value: Value) -> str:
    """A value as it stands in a cell."""
    if value is None:
        return ""
    if isinstance(value, tuple):
        return " ".join(value)
    return value.isoformat() if isinstance(value, date) else str(value)


__all__ = [
    "BOATS",
    "COMPONENTS",
    "KINDS",
    "MANAGER",
    "OWNERS",
    "Column",
    "Empty",
    "SheetKind",
    "Value",
    "value_text",
]
