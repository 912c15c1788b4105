"""The yard's own drawing of a boat: sent by managers, kept clean, seen by members."""

from __future__ import annotations

import io
from typing import Any

import pytest
from PIL import Image, PngImagePlugin

from inspections.services.drawings import LONGEST_PX
from tests.api.callers import V1, Caller, problem_of
from tests.api.worlds import Aboard, aboard
from yard.models import BoatDrawing

SVG = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 90"><path d="M0,45L300,45" stroke="black"/></svg>'


@pytest.fixture
def yard(db: None) -> Aboard:
    return aboard()


def address(yard: Aboard) -> str:
    return f"boats/{yard.scene.boat.pk}/drawing/"


def put(yard: Aboard, data: bytes, media_type: str = "image/svg+xml", *, by: Caller | None = None) -> Any:
    caller = by or yard.manager
    return caller.client.generic("PUT", f"{V1}{address(yard)}", data, media_type, headers=caller.headers)


def png(width: int, height: int) -> bytes:
    file, notes = io.BytesIO(), PngImagePlugin.PngInfo()
    notes.add_text("Comment", "drawn at home")
    Image.new("RGBA", (width, height), (0, 0, 0, 0)).save(file, "PNG", pnginfo=notes)
    return file.getvalue()


def test_a_drawing_is_put_shown_replaced_and_taken_away(yard: Aboard, stranger: Caller) -> None:
    assert yard.technician.get(address(yard)).status_code == 404
    assert put(yard, SVG).status_code == 201
    again = put(yard, SVG)
    assert (again.status_code, again.json()["width"], again.json()["height"]) == (200, 10_000, 3_000)
    shown = yard.technician.get(address(yard))
    assert (shown.status_code, shown["Content-Type"]) == (200, "image/svg+xml")
    assert shown["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in shown["Content-Security-Policy"]
    assert b'<path d="M0,45L300,45" stroke="black">' in shown.body
    assert put(yard, SVG, by=yard.technician).status_code == 403
    assert put(yard, SVG, by=stranger).status_code == 404
    assert stranger.get(address(yard)).status_code == 404

    assert put(yard, png(3000, 900), "image/png").status_code == 200
    assert BoatDrawing.objects.count() == 1
    shown = yard.technician.get(address(yard))
    with Image.open(io.BytesIO(shown.body)) as picture:
        assert (picture.format, picture.size) == ("PNG", (LONGEST_PX, LONGEST_PX * 3 // 10))
        assert picture.getpixel((5, 5)) == (255, 255, 255)
        assert picture.info == {}

    for _ in range(2):
        assert yard.manager.delete(address(yard)).status_code == 204
    assert yard.technician.get(address(yard)).status_code == 404


@pytest.mark.parametrize(
    ("data", "problem"),
    [
        (b"", "empty"),
        (b"%PDF-1.7", "no PNG, JPEG or SVG"),
        (png(30, 90), "not longer"),
        (png(130, 10), "times as long"),
        (png(30, 9)[:-30], "ends in the middle"),
        (SVG.replace(b"<path", b"<script/><path"), "script"),
    ],
)
def test_what_can_not_be_kept_is_refused(yard: Aboard, data: bytes, problem: str) -> None:
    told = problem_of(put(yard, data, "image/png"), 422)
    assert told["errors"][0]["field"] == "drawing"
    assert problem in told["errors"][0]["problem"]
    assert told["errors"][0]["remedy"]
    assert not BoatDrawing.objects.exists()
