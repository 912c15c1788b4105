"""A new edition of the page waits until somebody says so, and takes nothing away that was kept."""

from __future__ import annotations

from dataclasses import replace

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, expect
from pytest_django.live_server_helper import LiveServer

from tests.tablet.boat import moored
from tests.web.screens import screen, wait_for_worker
from web.tablet import page as handing_out
from web.tablet.files import Edition, edition
from yard.services.device_codes import device_code_make

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

NEWER = "0123456789abcdef"


def newer() -> Edition:
    return replace(edition(), version=NEWER)


def test_a_new_edition_is_loaded_when_somebody_says_so(
    browser: Browser, live_server: LiveServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    boat = moored(timezone.now(), 2)
    code = device_code_make(by=boat.manager, device_name="Tablet 4", at=timezone.now())[1]
    with screen(browser, live_server.url, "tablet") as window:
        page = window.open("/tablet/")
        page.get_by_label("Code from the office").fill(code)
        page.get_by_role("button", name="Sign in").click()
        page.get_by_role("button", name="Jens Holm").click()
        page.get_by_role("button", name="Fetch this boat: Oda Marie").click()
        expect(page.get_by_text("You can go aboard without a network.")).to_be_visible()
        wait_for_worker(page)
        page.reload()
        page.route("**/entries/", lambda route: route.abort())
        page.goto(f"{window.site}/tablet/#/boat/{boat.inspection.pk}/check/{boat.checks[0].pk}")
        page.get_by_role("button", name="Not fitted").click()
        expect(page.locator("a.status")).to_contain_text("1 kept on this tablet")
        monkeypatch.setattr(handing_out, "edition", newer)
        page.evaluate("navigator.serviceWorker.getRegistration().then((one) => one.update()).then(() => null)")
        expect(page.get_by_text("A new edition of this page is ready.")).to_be_visible()
        assert page.locator("html").get_attribute("data-version") != NEWER
        page.get_by_role("button", name="Load it now").click()
        expect(page.locator("html")).to_have_attribute("data-version", NEWER)
        expect(page.locator("a.status")).to_contain_text("1 kept on this tablet")
