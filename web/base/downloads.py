"""What a page hands out as a file."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from io import StringIO

from django.http import HttpResponse

from yard.safe_cells import safe_cell


def download(content: bytes, media_type: str, name: str) -> HttpResponse:
    """A file for this reader, under a name."""
    headers = {
        "Content-Disposition": f'attachment; filename="{name}"',
        "Cache-Control": "private, no-store",
        "X-Content-Type-Options": "nosniff",
    }
    return HttpResponse(content, content_type=media_type, headers=headers)


def spreadsheet(head: Sequence[str], rows: Iterable[Sequence[str]], name: str) -> HttpResponse:
    """Rows as CSV (RFC 4180). What a spreadsheet would read as a formula begins with an apostrophe."""
    written = StringIO()
    writer = csv.writer(written)
    writer.writerow(head)
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    return download(written.getvalue().encode(), "text/csv; charset=utf-8", name)


__all__ = ["download", "spreadsheet"]
