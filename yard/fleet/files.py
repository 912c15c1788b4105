"""From the bytes of a file to cells of text: CSV (RFC 4180) and XLSX (ISO/IEC 29500).

What a file may cost is bounded before it is read: its size, what it unpacks to, its rows and columns. A cell that
can't be taken keeps its place and says why.
"""

from __future__ import annotations

import csv
import warnings
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from io import BytesIO, StringIO
from typing import Any, Final

from openpyxl import load_workbook

from yard.fleet.columns import KINDS
from yard.refusals import Refused
from yard.safe_cells import looks_like_formula, plain_cell

MOST_BYTES: Final = 2 * 1024 * 1024
MOST_BYTES_UNPACKED: Final = 24 * 1024 * 1024
MOST_PARTS: Final = 200
MOST_SHEETS: Final = 8
MOST_COLUMNS: Final = 40
MOST_CHARACTERS: Final = 500
MOST_ROWS: Final = max(kind.most_rows for kind in KINDS.values()) + 1
_OTHER_BOMS: Final = (b"\xff\xfe", b"\xfe\xff")
# whatever the standard library says of an archive that is cut, locked or made up
_BROKEN_ARCHIVE: Final = (
    zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError, OSError, ValueError,
)  # fmt: skip
_NAMES: Final = {column.name for kind in KINDS.values() for column in kind.columns}


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell's text, or why it can't be taken."""

    text: str
    problem: str = ""
    remedy: str = ""


@dataclass(frozen=True, slots=True)
class Grid:
    """The rows of a sheet that are not empty, with their numbers as a spreadsheet shows them."""

    title: str
    rows: tuple[tuple[int, tuple[Cell, ...]], ...]


def grids_read(name: str, data: bytes) -> list[Grid]:
    """The sheets of a file, of which a CSV file has one.

    Raises:
        Refused: it can't be read, or is more than can be taken at once. It names the file.
    """
    if len(data) > MOST_BYTES:
        raise Refused(name, "is too large", f"a file may have {MOST_BYTES // 1024 // 1024} MiB; part it in two")
    if data.startswith(b"PK"):
        return _workbook(name, data)
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise Refused(name, "is an old workbook, or one with a password", "save it as XLSX without a password")
    return [_csv(name, data)]


def _csv(name: str, data: bytes) -> Grid:
    if data.startswith(_OTHER_BOMS):
        raise Refused(name, "is in UTF-16", "save it as CSV in UTF-8")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise Refused(name, f"is not in UTF-8, see line {line}", "save it as CSV in UTF-8") from None
    if "\0" in text:
        raise Refused(name, "is no text", "choose a CSV or XLSX file")
    first = text.split("\n", 1)[0].rstrip("\r")
    delimiter = max(",;\t", key=lambda sign: _known(first.split(sign)))
    reader = csv.reader(StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        return Grid(_title(name), tuple(_rows(name, ([_from_text(text) for text in row] for row in reader))))
    except csv.Error as error:
        problem = f"can't be read at line {reader.line_num}: {error}"
        raise Refused(name, problem, "save it from a spreadsheet as CSV") from None


def _known(names: Iterable[str]) -> int:
    return len(_NAMES.intersection(name.strip().strip('"').lower() for name in names))


def _from_text(text: str) -> Cell:
    if looks_like_formula(text):
        remedy = "put an apostrophe before it if it is meant as text"
        return Cell(text[:40], f"begins like a formula: {text[:40]}", remedy)
    return _bounded(plain_cell(text))


def _bounded(text: str) -> Cell:
    if len(text) > MOST_CHARACTERS:
        return Cell("", f"has {len(text)} characters", f"a cell may have {MOST_CHARACTERS}")
    return Cell(text)


def _rows(name: str, rows: Iterable[Sequence[Cell]]) -> Iterator[tuple[int, tuple[Cell, ...]]]:
    for number, row in enumerate(rows, start=1):
        if number > MOST_ROWS:
            raise Refused(name, f"has more than {MOST_ROWS - 1} rows", "part it in two")
        cells = list(row)
        while cells and not cells[-1].text.strip() and not cells[-1].problem:
            cells.pop()
        if len(cells) > MOST_COLUMNS:
            raise Refused(name, f"has {len(cells)} columns in row {number}", "keep to the columns that are known")
        if cells:
            yield number, tuple(cells)


def _title(name: str) -> str:
    return name.rsplit(".", 1)[0] or name


def _workbook(name: str, data: bytes) -> list[Grid]:
    _unpacking_check(name, data)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of what it leaves out, such as lists to choose from
            book = load_workbook(BytesIO(data), read_only=True, keep_links=False)
            sheets = book.worksheets
            if len(sheets) > MOST_SHEETS:
                raise Refused(name, f"has {len(sheets)} sheets", f"it may have {MOST_SHEETS}")
            return [Grid(str(sheet.title)[:60], tuple(_rows(name, _cells(sheet)))) for sheet in sheets]
    except Refused:
        raise
    except Exception as error:  # a broken workbook makes its reader stumble in any way there is
        raise Refused(name, "is no workbook that can be read", "save it from a spreadsheet as XLSX") from error


def _unpacking_check(name: str, data: bytes) -> None:
    """Refuse what unpacks to very much, and documents that define entities, before anything is unpacked for good.

    The standard library never unpacks more of a part than the archive declares, so what is declared is a bound.
    """
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            parts = archive.infolist()
            if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_BYTES_UNPACKED:
                raise Refused(name, "unpacks to more than can be taken", "save the sheets alone in a new workbook")
            for part in parts:
                # without zero bytes, so that UTF-16 reads the same
                if b"<!DOCTYPE" in archive.read(part).replace(b"\0", b""):
                    raise Refused(name, "defines entities of its own", "save it from a spreadsheet as XLSX")
    except _BROKEN_ARCHIVE as error:
        raise Refused(name, "is no workbook that can be read", "save it from a spreadsheet as XLSX") from error


def _cells(sheet: Any) -> Iterator[list[Cell]]:
    sheet.reset_dimensions()  # what a workbook says of its own size is not to be relied on
    for row in sheet.iter_rows(max_row=MOST_ROWS + 1):
        last = len(row)  # thousands, where one of the last columns has nothing but a colour
        while last and _is_blank(row[last - 1].value):
            last -= 1
        yield [_from_cell(cell.value, cell.data_type) for cell in row[:last]]


def _is_blank(value: object) -> bool:
    return value is None or (isinstance(value, str) and not value.strip())


def _from_cell(value: object, data_type: str) -> Cell:
    if value is None:
        return Cell("")
    if data_type == "f":
        return Cell("", "holds a formula", "paste it as a value")
    if data_type == "e":
        return Cell("", f"holds an error: {str(value)[:40]}", "write what is meant")
    if isinstance(value, bool):
        return Cell("", f"holds a truth value: {str(value).upper()}", "write what is meant")
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return Cell(str(int(value)))
    if isinstance(value, datetime) and value.time() == value.time().min:
        return Cell(value.date().isoformat())
    if isinstance(value, date):
        return Cell(value.isoformat())
    return _bounded(plain_cell(str(value)))


__all__ = ["MOST_BYTES", "Cell", "Grid", "grids_read"]
