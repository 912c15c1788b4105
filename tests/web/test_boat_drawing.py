"""The yard's own drawing on the boat's page: chosen, seen under the pins, replaced, taken away."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from tests.factories import TechnicianFactory
from tests.web.visitor import Visitor
from tests.workshop.spring import Spring, a_spring
from yard.models import BoatDrawing

pytestmark = pytest.mark.django_db

SVG = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 90"><path d="M0,45L300,45" stroke="black"/></svg>'


@pytest.fixture
def spring() -> Spring:
    made = a_spring(name="Sea Pink")
    made.finding(made.component("Mast step"), "SEAM", priority="before_launch")
    return made


def a_file(data: bytes) -> SimpleUploadedFile:
    return SimpleUploadedFile("her.svg", data, "image/svg+xml")


def test_a_drawing_is_taken_in_seen_under_the_pins_replaced_and_taken_away(spring: Spring) -> None:
    office, boat = Visitor(spring.manager), spring.boat
    here, form = f"/boats/{boat.pk}/", f"/boats/{boat.pk}/drawing/"
    assert "port</text>" in office.page(here)

    page = office.after(form, drawing=a_file(SVG))
    assert "The drawing is in." in page
    assert f'<image href="/api/v1{form}"' in page
    assert "port</text>" not in page
    assert office.get(f"/api/v1{form}").body.startswith(b"<svg")

    office.after(form, drawing=a_file(SVG.replace(b"45", b"40")))
    assert BoatDrawing.objects.get().received_from == spring.manager

    page = office.after(f"{form}remove/")
    assert "port</text>" in page
    assert not BoatDrawing.objects.exists()
    office.after(f"{form}remove/")


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "is empty"),
        (SVG.replace(b"<path", b"<script/><path"), "has an element script"),
        (b"%PDF-1.7", "is no PNG, JPEG or SVG"),
        (b"<" * 40_000_000, "send at most"),
    ],
)
def test_a_file_that_will_not_do_is_refused_with_what_would(spring: Spring, data: bytes, said: str) -> None:
    page = Visitor(spring.manager).refused(f"/boats/{spring.boat.pk}/drawing/", drawing=a_file(data))
    assert said in page
    assert "<details open><summary>Use the yard" in page
    assert not BoatDrawing.objects.exists()


def test_a_technician_sees_the_drawing_and_no_form(spring: Spring) -> None:
    Visitor(spring.manager).after(f"/boats/{spring.boat.pk}/drawing/", drawing=a_file(SVG))
    page = Visitor(TechnicianFactory.create(yard=spring.manager.yard)).page(f"/boats/{spring.boat.pk}/")
    assert "<image href" in page
    assert "own drawing of her" not in page
