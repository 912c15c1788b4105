"""A press that has begun is let finish, and nothing that somebody is writing is taken away."""

from __future__ import annotations

import re

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, Locator, Page, expect
from pytest_django.live_server_helper import LiveServer

from inspections.models import Check, Entry
from tests.factories import SpotFactory
from tests.tablet.boat import Moored, moored
from tests.web.screens import screen
from yard.services.device_codes import device_code_make
from yard.tag_codes import tag_display

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# How hard the browser is asked to write, of each kind of thing.
WATCH_THE_STORE = """() => {
  const begin = IDBDatabase.prototype.transaction;
  globalThis.written = [];
  IDBDatabase.prototype.transaction = function (...given) {
    const work = begin.apply(this, given);
    if (work.mode === "readwrite") written.push([[...work.objectStoreNames].join(), work.durability]);
    return work;
  };
}"""
# As the browser's own reader of codes is specified (Shape Detection API): its constructor refuses formats it does
# not know, and its detect refuses a picture that has nothing to show yet. The first look finds nothing.
A_READER = """([code, formats]) => {
  const canvas = document.createElement("canvas");
  const pen = canvas.getContext("2d");
  setInterval(() => pen.fillRect(0, 0, Math.random() * 99, 9), 50); // a camera never stands still
  navigator.mediaDevices.getUserMedia = async () => canvas.captureStream(10);
  let looks = 0;
  globalThis.BarcodeDetector = class {
    constructor({ formats: wanted }) {
      if (!wanted.every((format) => formats.includes(format))) throw new TypeError("unknown format");
    }
    async detect(source) {
      if (!(source instanceof HTMLVideoElement)) throw new TypeError("no picture");
      const ready = source.readyState >= HTMLMediaElement.HAVE_CURRENT_DATA;
      if (!ready) throw new DOMException("too early", "InvalidStateError");
      looks += 1;
      return looks < 2 ? [] : [{ rawValue: code, format: "qr_code", boundingBox: new DOMRect(), cornerPoints: [] }];
    }
  };
}"""


NO_CAMERA = """() => {
  navigator.mediaDevices.getUserMedia = async () => { throw new DOMException("not allowed", "NotAllowedError"); };
}"""


def aboard(page: Page, boat: Moored) -> None:
    page.get_by_label("Code from the office").fill(
        device_code_make(by=boat.manager, device_name="", at=timezone.now())[1]
    )
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("button", name=boat.technician.name).click()
    page.get_by_role("button", name="Fetch this boat: Oda Marie").click()
    expect(page.get_by_text("You can go aboard without a network.")).to_be_visible()


def hear_of_the_yard(page: Page) -> None:
    """Two rounds to the yard, so that all that the first one changes on the screen has come."""
    for _ in range(2):
        with page.expect_response(re.compile(r"/api/v1/tablet/$")):
            page.evaluate("dispatchEvent(new Event('online'))")


def go(page: Page, boat: Moored, place: str, heading: str) -> None:
    page.evaluate("address => { location.hash = address }", f"/boat/{boat.inspection.pk}/{place}")
    expect(page.get_by_role("heading", level=1)).to_contain_text(heading)


def press(page: Page, thing: Locator) -> None:
    """Put a finger on it, and leave it there. What moved away just before is tried again, as a person would."""
    for _ in range(9):
        box = thing.bounding_box()
        assert box is not None
        page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        page.mouse.down()
        if page.evaluate("document.querySelector('button:active') !== null"):
            return
        page.mouse.up()
    raise AssertionError("it can't be pressed")


def test_news_of_the_yard_takes_no_press_and_no_words_away(browser: Browser, live_server: LiveServer) -> None:
    boat = moored(timezone.now(), 2)
    with screen(browser, live_server.url, "tablet") as window:
        page = window.open("/tablet/")
        aboard(page, boat)
        go(page, boat, "finish", "Finishing")
        page.evaluate(WATCH_THE_STORE)

        # While somebody writes, the screen stays as it is.
        page.get_by_text("Say not seen for all 4").click()
        page.get_by_label("What hid it?").fill("winter cover")
        hear_of_the_yard(page)
        expect(page.get_by_label("What hid it?")).to_have_value("winter cover")

        # A finger on Keep, news, the finger lifted.
        keep = page.get_by_role("button", name="Keep", exact=True)
        keep.scroll_into_view_if_needed()
        press(page, keep)
        hear_of_the_yard(page)
        page.mouse.up()
        expect(page.get_by_text("Kept: 4 checks as not seen.")).to_be_visible()

        # The same on a screen that is put anew at each news, and where nobody writes.
        again = page.get_by_role("button", name="Fetch again: Oda Marie")
        page.evaluate("location.hash = '/today'")
        expect(again).to_be_visible()
        press(page, again)
        page.evaluate("globalThis.pressed = document.querySelector('button:active')")
        hear_of_the_yard(page)
        assert page.evaluate("pressed.isConnected")
        page.mouse.up()
        expect(page.get_by_text("Oda Marie is on this tablet.")).to_be_visible()
        page.wait_for_function("() => !pressed.isConnected")  # what waited has come

        written = page.evaluate("written")
    kept = {how for what, how in written if "entries" in what.split(",")}
    assert kept == {"strict"}
    assert Entry.objects.count() == len(boat.checks)


def test_a_sticker_is_typed_where_the_browser_reads_no_codes(browser: Browser, live_server: LiveServer) -> None:
    boat = moored(timezone.now(), 2)
    check: Check = boat.checks[0]
    spot = SpotFactory.create(component=check.component)
    with screen(browser, live_server.url, "tablet") as window:
        page = window.open("/tablet/")
        aboard(page, boat)
        scan = page.get_by_role("button", name="Scan the sticker")

        def to_the_field() -> None:
            go(page, boat, "finish", "Finishing")
            go(page, boat, "round", "The round")
            page.get_by_text("Find a place by its sticker").click()

        # This browser has no reader: there is no button for one, and the code is typed.
        assert not page.evaluate("'BarcodeDetector' in globalThis")
        to_the_field()
        expect(scan).to_have_count(0)
        page.get_by_label("Code on the sticker").fill(tag_display(spot.tag))
        page.get_by_role("button", name="Go there").click()
        expect(page.get_by_role("heading", level=1)).to_have_text(check.prompt)

        # One that knows no such codes, and a camera that may not be used: typing is what is told.
        page.evaluate(A_READER, [spot.tag, ["ean_13"]])
        to_the_field()
        scan.click()
        expect(page.get_by_role("alert")).to_contain_text("Type the code on the sticker.")
        page.evaluate(A_READER, [f"https://yard.example/t/{spot.tag}/", ["qr_code"]])
        page.evaluate(NO_CAMERA)
        to_the_field()
        scan.click()
        expect(page.get_by_role("alert")).to_contain_text("Type the code on the sticker.")
        expect(page.locator("dialog")).to_have_count(0)

        # One that reads: to the place that carries the sticker.
        page.evaluate(A_READER, [f"https://yard.example/t/{spot.tag}/", ["qr_code"]])
        to_the_field()
        scan.click()
        expect(page.get_by_role("heading", level=1)).to_have_text(check.prompt)
