"""A report of some twenty pages with forty photos, against WeasyPrint alone on the same HTML."""

from __future__ import annotations

import io
from collections.abc import Mapping
from functools import partial
from statistics import median

import pikepdf
import pytest
from django.template.loader import render_to_string

from tests.bench.big_report import FINDINGS, PHOTOS_EACH, the_quote
from tests.bench.measuring import in_turns, ratio, report
from workshop.models import Quote
from workshop.report import making
from workshop.report.context import report_view
from workshop.report.engine import CSS, HTML, FontConfiguration
from workshop.report.fetcher import ReportFetcher
from workshop.report.pictures import report_pictures
from workshop.report.rendering import paper_of, report_html
from workshop.services.quotes import quote_document

pytestmark = [pytest.mark.bench, pytest.mark.django_db]

ROUNDS, WARM_UP = 5, 1
FEW, SOME, MANY = 10, 40, 200  # photos
AS_PRINTED = 1200  # pixels: a wider one would only take longer to be made small, before anything is measured
SERVICE, UNPREPARED, BARE = "the service", "the service, photos as they came", "WeasyPrint alone"


def test_a_report_against_weasyprint_alone() -> None:
    quote, raw = the_quote(prepared=True), the_quote(prepared=False)
    document, locale = quote_document(quote), making.english(quote.boat.decider_owner)
    photos = report_pictures(quote.yard, document.pictures)
    assert len(photos) == FINDINGS * PHOTOS_EACH
    view = report_view(document, digest=quote.digest, locale=locale, photos=photos.keys())
    html = report_html(view)
    css = render_to_string("workshop/report/report.css", {"report": view, "paper": paper_of(locale)})
    pages, pictures = looked_through(weasyprint_alone(html, css, photos))
    assert (pages, pictures) == looked_through(making.render(quote, document, locale=locale).pdf)

    def service(of: Quote) -> None:
        # All that the worker does outside a transaction: it reads, renders and keeps the file.
        assert making.report_make(of.pk) is not None

    seconds = in_turns(
        {
            SERVICE: lambda: service(quote),
            UNPREPARED: lambda: service(raw),
            BARE: lambda: weasyprint_alone(html, css, photos),
        },
        rounds=ROUNDS,
        warm_up=WARM_UP,
    )
    report(
        "report",
        seconds,
        [
            ratio("a report", seconds, of=SERVICE, to=BARE, bound=3),
            ratio("a report before its photos were made small", seconds, of=UNPREPARED, to=BARE),
        ],
        facts={"pages": pages, "pictures": pictures},
    )


def test_a_report_grows_no_faster_than_its_photos() -> None:
    """From ten photos to two hundred: seconds a page and a photo, and how both grow."""
    quotes = {
        photos: the_quote(prepared=True, findings=photos // PHOTOS_EACH, width=AS_PRINTED)
        for photos in (FEW, SOME, MANY)
    }
    pages: dict[int, int] = {}
    for photos, quote in quotes.items():
        locale = making.english(quote.boat.decider_owner)
        pdf = making.render(quote, quote_document(quote), locale=locale).pdf
        pages[photos], pictures = looked_through(pdf)
        assert pictures == photos
    seconds = in_turns(
        {_with(photos): partial(making.report_make, quote.pk) for photos, quote in quotes.items()},
        rounds=2,
        warm_up=0,
    )
    # a share of the figures is what one photo, or one page, takes
    by_photo = {_with(photos): [each / photos for each in seconds[_with(photos)]] for photos in quotes}
    by_page = {_with(photos): [each / pages[photos] for each in seconds[_with(photos)]] for photos in quotes}
    report(
        "report by photos",
        seconds,
        [
            ratio("a photo", by_photo, of=_with(MANY), to=_with(FEW), bound=1),
            ratio("a photo", by_photo, of=_with(SOME), to=_with(FEW), bound=1),
            ratio("a page", by_page, of=_with(MANY), to=_with(FEW)),
        ],
        facts={f"{photos} photos": f"{count} pages" for photos, count in pages.items()}
        | {f"ms a photo of {photos}": round(1000 * median(by_photo[_with(photos)]), 1) for photos in quotes}
        | {f"ms a page with {photos}": round(1000 * median(by_page[_with(photos)]), 1) for photos in quotes},
    )


def _with(photos: int) -> str:
    return f"a report with {photos} photos"


def weasyprint_alone(html: str, css: str, photos: Mapping[str, bytes]) -> bytes:
    """The same HTML and style sheet, the photos from memory in the size they are printed at."""
    fetcher, fonts = ReportFetcher(photos), FontConfiguration()
    style = CSS(string=css, url_fetcher=fetcher, font_config=fonts)
    typeset = HTML(string=html, url_fetcher=fetcher).render(
        stylesheets=[style], font_config=fonts, pdf_variant="pdf/ua-1"
    )
    pdf: bytes = typeset.write_pdf(pdf_variant="pdf/ua-1")
    return pdf


def looked_through(pdf: bytes) -> tuple[int, int]:
    """How many pages it has, and how many pictures are in the file."""
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        pictures = {
            each.objgen
            for each in opened.objects
            if isinstance(each, pikepdf.Stream)
            and each.get("/Subtype") == "/Image"
            and each.get("/Filter") == "/DCTDecode"
        }
        return len(opened.pages), len(pictures)
