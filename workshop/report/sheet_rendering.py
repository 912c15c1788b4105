"""Sheets of paper for the yard itself: from a template and its codes to the pages of a tagged PDF."""

from __future__ import annotations

from collections.abc import Mapping
from io import BytesIO
from typing import Any

import segno
from django.template.loader import render_to_string

from workshop.report.engine import CSS, HTML, FontConfiguration
from workshop.report.fetcher import ReportFetcher
from workshop.report.rendering import Rendered
from workshop.report.table_tags import header_scopes_write


def code_svg(text: str) -> bytes:
    """A text as a QR code (ISO/IEC 18004) that survives a smear on an eighth of it, with the quiet zone of four."""
    drawn = BytesIO()
    segno.make_qr(text, error="m").save(drawn, kind="svg", border=4, dark="#000", xmldecl=False, nl=False)
    return drawn.getvalue()


def sheet_render(name: str, context: Mapping[str, Any], codes: Mapping[str, str]) -> Rendered:
    """Render the template of a sheet with its style: every text of a person is escaped, nothing is fetched.

    Args:
        name: of the templates, `<name>.html` and `<name>.css`.
        context: what they set.
        codes: texts of the QR codes, by the name that the template calls them.
    """
    fetcher = ReportFetcher({}, {key: code_svg(text) for key, text in codes.items()})
    fonts = FontConfiguration()
    style = CSS(
        string=render_to_string(f"workshop/report/{name}.css", dict(context)),
        url_fetcher=fetcher,
        font_config=fonts,
    )
    html = render_to_string(f"workshop/report/{name}.html", dict(context))
    document = HTML(string=html, url_fetcher=fetcher).render(
        stylesheets=[style], font_config=fonts, pdf_variant="pdf/ua-1"
    )
    pdf = document.write_pdf(pdf_variant="pdf/ua-1", finisher=header_scopes_write)
    assert isinstance(pdf, bytes)  # no target was given
    return Rendered(pdf, len(document.pages))


__all__ = ["code_svg", "sheet_render"]
