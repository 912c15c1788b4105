"""The tablet's page in a browser: how soon it starts from the tablet, and how soon it answers a tap."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Page, expect
from pytest_django.live_server_helper import LiveServer

from tests.bench.measuring import PROJECT, in_turns, ratio, report
from tests.tablet.boat import Moored, moored
from tests.web.screens import PATIENCE_MS
from yard.services.device_codes import device_code_make

pytestmark = [pytest.mark.bench, pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PAGE = PROJECT / "web/static/web/tablet"
STARTS, TAPS, WARM_UP = 12, 20, 2
MANY, FEW = 150, 15  # parts, with two checks each
START_MS, TAP_MS = 1000.0, 100.0
EMPTY, START = "an empty page", "start from the tablet, 300 checks"
TAP_FEW, TAP_MANY = "a tap, 30 checks", "a tap, 300 checks"
ANSWERED = """async () => {
  const before = location.hash;
  document.querySelector("#not-fitted").click();
  const drawn = () => location.hash !== before && document.querySelector(".said").textContent.startsWith("Kept");
  while (!drawn()) await new Promise((next) => requestAnimationFrame(next));
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
    page.evaluate("navigator.serviceWorker.ready.then(() => null)")
    page.goto(f"{site}/tablet/#/boat/{boat.inspection.pk}/check/{boat.checks[0].pk}")
    expect(page.locator("#not-fitted")).to_be_visible()
    return page


def tap(page: Page) -> None:
    page.evaluate(ANSWERED)


def test_start_and_answer(browser: Browser, live_server: LiveServer) -> None:
    tablets = [browser.new_context(viewport={"width": 800, "height": 1100}) for _ in range(2)]
    for tablet in tablets:
        tablet.set_default_timeout(PATIENCE_MS)
    many, few = moored(timezone.now(), MANY), moored(timezone.now(), FEW)
    full, light = (
        signed_in(tablet, live_server.url, boat) for tablet, boat in zip(tablets, (many, few), strict=True)
    )
    tablets[0].route("**/empty/", lambda route: route.fulfill(content_type="text/html", body="<!doctype html><p>."))
    other = tablets[0].new_page()
    for tablet in tablets:
        tablet.set_offline(True)

    def start() -> None:
        other.goto(f"{live_server.url}/tablet/#/boat/{many.inspection.pk}/round")
        other.locator("#next").wait_for()

    def empty() -> None:
        other.goto(f"{live_server.url}/empty/")

    def away() -> None:
        other.goto("about:blank")  # else the same page twice would only change its place

    starts = in_turns({EMPTY: empty, START: start}, rounds=STARTS, warm_up=WARM_UP, before=away)
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
