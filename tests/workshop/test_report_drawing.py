"""The yard's own drawing under the pins of the cover, and our own plan where it can't be used."""

from __future__ import annotations

from io import BytesIO

import pikepdf
import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from PIL import Image

from inspections.services.drawings import drawing_put, drawing_remove
from tests.workshop import pdf_reading
from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import Quote
from workshop.quoting.document import QuoteDocument
from workshop.report.drawings import report_drawing
from workshop.report.making import render
from workshop.report.plan import Ground, Mark, plan_drawing
from workshop.services.quotes import quote_document
from yard.models import BoatDrawing, Deed

pytestmark = pytest.mark.django_db

SVG = (
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 90"><path fill="none" stroke="#000" '
    b'd="M2,45C60,5 200,-5 298,45C200,95 60,85 2,45Z"/><text x="120" y="48" font-size="9">KITTIWAKE</text></svg>'
)


@pytest.fixture
def quoted() -> tuple[Spring, Quote, QuoteDocument]:
    spring = a_spring()
    spring.finding(spring.component("Laid deck"), "SEAM")
    quote = spring.sent()
    return spring, quote, quote_document(quote)


def cover_of(quote: Quote, document: QuoteDocument) -> tuple[str, list[str], bool]:
    """The words of the cover, what its figures are told as, and whether there is a picture on it."""
    pdf = render(quote, document, locale="en_GB").pdf
    with pdf_reading.opened(pdf) as opened:
        told = [each.alt for each in pdf_reading.elements(opened) if each.kind == "Figure"]
        resources = opened.pages[0].get("/Resources", pikepdf.Dictionary())
        pictures = any(each.get("/Subtype") == "/Image" for each in resources.get("/XObject", {}).values())
    return pdf_reading.page_texts(pdf)[0], told, pictures


def test_the_yards_drawing_is_the_ground_of_the_cover(quoted: tuple[Spring, Quote, QuoteDocument]) -> None:
    spring, quote, document = quoted
    tag = document.findings[0].tag
    own, told, _ = cover_of(quote, document)
    assert "starboard" in own
    told = [each for each in told if "from the side" not in each]
    drawing_put(boat=spring.boat, data=SVG, by=spring.manager, at=AT)
    words, told_now, _ = cover_of(quote, document)
    assert "KITTIWAKE" in words
    assert "starboard" not in words
    assert tag[:4] in words
    assert told_now == told

    file = BytesIO()
    Image.new("L", (600, 180), 200).save(file, "PNG")
    drawing_put(boat=spring.boat, data=file.getvalue(), by=spring.manager, at=AT)
    words, told_now, picture = cover_of(quote, document)
    assert picture
    assert tag[:4] in words
    assert told_now == told

    for _ in "twice":
        drawing_remove(boat=spring.boat, by=spring.manager, at=AT)
    deeds = Deed.objects.filter(by=spring.manager, kind__startswith="drawing").order_by("pk")
    assert [str(deed.kind) for deed in deeds] == ["drawing_put", "drawing_put", "drawing_removed"]


@pytest.mark.parametrize("broken", ["lost", "changed", "not drawn"])
def test_a_broken_drawing_leaves_the_plan_to_us(
    quoted: tuple[Spring, Quote, QuoteDocument], broken: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    spring, quote, document = quoted
    drawing, _ = drawing_put(boat=spring.boat, data=SVG, by=spring.manager, at=AT)
    if broken == "not drawn":
        monkeypatch.setattr("weasyprint.svg.SVG.draw", lambda *_: 1 / 0)
        assert report_drawing(spring.boat.pk) is None
        return
    default_storage.delete(str(drawing.file.name))
    if broken == "changed":
        name = default_storage.save(str(drawing.file.name), ContentFile(SVG.replace(b"KITTIWAKE", b"<script/>")))
        BoatDrawing.objects.update(file=name)
    words, _, _ = cover_of(quote, document)
    assert "starboard" in words
    assert "KITTIWAKE" not in words


def test_pins_lie_in_the_box_of_the_drawing_bow_to_the_right() -> None:
    corners = [Mark(0, 0, 1, "", "watch"), Mark(1000, 1000, 2, "", "watch")]
    for ground in (Ground("drawing:x", 300, 90), Ground("drawing:x", 110, 100)):
        plan = plan_drawing(loa_mm=9_000, beam_mm=2_500, marks=corners, label="", ground=ground)
        bow_port, stern_starboard = plan.pins
        assert (bow_port.x, bow_port.y) == (plan.forward, plan.top)
        assert (stern_starboard.x, stern_starboard.y) == (plan.aft, plan.bottom)
        assert plan.length / plan.breadth == pytest.approx(ground.width / ground.height, rel=0.001)
        assert plan.breadth < 90
