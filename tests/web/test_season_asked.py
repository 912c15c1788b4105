"""What the season page is asked: narrowed, sorted, as a spreadsheet; the yard's hours; boats that went in."""

from __future__ import annotations

import csv
from datetime import date, timedelta
from decimal import Decimal

import pytest
from playwright.sync_api import Browser, expect
from pytest_django.live_server_helper import LiveServer

from inspections.models import Inspection
from tests.factories import BoatFactory, InspectionFactory, MemberFactory, TechnicianFactory, YardFactory
from tests.factories.inspections import EntryFactory
from tests.web.conftest import NOW
from tests.web.letters import Letter, a_letter
from tests.web.screens import SIZES, screen
from tests.web.visitor import Visitor
from yard.models import Yard

pytestmark = pytest.mark.django_db
SEASON = "/season/2027/"
SHEET = "/season/2027/season.csv"


def boats_on(visitor: Visitor, **query: str) -> list[str]:
    """The boats of the spreadsheet, in its order."""
    return [row["boat"] for row in csv.DictReader(visitor.page(SHEET, **query).splitlines())]


def two_boats() -> tuple[Letter, Visitor]:
    """One whose quote of three jobs waits, one of them approved; one of a strange name, not looked at."""
    letter = a_letter()
    letter.answer("Mast step", "approve")
    InspectionFactory.create(
        boat=BoatFactory.create(yard=letter.spring.yard, name="=Dawn()"), launch_on=date(2027, 4, 20)
    )
    return letter, Visitor(letter.spring.manager)


def goes_in_tomorrow(letter: Letter) -> None:
    Inspection.objects.filter(pk=letter.spring.inspection.pk).update(launch_on=NOW.date() + timedelta(days=1))


def test_the_spreadsheet_tells_what_the_page_tells() -> None:
    letter, visitor = two_boats()
    dawn, pink = csv.DictReader(visitor.page(SHEET).splitlines())
    assert (dawn["boat"], dawn["week"], dawn["stage"]) == ("'=Dawn()", "2027-W16", "booked")
    ours = {name: pink[name] for name in ("boat", "stage", "quote_state", "quote_since", "quote_waits_days")}
    assert ours == {
        "boat": "Sea Pink",
        "stage": "booked",  # found in a spring whose inspection nobody has opened up or closed
        "quote_state": "sent",
        "quote_since": "2027-04-06",
        "quote_waits_days": "0",
    }
    line = letter.line("Mast step")
    assert Decimal(pink["hours_due_by_launch"]) == line.hours_ceiling
    assert Decimal(pink["hours_likely"]) == line.hours_likely
    assert Decimal(pink["hours_asked"]) > 0
    assert "quote 1 went out today" in pink["blocked_by"]


@pytest.mark.parametrize(
    ("query", "boats"),
    [
        ({}, ["'=Dawn()", "Sea Pink"]),
        ({"order": "hours"}, ["Sea Pink", "'=Dawn()"]),
        ({"order": "waiting"}, ["Sea Pink", "'=Dawn()"]),
        ({"blocked": "decision"}, ["Sea Pink"]),
        ({"blocked": "nothing"}, []),
        ({"stage": "booked", "text": "dawn"}, ["'=Dawn()"]),
        ({"stage": "afloat"}, []),
        ({"stage": "ready", "blocked": "rain", "order": "luck"}, ["'=Dawn()", "Sea Pink"]),
    ],
)
def test_it_is_narrowed_and_sorted_by_its_address(query: dict[str, str], boats: list[str]) -> None:
    _, visitor = two_boats()
    assert boats_on(visitor, **query) == boats
    page = visitor.page(SEASON, **query)
    assert page.count('<span class="cell-name">Blocks her</span>') == len(boats)


def test_a_manager_states_the_yards_hours_and_is_told_whether_they_suffice() -> None:
    letter, visitor = two_boats()
    assert "has not stated its hours" in visitor.page(SEASON)
    address = f"{SEASON}hours/"
    refused = visitor.refused(address, hours_per_week="lots")
    assert "Hours per week: is not a number" in refused
    assert 'value="lots"' in refused
    assert "hours" in visitor.refused(address, hours_per_week="0")
    assert "suffice for every launch" in visitor.after(address, hours_per_week="37,5")
    yard = Yard.objects.get(pk=letter.spring.yard.pk)
    assert yard.hours_per_week == Decimal("37.5")
    goes_in_tomorrow(letter)
    assert "<strong>Short by" in visitor.after(address, hours_per_week="1")
    visitor.after(address, hours_per_week="")
    assert Yard.objects.get(pk=yard.pk).hours_per_week is None
    technician = Visitor(TechnicianFactory.create(yard=yard))
    assert technician.post(address, hours_per_week="99").status_code == 403


def test_a_boat_that_went_in_is_afloat_and_may_be_taken_back() -> None:
    letter, visitor = two_boats()
    address = f"/inspections/{letter.spring.inspection.pk}/afloat/"
    assert "has not come yet" in visitor.refused(address, afloat_on="2027-05-01")
    visitor.after(address, afloat_on="2027-04-06")
    assert boats_on(visitor, stage="afloat") == ["Sea Pink"]
    visitor.after(address, afloat_on="")
    assert boats_on(visitor, stage="afloat") == []


def test_what_came_in_this_hour_is_told_by_technician_and_boat() -> None:
    yard = YardFactory.create()
    technician = TechnicianFactory.create(yard=yard, name="Una Lund")
    inspection = InspectionFactory.create(boat=BoatFactory.create(yard=yard, name="Tern"))
    for answer, minutes in (("sound", 59), ("not_seen", 5), ("sound", 61)):
        EntryFactory.create(
            inspection=inspection,
            component__boat=inspection.boat,
            author=technician,
            answer=answer,
            received_at=NOW - timedelta(minutes=minutes),
        )
    page = " ".join(Visitor(MemberFactory.create(yard=yard)).page(SEASON).split())
    assert "2 entries, the last at" in page
    assert "Una Lund on <a" in page
    assert "Tern</a>: 2, 1 not seen; the last at" in page
    other = Visitor(MemberFactory.create(yard=BoatFactory.create().yard)).page(SEASON)
    assert "Una Lund" not in other
    assert "<dt>Came in this hour</dt><dd>nothing</dd>" in other


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_a_manager_reads_the_season(browser: Browser, live_server: LiveServer) -> None:
    letter = a_letter()
    letter.answer("Mast step", "approve")
    goes_in_tomorrow(letter)
    with screen(browser, live_server.url, "desk", policy=False) as window:
        page = window.sign_in(letter.spring.manager)
        window.open(SEASON)
        page.get_by_text("The yard's hours of work in a week: not stated").click()
        page.get_by_label("Hours in a week without holidays").fill("2")
        page.get_by_role("button", name="State the hours").press("Enter")
        expect(page.locator("strong", has_text="Short by")).to_be_visible()
        expect(page.get_by_role("img", name="Hours to be done before each week")).to_be_visible()
        page.get_by_role("link", name="1 waits").click()
        expect(page.get_by_role("row", name="Sea Pink")).to_contain_text("to decide on 2 of 3")
        page.get_by_label("How far", exact=True).select_option("afloat")
        page.get_by_role("button", name="Show").click()
        expect(page.locator("#content").get_by_text("No boat fits that.")).to_be_visible()
        window.open(SEASON)
        window.open_all()
        for size in SIZES:
            window.look(size)
            assert not window.overflows(), size
        for size, scheme in (("desk", "light"), ("phone", "dark")):
            window.look(size, scheme)  # type: ignore[arg-type]
            assert window.violations() == [], size
        assert window.small_targets() == []
