"""Where the stickers lie on a sheet: common label grids, from memory. Try one on plain paper first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Generic, TypeVar

from yard.refusals import Refused

Item = TypeVar("Item")
PAPERS_MM: Final = MappingProxyType({"A4": (210.0, 297.0), "letter": (215.9, 279.4)})


@dataclass(frozen=True, slots=True)
class Grid:
    """Stickers in columns and rows, in the middle of the sheet; sizes in mm.

    Args:
        code: as it is asked for.
        paper: A4 or letter.
        columns, rows: how many side by side and below each other.
        width_mm, height_mm: of one sticker.
        gap_mm: between two columns; rows touch.
    """

    code: str
    paper: str
    columns: int
    rows: int
    width_mm: float
    height_mm: float
    gap_mm: float

    @property
    def stickers(self) -> int:
        return self.columns * self.rows

    @property
    def lefts_mm(self) -> tuple[float, ...]:
        """The left edges of the columns."""
        wide = self.columns * self.width_mm + (self.columns - 1) * self.gap_mm
        first = (PAPERS_MM[self.paper][0] - wide) / 2
        return tuple(round(first + at * (self.width_mm + self.gap_mm), 3) for at in range(self.columns))

    @property
    def tops_mm(self) -> tuple[float, ...]:
        """The upper edges of the rows."""
        first = (PAPERS_MM[self.paper][1] - self.rows * self.height_mm) / 2
        return tuple(round(first + at * self.height_mm, 3) for at in range(self.rows))


GRIDS: Final = MappingProxyType(
    {
        grid.code: grid
        for grid in (
            Grid("a4-3x8", "A4", 3, 8, 70.0, 37.0, 0.0),
            Grid("a4-3x7", "A4", 3, 7, 63.5, 38.1, 2.5),
            Grid("a4-5x13", "A4", 5, 13, 38.1, 21.2, 2.5),
            Grid("letter-3x10", "letter", 3, 10, 66.7, 25.4, 3.2),
        )
    }
)


@dataclass(frozen=True, slots=True)
class Placed(Generic[Item]):
    """Something on a sticker, counted from 0."""

    item: Item
    column: int
    row: int


def grid_named(code: str) -> Grid:
    """One of the grids.

    Raises:
        Refused: there is none of that name.
    """
    if code not in GRIDS:
        raise Refused("grid", f"there is no grid {code[:40]!r}", f"give one of: {', '.join(GRIDS)}")
    return GRIDS[code]


def place_on(grid: Grid, items: Sequence[Item], *, used: int = 0) -> tuple[tuple[Placed[Item], ...], ...]:
    """Lay things on stickers, row by row, sheet after sheet.

    Args:
        grid: of the sheets.
        items: what goes on them, one on each.
        used: how many stickers of the first sheet are gone already, 0 to one less than it has.

    Raises:
        Refused: more stickers are used than there are.
    """
    if not 0 <= used < grid.stickers:
        raise Refused("used", f"{used} of {grid.stickers} stickers", f"give 0 to {grid.stickers - 1}")
    sheets: list[list[Placed[Item]]] = []
    for number, item in enumerate(items, start=used):
        sheet, place = divmod(number, grid.stickers)
        if sheet == len(sheets):
            sheets.append([])
        sheets[sheet].append(Placed(item, place % grid.columns, place // grid.columns))
    return tuple(tuple(sheet) for sheet in sheets)


__all__ = ["GRIDS", "PAPERS_MM", "Grid", "Placed", "grid_named", "place_on"]
