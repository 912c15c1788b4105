"""The sheets as files. What is written here is read back as it is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from io import BytesIO
from typing import Any

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

from yard.fleet.columns import KINDS, SheetKind, value_text
from yard.safe_cells import csv_text, safe_cell

Rows = Iterable[Mapping[str, Any]]


def sheet_csv(kind: SheetKind, rows: Rows) -> str:
    """One sheet as CSV (RFC 4180). What a spreadsheet would take for a formula begins with an apostrophe."""
    head = [column.name for column in kind.columns]
    return csv_text(head, ([value_text(row[name]) for name in head] for row in rows))


def fleet_xlsx(rows_by_kind: Mapping[str, Rows]) -> bytes:
    """A workbook with a sheet of each kind. Whole numbers are numbers, all else is text, whatever it looks like."""
    book = Workbook(write_only=True)
    for kind in KINDS.values():
        sheet = book.create_sheet(kind.name)
        sheet.freeze_panes = "A2"
        for place, column in enumerate(kind.columns, start=1):
            width = 12 if column.kind in ("whole", "day") else 40 if column.kind == "addresses" else 26
            sheet.column_dimensions[get_column_letter(place)].width = width
        sheet.append([_cell(sheet, column.name, bold=True) for column in kind.columns])
        for row in rows_by_kind.get(kind.name, ()):
            sheet.append([_cell(sheet, row[column.name]) for column in kind.columns])
    written = BytesIO()
    book.save(written)
    return written.getvalue()


def _cell(sheet: Any, value: Any, *, bold: bool = False) -> Any:
    if value is None or value == "" or value == ():
        return None
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    cell = WriteOnlyCell(sheet)
    text = value_text(value)
    # An apostrophe that is meant would be taken off at reading; all other text is safe as it is.
    text = safe_cell(text) if text.startswith("'") else text
    cell.value = ILLEGAL_CHARACTERS_RE.sub("", text)
    cell.data_type = "s"  # the library takes what begins with = for a formula
    cell.number_format = "@"  # and a spreadsheet does when somebody edits the cell
    if bold:
        cell.font = Font(bold=True)
    return cell


__all__ = ["fleet_xlsx", "sheet_csv"]
