"""The values of the first reading, as characters of the table and as words for the technician."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product
from types import MappingProxyType
from typing import Final

from inspections.judgement.priority import URGENCY
from inspections.judgement.vocabulary import Priority, Sides

NO_VALUE: Final = " "
LIKELY: Final[Mapping[Priority, str]] = MappingProxyType(
    {
        Priority.BEFORE_LAUNCH: "likely before launch",
        Priority.THIS_SEASON: "likely this season",
        Priority.NEXT_LAYUP: "likely at the next lay-up",
        Priority.WATCH: "likely to be watched",
    }
)


@dataclass(frozen=True, slots=True)
class Value:
    """What a cell says.

    Args:
        priority: that judgement would give.
        structural: what decided weakens the part, so that the face nobody saw matters.
        contradicted: something that was recorded speaks against what decided.
        left: nothing that the sign names holds; a mark is left.
    """

    priority: Priority
    structural: bool
    contradicted: bool
    left: bool

    @property
    def rank(self) -> int:
        """0 is the most pressing."""
        return URGENCY[self.priority]

    def words(self) -> dict[str, str]:
        """By which sides were seen; the empty one where nobody said."""
        return {"": self._said(None), **{sides.value: self._said(sides) for sides in Sides}}

    def _said(self, sides: Sides | None) -> str:
        return f"{LIKELY[self.priority]}{self._confirmed_by(sides)}"

    def _confirmed_by(self, sides: Sides | None) -> str:
        if self.contradicted:
            return ": what was recorded contradicts itself, look again"
        if self.structural and sides is Sides.ONE:
            return ": confirm from the other side"
        if self.structural and sides is Sides.NONE:
            return ": confirm by looking at the face"
        return ""


_EITHER: Final = (False, True)
VALUES: Final = tuple(
    Value(priority, structural, contradicted, left)
    for priority, structural, contradicted, left in product(Priority, _EITHER, _EITHER, _EITHER)
)
_BY_PARTS: Final = {(value.priority, value.structural, value.contradicted, value.left): value for value in VALUES}


def value_at(priority: Priority, structural: bool, contradicted: bool, left: bool) -> Value:
    """The value of these parts; one object of each is enough."""
    return _BY_PARTS[priority, structural, contradicted, left]


_LETTERS: Final = "abcdefghijklmnopqrstuvwxyzABCDEF"
CHARACTERS: Final[Mapping[Value, str]] = MappingProxyType(dict(zip(VALUES, _LETTERS, strict=True)))

__all__ = ["CHARACTERS", "LIKELY", "NO_VALUE", "VALUES", "Value", "value_at"]
