"""A list is narrowed and turned in place: the page is not loaded anew, and everything else is as if it were."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, expect
from pytest_django.live_server_helper import LiveServer

from tests.factories import BoatFactory, MemberFactory
from tests.web.screens import screen
from yard.models import Member

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_narrowed_turned_and_gone_back_in_place(browser: Browser, live_server: LiveServer) -> None:
    manager: Member = MemberFactory.create()
    for number in range(101):
        BoatFactory.create(yard=manager.yard, name=f"Boat {number:03}")
    with screen(browser, live_server.url, "desk") as window:
        page = window.sign_in(manager)
        window.open("/boats/")
        page.evaluate("window.still = true")
        page.get_by_role("link", name="Next").click()
        expect(page).to_have_url(f"{live_server.url}/boats/?page=2")
        expect(page.get_by_role("link", name="Boat 100")).to_be_visible()
        expect(page.locator("#content")).to_be_focused()
        page.get_by_label("Words in it").fill("boat 007")
        page.get_by_role("button", name="Show", exact=True).click()
        expect(page.locator("caption")).to_have_text("1 boat.")
        expect(page.get_by_role("button", name="Show", exact=True)).to_be_focused()
        expect(page.locator("#heard")).to_have_text("1 boat.")
        assert "text=boat%20007" in page.url
        assert page.evaluate("window.still")
        page.go_back()
        expect(page.get_by_role("link", name="Boat 100")).to_be_visible()
        # The session has ended meanwhile: the way in is a page of its own, and leads back here.
        window.context.clear_cookies()
        page.get_by_label("Words in it").fill("boat 008")
        page.get_by_role("button", name="Show", exact=True).click()
        expect(page.get_by_role("button", name="Sign in", exact=True)).to_be_visible()
        assert "/sign-in/?next=/boats/" in page.url
        assert window.complaints == []
