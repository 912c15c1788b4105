"""A spot is placed on the plan by hand, and its sizes are drawn over the years."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from playwright.sync_api import Browser, expect
from pytest_django.live_server_helper import LiveServer

from tests.conftest import SPRING
from tests.factories import SpotFactory, TechnicianFactory
from tests.factories.inspections import EntryFactory, InspectionFactory
from tests.web.screens import screen
from tests.web.visitor import Visitor
from yard.models import Spot

pytestmark = pytest.mark.django_db


def test_it_is_placed_and_named_by_figures_and_half_a_place_is_refused() -> None:
    spot = SpotFactory.create(plan_x=None, plan_y=None)
    visitor = Visitor(TechnicianFactory.create(yard=spot.yard))
    address = f"/spots/{spot.pk}/place/"
    given = {"name": "Aft corner", "level": "hull", "plan_x": "41,5", "plan_y": "100"}
    assert "Aft corner is where you put it." in visitor.after(address, **given)
    spot.refresh_from_db()
    assert (spot.name, spot.level, spot.plan_x, spot.plan_y) == ("Aft corner", "hull", 415, 1000)
    assert "give both coordinates or neither" in visitor.refused(address, **{**given, "plan_y": ""})
    for beyond in ("100.1", "-1"):
        assert "is not on the plan; give 0 to 100" in visitor.refused(address, **{**given, "plan_x": beyond})
    assert "far too large" in visitor.refused(address, **{**given, "plan_x": "1e999999"})
    visitor.after(address, **{**given, "plan_x": "", "plan_y": ""})
    spot.refresh_from_db()
    assert spot.plan_x is None


def test_its_sizes_are_drawn_where_there_are_two_days_of_them() -> None:
    spot = SpotFactory.create()
    visitor = Visitor(TechnicianFactory.create(yard=spot.yard))
    for year, size in ((2025, "40"), (2026, "55.5")):
        inspection = InspectionFactory.create(boat=spot.component.boat, season_year=year)
        seen = SPRING - timedelta(days=365 * (2027 - year))
        more = {"answer": "finding", "size_mm": Decimal(size), "observed_at": seen, "received_at": seen}
        EntryFactory.create(inspection=inspection, component=spot.component, spot=spot, **more)
        drawn = "Size over the years" in visitor.page(f"/spots/{spot.pk}/")
        assert drawn is (year == 2026)


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_pressing_on_the_plan_fills_the_figures(browser: Browser, live_server: LiveServer) -> None:
    spot = SpotFactory.create(plan_x=None, plan_y=None)
    with screen(browser, live_server.url, "desk") as window:
        window.sign_in(TechnicianFactory.create(yard=spot.yard))
        page = window.open(f"/spots/{spot.pk}/place/")
        sheet = page.locator("#press svg")
        # a quarter of the length from the stern, on the starboard edge of the widest part
        sheet.scroll_into_view_if_needed()
        hull = sheet.locator("path.hull").bounding_box()
        assert hull is not None
        page.mouse.click(hull["x"] + hull["width"] * 0.25, hull["y"] + hull["height"] * 0.75)
        for label in ("How far aft, %", "How far to starboard, %"):  # the line round the hull has its own breadth
            assert float(page.get_by_label(label).input_value()) == pytest.approx(75, abs=1)
        page.get_by_role("button", name="Keep it there").click()
        expect(page.get_by_role("status")).to_contain_text("is where you put it.")
    kept = Spot.objects.get()
    assert kept.plan_x == pytest.approx(750, abs=10)
    assert kept.plan_y == pytest.approx(750, abs=10)
