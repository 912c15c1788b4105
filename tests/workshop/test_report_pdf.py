"""The owner's report, read back from the PDF itself."""

from __future__ import annotations

import dataclasses
import itertools
import logging
from collections.abc import Iterator

import pikepdf
import pytest

from tests.workshop import pdf_reading
from tests.workshop.documents import DIGEST, a_document, a_finding, a_job, a_photo, sha
from workshop.quoting.document import PinPart, QuoteDocument
from workshop.report.context import report_view
from workshop.report.fetcher import FONTS, SHAPES, ReportFetcher
from workshop.report.rendering import Paper, Rendered, paper_of, report_render

EVIL = '</td></style><script>alert(1)</script><img src="http://192.0.2.1/x.png"> {{ 7 }} & co'


@pytest.fixture(autouse=True)
def weasyprint_says_no_error(caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    """WeasyPrint leaves out what it can't use, and only says so in its log."""
    with caplog.at_level(logging.WARNING, logger="weasyprint"):
        yield
    # the fixture's own phase has no records: what the test itself brought about counts
    said = [record.getMessage() for record in caplog.get_records("call") if record.name.startswith("weasyprint")]
    assert said == []


def rendered(document: QuoteDocument, photos: dict[str, bytes] | None = None, paper: Paper = "A4") -> Rendered:
    files = photos or {}
    view = report_view(document, digest=DIGEST, locale="en_GB", photos=files.keys())
    return report_render(view, photos=files, paper=paper)


@pytest.fixture(scope="module")
def report() -> Rendered:
    photos = {sha(1): a_photo(1), sha(2): a_photo(2)}
    document = a_document()
    with_photos = tuple(
        dataclasses.replace(finding, photos=(sha(position),)) if position < 3 else finding
        for position, finding in enumerate(document.findings, start=1)
    )
    return rendered(dataclasses.replace(document, findings=with_photos), photos)


@pytest.fixture
def pdf(report: Rendered) -> Iterator[pikepdf.Pdf]:
    with pdf_reading.opened(report.pdf) as opened:
        yield opened


@pytest.fixture
def words(report: Rendered) -> str:
    return pdf_reading.text(report.pdf)


# --- what it says -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("Sea Pink", id="boat"),
        pytest.param("6 April 2027", id="date"),
        pytest.param("Window frame, port side: lower aft corner", id="place"),
        pytest.param(
            "The meter shows 26 % in the corner and 14 % a hand away: water is in and stays.", id="reason"
        ),
        pytest.param("Wood that stays wet rots from the inside", id="what happens if it is left"),
        pytest.param("What could come of it", id="a watched place is left on purpose"),
        pytest.param("Flexible sealant 80 ml, €18.40", id="material"),
        pytest.param("Put right by 30 April 2027", id="due back"),
        pytest.param("about 3¾ h; we ask again before 5 h", id="hours"),
        pytest.param("labour €232.50 + materials €18.40 = €250.90", id="price"),
        # 2 × 250.90 = 501.80; 25 % of it 125.45
        pytest.param("VAT 25 % of €501.80 €125.45", id="VAT"),
        pytest.param("Total with VAT €627.25", id="total"),
        pytest.param("We call this unsafe to leave.", id="unsafe to leave"),
        pytest.param("the cabin sole stayed down, its screws are seized", id="why not seen"),
        pytest.param("Nobody has seen the heel since 2024.", id="what not seen means"),
        pytest.param("2028 April 14 Chain locker bulkhead", id="calendar"),
        pytest.param("The vapour is heavy and lies in the bilge.", id="caution"),
        pytest.param("replaces no survey by a licensed surveyor", id="no survey"),
        pytest.param("Local rules come first", id="local rules"),
        pytest.param("K7F2-019M", id="tag"),
    ],
)
def test_the_report_says(words: str, said: str) -> None:
    assert said in words


@pytest.mark.parametrize("label", ["Before launch", "This season", "Next lay-up", "Watch"])
def test_each_priority_is_a_word_as_well_as_a_shape(words: str, label: str) -> None:
    assert label in words


