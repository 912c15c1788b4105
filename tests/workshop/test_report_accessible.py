"""What a reading machine gets of a report, as far as it can be read back. No check against PDF/UA as a whole.

Beside each test stands the clause of ISO 14289-1:2014 that asks for it (from memory).
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import Any

import pikepdf
import pytest

from tests.workshop import pdf_reading
from tests.workshop.documents import DIGEST, a_photo, sha
from tests.workshop.judged_documents import a_spring_document
from workshop.report.context import report_view
from workshop.report.rendering import Rendered, report_render

DRAWS = {"Tj", "TJ", "'", '"', "Do", "S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "sh"}


@pytest.fixture(scope="module")
def report() -> Rendered:
    """A spring's findings on letter paper, so that tables and findings go on over the page; one photo is broken."""
    photos = {sha(number): a_photo(number) for number in (*range(1, 8), 9, 10, 72, 73)}
    view = report_view(a_spring_document(), digest=DIGEST, locale="en_US", photos=photos.keys())
    return report_render(view, photos=photos, paper="letter")


@pytest.fixture(scope="module")
def pdf(report: Rendered) -> Iterator[pikepdf.Pdf]:
    with pdf_reading.opened(report.pdf) as opened:
        yield opened


@pytest.fixture(scope="module")
def tree(pdf: pikepdf.Pdf) -> list[pdf_reading.Element]:
    return pdf_reading.elements(pdf)


def test_it_says_its_language_its_title_and_that_it_is_tagged(pdf: pikepdf.Pdf) -> None:  # 7.1, 7.2
    assert str(pdf.Root.Lang) == "en-US"
    assert bool(pdf.Root.MarkInfo.Marked)
    assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
    with pdf.open_metadata() as metadata:
        assert metadata["dc:title"] == str(pdf.trailer.Info.Title) == "Sea Pink: spring inspection 2027, quote 12"
        assert metadata["pdfuaid:part"] == "1"
        assert metadata["dc:creator"] == ["Yard at Skerry Reach"]


def test_whatever_is_drawn_is_tagged_or_called_an_artifact(pdf: pikepdf.Pdf) -> None:  # 7.1
    beside = [
        (number, str(instruction.operator))
        for number, page in enumerate(pdf.pages, start=1)
        for instruction, depth in marked(page)
        if depth == 0 and str(instruction.operator) in DRAWS
    ]
    assert beside == []


def marked(page: pikepdf.Page) -> Iterator[tuple[Any, int]]:
    """Each instruction of a page with how many marks it stands in."""
    depth = 0
    for instruction in pikepdf.parse_content_stream(page):
        operator = str(instruction.operator)
        depth += {"BDC": 1, "BMC": 1, "EMC": -1}.get(operator, 0)
        yield instruction, depth


def test_every_figure_is_told_in_words(tree: list[pdf_reading.Element]) -> None:  # 7.3
    figures = [element.alt for element in tree if element.kind == "Figure"]
    assert all(figures)
    kinds = {
        "Deck plan of Sea Pink": 1,
        "Sea Pink from the side": 1,
        "Plan of the boat, bow to the right, with the place of": 7,
        "Size over the years: ": 2,
        "Moisture over the years: ": 2,
        "Photo": 11,
    }
    assert {kind: sum(alt.startswith(kind) for alt in figures) for kind in kinds} == kinds
    assert len(figures) == sum(kinds.values())
    assert sum(" as it was on April " in alt for alt in figures) == 2


def test_headings_leave_out_no_level(tree: list[pdf_reading.Element]) -> None:  # 7.4
    levels = [int(element.kind[1:]) for element in tree if element.kind[0] == "H" and element.kind[1:].isdigit()]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert set(levels) == {1, 2, 3, 4}
    assert all(after - before <= 1 for before, after in itertools.pairwise(levels))


