"""Draws the tablet's screens into var/screenshots: upright, on its side, on a phone, on paper and in full sun."""

from __future__ import annotations

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from tests.tablet.boat import Moored, moored
from tests.web.screens import Screen, screen
from tests.web.test_screenshots import FOLDER, FOR_THE_README, keep_small
from yard.services.device_codes import device_code_make

pytestmark = [pytest.mark.screenshots, pytest.mark.django_db(transaction=True)]

SIZES = ("tablet", "laptop", "phone")


def draw(window: Screen, name: str) -> None:
    for size in SIZES:
        window.look(size)
        window.page.evaluate("document.fonts.ready.then(() => null)")
        window.page.screenshot(path=FOLDER / f"tablet-{name}-{size}.png")
    window.look("tablet")


def aboard(page: Page, site: str, boat: Moored) -> list[tuple[str, str, str]]:
    """Name, address and heading of each screen of a boat."""
    check = boat.checks[0].pk
    at = f"{site}/tablet/#/boat/{boat.inspection.pk}"
    return [
        ("opening", f"{at}/opening", "Opening up"),
        ("round", f"{at}/round", "The round"),
        ("place", f"{at}/check/{check}", "Are the lower corners tight?"),
        ("finding", f"{at}/finding?check={check}", "Window frame"),
        ("besides", f"{at}/besides", "Something else seen"),
        ("plan", f"{at}/plan", "Plan of"),
        ("finish", f"{at}/finish", "Finishing"),
    ]


def test_draw_the_tablet(browser: Browser, live_server: LiveServer) -> None:
    for folder in (FOLDER, FOR_THE_README):
        folder.mkdir(parents=True, exist_ok=True)
    boat = moored(timezone.now(), 12)
    code = device_code_make(by=boat.manager, device_name="Tablet 1", at=timezone.now())[1]
    with screen(browser, live_server.url, "tablet", touch=True) as window:
        page = window.open("/tablet/")
        draw(window, "sign-in")
        page.get_by_label("Code from the office").fill(code)
        page.get_by_role("button", name="Sign in").click()
        page.get_by_role("button", name="Jens Holm").click()
        page.get_by_role("button", name="Fetch this boat: Oda Marie").click()
        expect(page.get_by_text("You can go aboard without a network.")).to_be_visible()
        draw(window, "today")
        for light in ("plain", "sun"):
            page.goto(f"{window.site}/tablet/#/settings")
            page.locator(f"input[name=light][value={light}]").check()
            for name, address, heading in aboard(page, window.site, boat):
                page.goto(address)
                expect(page.get_by_role("heading", level=1)).to_contain_text(heading)
                draw(window, f"{name}-{light}")
    keep_small((FOLDER / "tablet-round-plain-tablet.png").read_bytes(), "tablet")
