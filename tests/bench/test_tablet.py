"""The tablet's page in a browser: how soon it starts from the tablet, and how soon it answers a tap."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Page, expect
from pytest_django.live_server_helper import LiveServer

from tests.bench.measuring import PROJECT, Measured, in_turns, ratio, report
from tests.tablet.boat import Moored, moored
from tests.web.screens import PATIENCE_MS, wait_for_worker
from yard.services.device_codes import device_code_make

pytestmark = [pytest.mark.bench, pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PAGE = PROJECT / "web/static/web/tablet"
STARTS, TAPS, WARM_UP = 12, 20, 2
MANY, FEW = 150, 15  # parts, with two checks each
START_MS, TAP_MS = 1000.0, 100.0
EMPTY, START = "an empty page", "start from the tablet, 300 checks"
TAP_FEW, TAP_MANY = "a tap, 30 checks", "a tap, 300 checks"
# From the tap until the next place is drawn: the old button is gone, another one is there, a frame was shown.
TAPPED = """async () => {
  const frame = () => new Promise((next) => requestAnimationFrame(next));
  const key = document.querySelector("#not-fitted");
  const begun = performance.now();
  key.click();
  while (key.isConnected || !document.querySelector("#not-fitted")) await frame();
  await frame();
  return performance.now() - begun;
}"""
# By the browser's own clock, which begins with the navigation: when what was waited for has been drawn.
WATCHED = """(() => {
  const watch = new MutationObserver(() => {
    if (!document.querySelector("#next, #empty")) return;
    watch.disconnect();
    requestAnimationFrame(() => requestAnimationFrame(() => { globalThis.drawnAt = performance.now(); }));
  });
  watch.observe(document, { childList: true, subtree: true });
})()"""
# The empty page comes by the way of the test and not from the tablet: what its fetching took is left out.
FETCHED = """() => {
  const [{ fetchStart, responseEnd }] = performance.getEntriesByType("navigation");
  return responseEnd - fetchStart;
}"""


def signed_in(context: BrowserContext, site: str, boat: Moored) -> Page:
    """A tablet with the boat on it, at the next check of her round."""
    page = context.new_page()
    page.goto(f"{site}/tablet/")
    page.get_by_label("Code from the office").fill(
        device_code_make(by=boat.manager, device_name="Bench", at=timezone.now())[1]
    )
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("button", name=boat.technician.name).click()
    page.get_by_role("button", name="Fetch this boat: Oda Marie").click()
    expect(page.get_by_text("You can go aboard without a network.")).to_be_visible()
    wait_for_worker(page)
    page.goto(f"{site}/tablet/#/boat/{boat.inspection.pk}/check/{boat.checks[0].pk}")
    expect(page.locator("#not-fitted")).to_be_visible()
    return page


def tap(page: Page) -> Measured:
    return Measured(page.evaluate(TAPPED) / 1000)


def drawn(page: Page, address: str, *, fetched: bool) -> Measured:
    """Open a page and say after what time it was drawn, with or without the time that it took to come."""
    page.goto(address)
    page.wait_for_function("() => globalThis.drawnAt")
    away = 0 if fetched else page.evaluate(FETCHED)
    return Measured((page.evaluate("drawnAt") - away) / 1000)


def test_start_and_answer(browser: Browser, live_server: LiveServer) -> None:
    tablets = [browser.new_context(viewport={"width": 800, "height": 1100}) for _ in range(2)]
    for tablet in tablets:
        tablet.set_default_timeout(PATIENCE_MS)
    many, few = moored(timezone.now(), MANY), moored(timezone.now(), FEW)
    full, light = (
        signed_in(tablet, live_server.url, boat) for tablet, boat in zip(tablets, (many, few), strict=True)
    )
    nothing = "<!doctype html><p id=empty>."
    tablets[0].route("**/empty/", lambda route: route.fulfill(content_type="text/html", body=nothing))
    other = tablets[0].new_page()
    other.add_init_script(WATCHED)
    for tablet in tablets:
        tablet.set_offline(True)

    def start() -> Measured:
        return drawn(other, f"{live_server.url}/tablet/#/boat/{many.inspection.pk}/round", fetched=True)

    def empty() -> Measured:
        return drawn(other, f"{live_server.url}/empty/", fetched=False)

    def away() -> None:
        other.goto("about:blank")  # else the same page twice would only change its place

    starts = in_turns({EMPTY: empty, START: start}, rounds=STARTS, warm_up=WARM_UP, before=away)
    # A window behind another one is drawn once a second, if at all.
    other.close()
    full.bring_to_front()
    taps = in_turns({TAP_FEW: lambda: tap(light), TAP_MANY: lambda: tap(full)}, rounds=TAPS, warm_up=WARM_UP)
    seconds = {**starts, **taps}
    size = sum(len(gzip.compress(path.read_bytes())) for path in page_files())
    report(
        "tablet",
        seconds,
        [
            ratio("start", seconds, of=START, to=EMPTY),
            ratio("tap", seconds, of=TAP_MANY, to=TAP_FEW),
        ],
        facts={
            "script, words and style, compressed": f"{size} bytes",
            "hoped for": f"start {START_MS:g} ms, tap {TAP_MS:g} ms, 150000 bytes",
        },
    )
    for tablet in tablets:
        tablet.close()


def page_files() -> list[Path]:
    """Script, words and style."""
    return [path for path in PAGE.rglob("*") if path.suffix in {".js", ".json", ".css"}]