def test_each_header_cell_says_what_it_speaks_for(tree: list[pdf_reading.Element]) -> None:  # 7.5
    tables = [element.node for element in tree if element.kind == "Table"]
    assert len(tables) > 20
    for table in tables:
        scopes = {
            (group, str(cell.A.Scope)) for group, row in rows_of(table) for cell in row if str(cell.S) == "/TH"
        }
        assert scopes <= {("/THead", "/Column"), ("/TBody", "/Row")}
        assert scopes


def test_a_header_in_front_of_several_rows_is_not_taken_for_a_column_s(tree: list[pdf_reading.Element]) -> None:
    cells = [cell for table in tree if table.kind == "Table" for _, row in rows_of(table.node) for cell in row]
    assert any(int(cell.A.get("/RowSpan", 1)) > 1 for cell in cells)
    assert not [cell for cell in cells if "/Headers" in cell.A]


def test_every_row_of_a_table_is_as_wide_as_the_others(tree: list[pdf_reading.Element]) -> None:  # 7.5
    for table in (element.node for element in tree if element.kind == "Table"):
        rows = [row for _, row in rows_of(table)]
        widths = [0] * len(rows)
        for position, row in enumerate(rows):
            for cell in row:
                across, down = (int(cell.A.get(name, 1)) for name in ("/ColSpan", "/RowSpan"))
                for below in range(position, position + down):
                    widths[below] += across
        assert len(set(widths)) == 1


def rows_of(table: Any) -> Iterator[tuple[str, list[Any]]]:
    """Each row of a table with the group it stands in."""
    for group in table.K:
        for row in group.K:
            yield str(group.S), list(row.K)


def test_links_are_told_and_reached_in_the_order_of_the_tags(pdf: pikepdf.Pdf) -> None:  # 7.18
    links = [annotation for page in pdf.pages for annotation in page.obj.get("/Annots", [])]
    assert links
    assert all(str(link.Subtype) == "/Link" and str(link.Contents) and "/StructParent" in link for link in links)
    assert all(str(page.obj.Tabs) == "/S" for page in pdf.pages)


def test_every_font_is_inside_wherever_it_is_used(pdf: pikepdf.Pdf) -> None:  # 7.21
    fonts = [each for page in pdf.pages for each in fonts_in(page.obj.Resources, depth=0)]
    assert len({str(font.BaseFont) for font in fonts}) >= 3
    for font in fonts:
        (descendant,) = font.DescendantFonts
        assert {"/FontFile2", "/FontFile3"} & set(descendant.FontDescriptor.keys())
        assert "/ToUnicode" in font


def fonts_in(resources: Any, *, depth: int) -> Iterator[Any]:
    """Fonts of a page and of the drawings on it."""
    yield from resources.get("/Font", {}).values()
    for drawing in resources.get("/XObject", {}).values():
        if "/Resources" in drawing and depth < 5:
            yield from fonts_in(drawing.Resources, depth=depth + 1)


def test_bookmarks_name_every_section_finding_and_job(report: Rendered) -> None:
    titles = pdf_reading.outline(report.pdf)
    document = a_spring_document()
    for number, finding in enumerate(document.findings, start=1):
        assert f"{number} {finding.place}" in titles
    for job in document.jobs:
        assert f"Job {job.position} {job.title}" in titles
    assert {"On one page", "What we found", "What was not seen", "When somebody must be back"} <= set(titles)


def test_it_is_told_in_the_order_in_which_a_surveyor_reads(report: Rendered) -> None:
    words = pdf_reading.text(report.pdf)
    begin = words.index("6 Coaming, port side: forward corner", words.index("What we found"))
    told = words[begin : words.index("7 Coaming, starboard side", begin)]
    labels = (
        "What it means", "What we go by", "How likely", "When", "Not to be done", "Meanwhile", "To be sealed",
        "If it is left",
    )  # fmt: skip
    places = [told.index(f"{label} ") for label in labels]
    assert places == sorted(places)


def test_a_finding_may_go_on_over_the_page_but_no_page_stays_nearly_empty(report: Rendered) -> None:
    pages = pdf_reading.page_texts(report.pdf)
    assert report.pages == len(pages) <= 11
    assert all(len(page.split()) > 120 for page in pages[1:-1])
