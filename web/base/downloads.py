"""What a page hands out as a file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Final

from django.http import HttpResponse

from yard.models import Yard
from yard.safe_cells import csv_text

CSV: Final = "text/csv; charset=utf-8"


def download(content: bytes, media_type: str, name: str) -> HttpResponse:
    """A file for this reader, under a name."""
    headers = {
        "Content-Disposition": f'attachment; filename="{name}"',
        "Cache-Control": "private, no-store",
        "X-Content-Type-Options": "nosniff",
    }
    return HttpResponse(content, content_type=media_type, headers=headers)


def spreadsheet(head: Sequence[str], rows: Iterable[Iterable[str]], name: str) -> HttpResponse:
    """Rows as CSV (RFC 4180). What a spreadsheet would read as a formula begins with an apostrophe."""
    return download(csv_text(head, rows).encode(), CSV, name)


def day_cell(at: datetime | None, yard: Yard) -> str:
    """The day at the yard, as ISO 8601 has it; nothing for no moment."""
    return "" if at is None else at.astimezone(yard.zone).date().isoformat()


def moment_cell(at: datetime | None, yard: Yard) -> str:
    """The moment by the yard's clock, as ISO 8601 has it; nothing for none."""
    return "" if at is None else at.astimezone(yard.zone).isoformat(timespec="seconds")


__all__ = ["CSV", "day_cell", "download", "moment_cell", "spreadsheet"]
