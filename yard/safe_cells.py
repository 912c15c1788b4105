"""Text in the cells of spreadsheets: what one would take for a formula, and how it is told from text.

A cell that begins like a formula is written with an apostrophe before it. So is one that begins with such an
apostrophe already: what was written is always read back as it was.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Sequence
from io import StringIO
from typing import Final

_FORMULA: Final = re.compile(r"'*(?:\s*[=+\-@]|[\t\r\n])")
_FIGURE: Final = re.compile(r"\s*[+-][\d\s()/.,-]*")


def safe_cell(text: str) -> str:
    """A cell that no spreadsheet takes for a formula: =, +, -, @ at its beginning, also after blanks."""
    return f"'{text}" if _FORMULA.match(text) else text


def plain_cell(text: str) -> str:
    """What `safe_cell` was given."""
    return text[1:] if text.startswith("'") and _FORMULA.match(text) else text


def looks_like_formula(text: str) -> bool:
    """Whether a cell begins like a formula and is more than a figure, such as a telephone number with its plus."""
    return not text.startswith("'") and bool(_FORMULA.match(text)) and not _FIGURE.fullmatch(text)


def csv_text(head: Sequence[str], rows: Iterable[Iterable[str]]) -> str:
    """Rows as CSV (RFC 4180), their cells safe."""
    written = StringIO()
    writer = csv.writer(written)
    writer.writerow(head)
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    return written.getvalue()


__all__ = ["csv_text", "looks_like_formula", "plain_cell", "safe_cell"]
