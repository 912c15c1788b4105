"""From cells of text to rows with typed values, and what can't be read, cell by cell."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Final

from openpyxl.utils import get_column_letter

from yard.fleet.columns import BOATS, COMPONENTS, KINDS, OWNERS, Column, Empty, SheetKind, Value
from yard.fleet.files import Cell, Grid
from yard.refusals import Refused

# An address is what stands between blanks, commas or semicolons; in quotation marks it may hold these.
_ADDRESS: Final = re.compile(r'(?:"(?:\\.|[^"\\])*"|[^\s;,"])+')
_DAY: Final = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_WHOLE: Final = re.compile(r"-?\d{1,9}", re.ASCII)


@dataclass(slots=True)
class Row:
    """A row: its values by column, and what was refused, by column.

    A column that the sheet doesn't have is no key. `letters` tells where each column stands.
    """

    kind: SheetKind
    title: str
    number: int
    letters: Mapping[str, str]
    values: dict[str, Value]
    refusals: list[Refused] = field(default_factory=list)

    def cell(self, column: str) -> str:
        """Where a column stands, as a spreadsheet calls it."""
        return f"{self.letters[column]}{self.number}" if column in self.letters else f"row {self.number}"

    def refuse(self, refusal: Refused) -> None:
        self.refusals.append(refusal)


@dataclass(frozen=True, slots=True)
class Table:
    """A sheet that is read."""

    kind: SheetKind
    title: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]


def tables_read(grids: Iterable[Grid]) -> list[Table]:
    """The sheets, each of which is known by its columns; empty ones are left out.

    Raises:
        Refused: a sheet as a whole can't be read; it names the sheet.
    """
    tables: dict[str, Table] = {}
    for grid in grids:
        if not grid.rows:
            continue
        table = _table(grid)
        if table.kind.name in tables:
            other = tables[table.kind.name].title
            raise Refused(grid.title, f"has {table.kind.name}, and so has {other}", "put them into one sheet")
        tables[table.kind.name] = table
    if not any(table.rows for table in tables.values()):
        raise Refused("file", "has no rows", "fill in one row at least below the names of the columns")
    return [tables[name] for name in KINDS if name in tables]


def _table(grid: Grid) -> Table:
    number, head = grid.rows[0]
    names = [re.sub(r"[\s_]+", "_", cell.text.strip().lower()) for cell in head]
    kind = _kind(grid.title, set(names))
    known = {column.name: column for column in kind.columns}
    for place, name in enumerate(names, start=1):
        where = f"{grid.title}, {get_column_letter(place)}{number}"
        if name not in known:
            remedy = f"name the columns of {kind.name}: {', '.join(known)}"
            raise Refused(where, f"is no column that is known: {name[:40]!r}", remedy)
        if name in names[: place - 1]:
            raise Refused(where, f"a second column has the name {name}", "leave one of them out")
    if missing := [name for name in kind.known_by if name not in names and name != "position"]:
        raise Refused(grid.title, f"has no column {' and '.join(missing)}", "add it: rows are known by it")
    if len(grid.rows) - 1 > kind.most_rows:
        problem = f"has {len(grid.rows) - 1} rows of {kind.name}"
        raise Refused(grid.title, problem, f"take in at most {kind.most_rows} at a time")
    letters = {name: get_column_letter(place) for place, name in enumerate(names, start=1)}
    rows = []
    for number, cells in grid.rows[1:]:
        row = Row(kind, grid.title, number, letters, {})
        for place, cell in enumerate(cells[len(names) :], start=len(names) + 1):
            if cell.text.strip() or cell.problem:
                where = f"{get_column_letter(place)}{number}"
                row.refuse(Refused("", f"{where} stands beside the columns", "empty it, or name its column"))
        for place, name in enumerate(names):
            _read(row, known[name], cells[place] if place < len(cells) else Cell(""))
        rows.append(row)
    return Table(kind, grid.title, tuple(names), tuple(rows))


def _kind(title: str, names: set[str]) -> SheetKind:
    if "boat" in names:
        return COMPONENTS
    if "email" in names:
        return OWNERS
    if "name" in names:
        return BOATS
    heads = "; ".join(
        f"{kind.name}: {', '.join(column.name for column in kind.columns)}" for kind in KINDS.values()
    )
    raise Refused(title, "has not the names of columns in its first row", f"write them there ({heads})")


def _read(row: Row, column: Column, cell: Cell) -> None:
    text = cell.text.strip()
    try:
        if cell.problem:
            raise Refused(column.name, cell.problem, cell.remedy)
        if not text and column.empty is Empty.REFUSED:
            raise Refused(column.name, "is empty", "fill it in")
        if text or column.empty is Empty.CLEARS:
            row.values[column.name] = _value(column, text)
    except Refused as refusal:
        row.refuse(refusal)


def _value(column: Column, text: str) -> Value:
    if column.kind == "addresses":
        return tuple(dict.fromkeys(_ADDRESS.findall(text)))
    if column.kind == "text":
        return text
    if not text:
        return None
    if column.kind == "whole":
        if not _WHOLE.fullmatch(text):
            raise Refused(column.name, f"is no whole number: {text[:40]!r}", "give figures alone, like 8400")
        return int(text)
    try:
        if _DAY.fullmatch(text):
            return date.fromisoformat(text)
    except ValueError:
        pass
    raise Refused(column.name, f"is no day: {text[:40]!r}", "give one like 2027-10-31")


__all__ = ["Row", "Table", "tables_read"]
