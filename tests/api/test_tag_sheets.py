"""Sheets of tags through the API, and a sticker printed ahead that becomes the tag of a new spot."""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.api.callers import Caller, fields_of
from tests.api.worlds import Bench, bench
from tests.workshop import pdf_reading
from yard.models import Spot

TAG = re.compile(r"\b([0-9A-Z]{4}-[0-9A-Z]{4})\b")


@pytest.fixture
def shed(db: None) -> Bench:
    return bench()


def tags_on(answer: Any) -> list[str]:
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    assert "no-store" in answer["Cache-Control"]
    return TAG.findall(pdf_reading.text(answer.content))


def test_a_manager_prints_the_tags_of_a_boat_and_a_technician_can_not(shed: Bench) -> None:
    spot = Spot.objects.get()
    address = f"boats/{shed.spring.boat.pk}/tags/"
    assert tags_on(shed.manager.get(f"{address}?grid=letter-3x10&used=29")) == [f"{spot.tag[:4]}-{spot.tag[4:]}"]
    assert shed.technician.get(address).status_code == 403
    assert Caller().get(address).status_code == 401


def test_tags_printed_ahead_fill_the_sheet_and_become_those_of_new_spots(shed: Bench) -> None:
    printed = tags_on(shed.manager.get("tags/unused/?grid=a4-5x13&used=60"))
    assert len(printed) == 5
    assert len(tags_on(shed.manager.get("tags/unused/?count=30"))) == 30
    component = shed.spring.inspection.findings.get().component_id
    sheet = {"component": component, "name": "butt at frame 12", "tag": printed[0]}
    stuck = shed.technician.post("spots/", sheet)
    assert stuck.status_code == 201, stuck.content
    assert stuck.json()["tag"] == printed[0].replace("-", "")
    assert fields_of(shed.technician.post("spots/", {**sheet, "name": "another"}), 422) == {"tag"}


@pytest.mark.parametrize(
    ("query", "field"),
    [("grid=a5", "grid"), ("count=0", "count"), ("count=301", "count"), ("used=24", "used"), ("used=x", "used")],
)
def test_a_sheet_that_can_not_be_is_refused_by_its_field(shed: Bench, query: str, field: str) -> None:
    answer = shed.manager.get(f"tags/unused/?{query}")
    assert fields_of(answer, 422 if query == "used=24" else 400) == {field}