def test_the_four_shapes_differ_in_outline_and_not_in_colour() -> None:
    assert len({shape.split('d="')[-1].split('"')[0] for shape in SHAPES.values()}) == 4
    assert all("#16324a" in shape for shape in SHAPES.values())


def test_every_page_carries_the_digest_and_its_number(report: Rendered) -> None:
    pages = pdf_reading.page_texts(report.pdf)
    assert len(pages) == report.pages
    for number, page in enumerate(pages, start=1):
        assert DIGEST in page
        assert f"Page {number} of {report.pages}" in " ".join(page.split())


def test_the_summary_stands_on_one_page(report: Rendered) -> None:
    pages = pdf_reading.page_texts(report.pdf)
    (summary,) = [page for page in pages if "On one page" in page]
    for place in ("Window frame", "Laid deck", "Boom", "Chain locker"):
        assert place in summary


def test_a_report_without_places_not_seen_says_so() -> None:
    document = dataclasses.replace(a_document(), not_seen=(), due_back=())
    words = pdf_reading.text(rendered(document).pdf)
    assert "Every place on the list was seen." in words
    assert "Nothing is due." in words


# --- for those who read it with a machine -----------------------------------------------------------


def test_language_title_and_marks_are_set(pdf: pikepdf.Pdf) -> None:
    assert str(pdf.Root.Lang) == "en-GB"
    assert bool(pdf.Root.MarkInfo.Marked)
    assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
    with pdf.open_metadata() as metadata:
        assert metadata["dc:title"] == "Sea Pink: spring inspection 2027, quote 12"
        assert metadata["pdfuaid:part"] == "1"
    assert all(str(page.obj.get("/Tabs")) == "/S" for page in pdf.pages)


def test_every_figure_is_told_in_words(pdf: pikepdf.Pdf) -> None:
    figures = [element.alt for element in pdf_reading.elements(pdf) if element.kind == "Figure"]
    # plan and side view on the cover, three small plans, two photos
    assert len(figures) == 7
    assert all(figures)
    assert sum("Photo of" in alt for alt in figures) == 2
    assert any(alt.startswith("Deck plan of Sea Pink") for alt in figures)


def test_headings_begin_at_one_and_leave_out_no_level(pdf: pikepdf.Pdf) -> None:
    levels = [
        int(element.kind[1:]) for element in pdf_reading.elements(pdf) if element.kind in {"H1", "H2", "H3", "H4"}
    ]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in itertools.pairwise(levels))


def test_tables_have_headers(pdf: pikepdf.Pdf) -> None:
    tree = pdf_reading.elements(pdf)
    assert sum(element.kind == "TH" for element in tree) > 10
    assert sum(element.kind == "Table" for element in tree) > 5


def test_lists_hold_list_items_and_nothing_else(pdf: pikepdf.Pdf) -> None:
    lists = [element.children for element in pdf_reading.elements(pdf) if element.kind == "L"]
    assert lists
    assert {kind for children in lists for kind in children} == {"LI"}


def test_fonts_are_ours_and_inside(pdf: pikepdf.Pdf) -> None:
    fonts = pdf_reading.fonts(pdf)
    assert {name.split("+")[1] for name in fonts} <= {
        "Gentium-Book-Plus",
        "Gentium-Book-Plus-Bold",
        "Gentium-Book-Plus-Medium-Italic",
        "Routed-Gothic",
    }
    assert all(fonts.values())


def test_bookmarks_lead_to_each_finding_and_job(report: Rendered) -> None:
    titles = pdf_reading.outline(report.pdf)
    assert "What we found" in titles
    assert any("Laid deck, fore deck" in title and title.startswith("2") for title in titles)
    assert any(title.startswith("Job 2") for title in titles)


# --- what it must not do ----------------------------------------------------------------------------


def test_text_of_people_is_text_and_nothing_else() -> None:
    finding = a_finding(1, place=EVIL, reasons=(EVIL,), overruled=EVIL)
    document = a_document([finding], [a_job(1, [finding])], boat=EVIL)
    report = rendered(document)
    words = pdf_reading.text(report.pdf)
    assert "<script>alert(1)</script>" in words
    assert '<img src="http://192.0.2.1/x.png"> {{ 7 }} & co' in words
    with pdf_reading.opened(report.pdf) as pdf:
        assert pdf_reading.addresses(pdf) == []
        assert "/EmbeddedFiles" not in pdf.Root.get("/Names", {})


