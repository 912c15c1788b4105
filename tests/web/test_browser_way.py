"""The way round and the count of overrulings in a real browser: read by anybody, in any window."""

from __future__ import annotations

from datetime import timedelta

import pytest
from playwright.sync_api import Browser, expect
from pytest_django.live_server_helper import LiveServer

from inspections.models import Finding
from inspections.services.overruling import finding_overrule
from tests.factories import ComponentFactory
from tests.factories.inspections import CheckFactory, OpeningStepFactory
from tests.inspections.scenes import Scene, scene
from tests.web.conftest import NOW
from tests.web.screens import SIZES, screen
from yard.outbox import drain

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def a_round() -> Scene:
    """A boat with a part behind a lining, one place hidden, and a finding seen from one face and overruled."""
    made = scene(NOW - timedelta(days=1))
    keel = ComponentFactory.create(
        boat=made.boat, component_class=made.component.component_class, name="keel bolts, all eleven of them"
    )
    OpeningStepFactory.create(inspection=made.inspection, component=keel)
    CheckFactory.create(inspection=made.inspection, component=keel, after=["lining"])
    soft = made.finding(signs=["SOFT_PROBE"], sides="one", load="cyclic", water="rain")
    made.store(soft, made.not_seen(made.moisture))
    drain(now=NOW)
    finding_overrule(
        finding=Finding.objects.get(),
        by=made.manager,
        priority="watch",
        due_back_on=(NOW + timedelta(days=90)).date(),
        reason="I have probed it myself: " + "the paint is soft, " * 12 + "the wood is not.",
        at=NOW,
    )
    return made


def test_they_stand_in_nobodys_way_and_fit_every_window(browser: Browser, live_server: LiveServer) -> None:
    made = a_round()
    with screen(browser, live_server.url, "desk", policy=False) as window:
        window.sign_in(made.manager)
        for address in (f"/inspections/{made.inspection.pk}/", "/overrulings/"):
            window.open(address)
            for size in SIZES:
                window.look(size)
                assert not window.overflows(), (address, size)
            for look in (("desk", "light"), ("phone", "dark")):
                window.look(*look)
                assert window.violations() == [], (address, look)


def test_from_the_way_to_the_finding_and_on_to_the_count(browser: Browser, live_server: LiveServer) -> None:
    made = a_round()
    with screen(browser, live_server.url, "desk") as window:
        window.sign_in(made.manager)
        page = window.open(f"/inspections/{made.inspection.pk}/")
        expect(page.get_by_role("heading", name="The way round")).to_be_visible()
        again = page.get_by_role("listitem").filter(has_text="because only one face of it was seen")
        again.get_by_role("link").click()
        page.get_by_role("link", name="Where the office judged otherwise").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("Where the office judged otherwise")
        counted = page.get_by_role("table", name="By what was found").get_by_role("row")
        expect(counted.nth(1).get_by_role("cell")).to_have_text(
            ["Judged1", "Sooner0", "Later1", "Another day0", "Taken back0"]
        )
