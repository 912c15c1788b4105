"""The API's own pages in a real browser, under the strict content policy and without anything from elsewhere."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Locator, Page, expect
from pytest_django.live_server_helper import LiveServer

from api.pages import openapi_document
from tests.factories import MemberFactory
from tests.web.screens import PATIENCE_MS, screen

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def on_the_way_down(page: Page) -> Iterator[list[str]]:
    """The ids of the operations in sight, a window further down each time: others are not drawn.

    Begins again at the top as often as there is patience: a busy machine draws late.
    """
    end = time.monotonic() + PATIENCE_MS / 1000
    while time.monotonic() < end:
        yield page.locator(".opblock").evaluate_all("all => all.map(one => one.id)")
        page.evaluate("""() => new Promise(done => {
            const lower = window.scrollY + window.innerHeight < document.documentElement.scrollHeight - 1;
            window.scrollTo(0, lower ? window.scrollY + window.innerHeight : 0);
            requestAnimationFrame(() => requestAnimationFrame(done));
        })""")


def unfolded(page: Page, operation: str) -> Locator:
    """The operation, ready to be tried."""
    block_id = f"operations-{operation}"
    assert any(block_id in in_sight for in_sight in on_the_way_down(page))
    block = page.locator(f"#{block_id}")
    block.locator(".opblock-summary-control").click()
    block.get_by_role("button", name="Try it out").click()
    return block


def test_the_docs_are_drawn_with_every_operation_and_somebody_signed_in_tries_some(
    browser: Browser, live_server: LiveServer
) -> None:
    member = MemberFactory.create()
    ids = {
        f"operations-{operation['tags'][0]}-{operation['operationId']}"
        for path in openapi_document()["paths"].values()
        for operation in path.values()
    }
    with screen(browser, live_server.url, "desk") as opened:
        opened.sign_in(member)
        page = opened.open("/api/v1/docs/")
        expect(page.get_by_text("Take a boat into the yard's care")).to_be_visible()
        page.set_viewport_size({"width": 1280, "height": 6000})  # fewer windows on the way down
        seen = set[str]()
        for in_sight in on_the_way_down(page):
            seen.update(in_sight)
            if seen >= ids:
                break
        assert seen == ids
        me = unfolded(page, "me-me_retrieve")
        with page.expect_response("**/api/v1/me/") as read:
            me.get_by_role("button", name="Execute").click()
        assert read.value.json()["member"]["id"] == member.pk
        # Writing from a page needs its token against forgery, which the docs send along.
        owners = unfolded(page, "owners-owners_create")
        owners.locator("textarea").fill(json.dumps({"name": "Ines Marsk", "email": "ines@harbour.example"}))
        with page.expect_response("**/api/v1/owners/") as written:
            owners.get_by_role("button", name="Execute").click()
        assert written.value.status == 201


def test_the_kinds_of_problems_are_read_on_a_phone(browser: Browser, live_server: LiveServer) -> None:
    with screen(browser, live_server.url, "phone") as opened:
        page = opened.open("/api/v1/problems/#say-which-version")
        expect(page.locator("#say-which-version")).to_be_in_viewport()
        assert not opened.overflows()
    with screen(browser, live_server.url, "phone", policy=False) as checked:
        checked.open("/api/v1/problems/")
        assert checked.violations() == []


def test_without_scripts_the_docs_say_where_the_document_is(browser: Browser, live_server: LiveServer) -> None:
    with screen(browser, live_server.url, "phone", scripts=False) as opened:
        page = opened.open("/api/v1/docs/")
        expect(page.get_by_role("link", name="/api/v1/schema/")).to_be_visible()
