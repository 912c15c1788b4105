"""From the view of a report to the pages of a tagged PDF."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from django.template.loader import render_to_string
from django.utils.translation import override

from workshop.report.engine import CSS, HTML, FontConfiguration
from workshop.report.fetcher import ReportFetcher
from workshop.report.table_tags import header_scopes_write
from workshop.report.views import ReportView
from yard.languages import language_of

Paper = Literal["A4", "letter"]


@dataclass(frozen=True, slots=True)
class Rendered:
    """A finished report."""

    pdf: bytes
    pages: int


def report_html(view: ReportView) -> str:
    """The report as HTML: every text of a person escaped by the template engine."""
    with override(language_of(view.language)):
        return render_to_string("workshop/report/report.html", {"report": view})


def report_render(
    view: ReportView,
    *,
    photos: Mapping[str, bytes],
    paper: Paper = "A4",
    drawings: Mapping[str, tuple[bytes, str]] | None = None,
) -> Rendered:
    """Render a report.

    Args:
        view: what it says.
        photos: JPEG files by the SHA-256 that the view names, ready for print.
        paper: A4 or US letter; the page is laid out so that it keeps its looks on both.
        drawings: file and media type by the SHA-256 that the plan of the view names.
    """
    fetcher, fonts = ReportFetcher(photos, drawings=drawings), FontConfiguration()
    with override(language_of(view.language)):
        sheet = render_to_string("workshop/report/report.css", {"report": view, "paper": paper})
    style = CSS(
        string=sheet,
        url_fetcher=fetcher,
        font_config=fonts,
    )
    document = HTML(string=report_html(view), url_fetcher=fetcher).render(
        stylesheets=[style], font_config=fonts, pdf_variant="pdf/ua-1"
    )
    pdf = document.write_pdf(pdf_variant="pdf/ua-1", finisher=header_scopes_write)
    assert isinstance(pdf, bytes)  # no target was given
    return Rendered(pdf, len(document.pages))


def paper_of(locale: str) -> Paper:
    """The paper of a reader's country: letter where it is the usual one, A4 elsewhere."""
    return "letter" if locale.replace("-", "_").partition("_")[2].upper() in LETTER_COUNTRIES else "A4"


# CLDR supplemental data, measurementData/paperSize; from memory.
LETTER_COUNTRIES = frozenset({"BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"})

__all__ = ["Paper", "Rendered", "paper_of", "report_html", "report_render"]
