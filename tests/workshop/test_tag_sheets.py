"""Stickers with tags: where they lie, what stands on them, and that a code printed ahead is free."""

from __future__ import annotations

import itertools
import logging
import random
from collections.abc import Iterator
from io import BytesIO

import pytest
from pypdf import PdfReader

from tests.factories import BoatFactory, ComponentFactory, SpotFactory
from tests.workshop import pdf_reading
from workshop.report.label_grids import GRIDS, PAPERS_MM, grid_named, place_on
from workshop.report.sheet_rendering import code_svg
from workshop.report.tag_sheets import Sticker, stickers_of, stickers_unused, tag_sheet_render, tag_url
from yard.refusals import Refused
from yard.tag_codes import tag_check, tag_new

EVIL = '</p></style><script>alert(1)</script><img src="http://192.0.2.1/x.png"> {{ 7 }}'
MM_PER_POINT = 25.4 / 72


@pytest.fixture(autouse=True)
def weasyprint_says_no_error(caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    with caplog.at_level(logging.WARNING, logger="weasyprint"):
        yield
    assert [record.getMessage() for record in caplog.get_records("call") if "weasyprint" in record.name] == []


def some_stickers(count: int, **more: str) -> list[Sticker]:
    source = random.Random(7)
    return [Sticker(tag_new(source), more.get("where", "Merganser"), more.get("what", "")) for _ in range(count)]


@pytest.mark.parametrize("code", GRIDS)
def test_stickers_lie_within_the_paper_and_beside_each_other(code: str) -> None:
    grid = GRIDS[code]
    width, height = PAPERS_MM[grid.paper]
    assert grid.lefts_mm[0] >= 0
    assert grid.tops_mm[0] >= 0
    assert grid.lefts_mm[-1] + grid.width_mm <= width + 1e-6
    assert grid.tops_mm[-1] + grid.height_mm <= height + 1e-6
    for edges, size in ((grid.lefts_mm, grid.width_mm), (grid.tops_mm, grid.height_mm)):
        steps = [after - before for before, after in itertools.pairwise(edges)]
        assert all(step >= size - 1e-6 for step in steps)
    # in the middle of the sheet
    assert grid.lefts_mm[0] == pytest.approx(width - grid.lefts_mm[-1] - grid.width_mm, abs=0.01)


def test_every_sticker_gets_a_place_of_its_own_after_the_used_ones() -> None:
    grid = GRIDS["a4-3x8"]
    sheets = place_on(grid, range(30), used=5)
    assert [len(sheet) for sheet in sheets] == [19, 11]
    assert [placed.item for sheet in sheets for placed in sheet] == list(range(30))
    assert (sheets[0][0].column, sheets[0][0].row) == (2, 1)
    assert len({(at, each.column, each.row) for at, sheet in enumerate(sheets) for each in sheet}) == 30
    with pytest.raises(Refused, match="0 to 23"):
        place_on(grid, [1], used=24)
    with pytest.raises(Refused, match="a4-3x8"):
        grid_named("a5")


@pytest.mark.parametrize("code", GRIDS)
def test_a_sheet_can_be_read_and_its_words_stay_on_their_sticker(code: str) -> None:
    grid = GRIDS[code]
    stickers = some_stickers(6, what="Window frame, port side: lower aft corner")
    used = grid.stickers - 5
    sheet = tag_sheet_render(stickers, grid, title="Tags of Merganser", language="en_GB", used=used)
    reader = PdfReader(BytesIO(sheet.pdf))
    assert sheet.pages == len(reader.pages) == 2
    first, second = pdf_reading.page_texts(sheet.pdf)
    assert all(sticker.shown in first for sticker in stickers[:-1])
    assert stickers[-1].shown in second
    box = reader.pages[0].mediabox
    assert (float(box.width) * MM_PER_POINT, float(box.height) * MM_PER_POINT) == pytest.approx(
        PAPERS_MM[grid.paper], abs=0.1
    )
    with pdf_reading.opened(sheet.pdf) as pdf:
        assert pdf_reading.fonts(pdf)
        assert all(pdf_reading.fonts(pdf).values())
        figures = [each for each in pdf_reading.elements(pdf) if each.kind == "Figure"]
        assert [each.alt for each in figures] == [f"QR code of tag {each.shown}" for each in stickers]
        assert pdf_reading.addresses(pdf) == []
        assert str(pdf.Root.Lang) == "en-GB"


def test_text_of_users_is_text_on_a_sticker() -> None:
    stickers = some_stickers(1, where=EVIL, what=EVIL)
    sheet = tag_sheet_render(stickers, GRIDS["a4-3x8"], title=EVIL, language="en_GB")
    assert "<script>alert(1)" in pdf_reading.text(sheet.pdf)
    assert "{{ 7 }}" in pdf_reading.text(sheet.pdf)


def test_the_code_holds_the_address_of_the_tag_and_nothing_from_elsewhere() -> None:
    address = tag_url("2345678K")
    assert address.endswith("/t/2345678K/")
    drawn = code_svg(address).decode()
    assert drawn.startswith("<svg")
    assert "http://www.w3.org/2000/svg" in drawn
    assert "href" not in drawn
    assert code_svg(address) == code_svg(address) != code_svg(tag_url("2345678M"))


@pytest.mark.django_db
def test_a_boats_stickers_are_those_of_the_spots_on_the_parts_she_has() -> None:
    boat = BoatFactory.create()
    with pytest.raises(Refused, match="no spot"):
        stickers_of(boat)
    part = ComponentFactory.create(boat=boat, name="Laid deck", position="aft")
    gone = ComponentFactory.create(boat=boat, name="Hatch", removed_on="2026-10-01")
    spot, _ = SpotFactory.create(component=part, name="third seam"), SpotFactory.create(component=gone)
    SpotFactory.create()  # on another boat of another yard
    assert stickers_of(boat) == (Sticker(spot.tag, boat.name, "Laid deck, aft: third seam"),)


@pytest.mark.django_db
def test_codes_printed_ahead_are_valid_each_another_and_no_spots_of_the_yard() -> None:
    spot = SpotFactory.create(tag=tag_new(random.Random(1)))
    stickers = stickers_unused(spot.yard, 200, random_source=random.Random(1))
    assert len({sticker.tag for sticker in stickers}) == 200
    assert spot.tag not in {sticker.tag for sticker in stickers}
    assert all(tag_check(sticker.tag) == sticker.tag for sticker in stickers)
    with pytest.raises(Refused, match="1 to 300"):
        stickers_unused(spot.yard, 301)