def test_no_address_leads_out_of_the_report(pdf: pikepdf.Pdf) -> None:
    assert pdf_reading.addresses(pdf) == []


@pytest.mark.parametrize(
    "address",
    [
        "http://192.0.2.1/x.png", "https://example.org/", "file:///etc/passwd", "ftp://192.0.2.1/x", "data:,x",
        "photo:../../etc/passwd", f"photo:{'0' * 64}", "font:../secret-key", "shape:other", "photo:", "", "//x",
    ],
)  # fmt: skip
def test_the_fetcher_knows_nothing_but_our_own(address: str) -> None:
    with pytest.raises(ValueError, match="nothing but its own"):
        ReportFetcher({sha(1): a_photo()}).fetch(address)


def test_the_fetcher_hands_out_photos_fonts_and_shapes() -> None:
    fetcher = ReportFetcher({sha(1): b"picture"})
    assert fetcher.fetch(f"photo:{sha(1)}").read() == b"picture"
    for name, file in FONTS.items():
        assert fetcher.fetch(f"font:{name}").read() == file.read_bytes()
    for name in SHAPES:
        assert fetcher.fetch(f"shape:{name}").read().startswith(b"<svg")


def test_a_photo_that_is_not_there_becomes_a_marked_blank() -> None:
    finding = a_finding(1, photos=(sha(1), sha(2)))
    report = rendered(a_document([finding], [a_job(1, [finding])]), {sha(1): a_photo()})
    words = pdf_reading.text(report.pdf)
    assert words.count("This photo can't be shown") == 1
    assert sha(2)[:16] in words
    with pdf_reading.opened(report.pdf) as pdf:
        alts = [element.alt for element in pdf_reading.elements(pdf) if element.kind == "Figure"]
    assert sum("Photo (1 of 2)" in alt for alt in alts) == 1
    assert not any("Photo (2 of 2)" in alt for alt in alts)


# --- paper and size ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("paper", "width", "height"), [("A4", 595.28, 841.89), ("letter", 612.0, 792.0)])
def test_the_page_is_laid_out_for_both_papers(paper: Paper, width: float, height: float) -> None:
    report = rendered(a_document(), paper=paper)
    with pdf_reading.opened(report.pdf) as pdf:
        for page in pdf.pages:
            left, bottom, right, top = (float(edge) for edge in page.mediabox)
            assert (right - left, top - bottom) == pytest.approx((width, height), abs=0.5)
    assert "Total with VAT" in pdf_reading.text(report.pdf)


@pytest.mark.parametrize(
    ("locale", "paper"), [("en_US", "letter"), ("en-CA", "letter"), ("en_GB", "A4"), ("nb_NO", "A4"), ("en", "A4")]
)
def test_paper_follows_the_readers_country(locale: str, paper: str) -> None:
    assert paper_of(locale) == paper


def test_forty_photos_stay_under_six_megabytes() -> None:
    photos = {sha(number): a_photo(number, (1000, 750)) for number in range(1, 41)}
    findings = [
        a_finding(number, place=f"Plank {number}, port side", photos=(sha(2 * number - 1), sha(2 * number)))
        for number in range(1, 21)
    ]
    report = rendered(a_document(findings, [a_job(1, findings[:3])]), photos)
    assert len(report.pdf) < 6_000_000
    with pdf_reading.opened(report.pdf) as pdf:
        figures = [element.alt for element in pdf_reading.elements(pdf) if element.kind == "Figure"]
    assert sum("Photo (" in alt for alt in figures) == 40


def test_a_boat_full_of_findings_keeps_its_pages() -> None:
    findings = [
        a_finding(number, place=f"Deck seam {number}: beside the king plank", pin=PinPart(20 * number, 480, "deck"))
        for number in range(1, 26)
    ]
    report = rendered(a_document(findings, [a_job(1, findings)]))
    words = pdf_reading.text(report.pdf)
    for number in (1, 13, 25):
        assert f"Deck seam {number}: beside the king plank" in words
