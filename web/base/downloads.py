"""What a page hands out as a file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from django.http import HttpResponse

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


__all__ = ["CSV", "download", "spreadsheet"]
