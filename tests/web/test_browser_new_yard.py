"""A new yard, from nothing to its first published template, first boat and first inspection, in one sitting.

The walk presses and fills what somebody would who has never seen the pages, following what each page says to do
first. It counts the pages and fields: by common practice (no source) a page takes a newcomer half a minute to read
and a field ten seconds, and both together must stay under ten minutes.
"""

from __future__ import annotations

import re

import pytest
from django.core.management import call_command
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from inspections.models import Inspection, TemplateVersion
from tests.factories.yard import PASSWORD
from tests.web.screens import screen
from workshop.management.commands.new_yard import PASSWORD_VARIABLE
from yard.models import Boat, Member

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PAGE_S, FIELD_S, TEN_MINUTES_S = 30, 10, 600


class Newcomer:
    """Somebody at the page, and how long reading and typing would have taken them."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.seconds = 0

    def follows(self, name: str | re.Pattern[str]) -> None:
        self.page.get_by_role("link", name=name).first.click()
        self.seconds += PAGE_S

    def presses(self, name: str | re.Pattern[str]) -> None:
        self.page.get_by_role("button", name=name).click()
        self.seconds += PAGE_S

    def fills(self, label: str, text: str) -> None:
        self.page.get_by_label(label, exact=True).fill(text)
        self.seconds += FIELD_S

    def ticks(self, label: str) -> None:
        self.page.get_by_role("checkbox", name=label, exact=True).check()
        self.seconds += FIELD_S


def test_a_new_yard_is_at_its_first_inspection_in_ten_minutes(
    browser: Browser, live_server: LiveServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(PASSWORD_VARIABLE, PASSWORD)
    told = {"time_zone": "Europe/Oslo", "currency": "NOK", "vat": "25", "hourly_rate": "890"}
    days = {"launch": "2027-05-01", "lay_up": "2027-10-15"}
    options = [f"--{name.replace('_', '-')}={value}" for name, value in (told | days).items()]
    call_command("new_yard", "Skjellvik Yard", "--manager=runa", "--manager-name=Runa Holt", *options)
    with screen(browser, live_server.url, "desk") as window:
        page = window.sign_in(Member.objects.get())
        newcomer = Newcomer(page)
        expect(page.get_by_text("No boat is in the yard's care yet.")).to_be_visible()

        newcomer.follows("templates")
        newcomer.follows("Mast step")
        newcomer.presses("Start a draft of version 2")
        newcomer.follows(re.compile("^Change"))
        newcomer.presses(re.compile("^Keep this"))
        newcomer.follows("Publish version 2")
        newcomer.fills("What changed, and why", "Read it through; it asks what we ask.")
        newcomer.presses("Publish version 2")
        expect(page.get_by_role("status")).to_contain_text("is published.")

        newcomer.follows("Season")
        newcomer.follows("Enter the first one")
        newcomer.fills("Name of the boat", "Sea Pink")
        newcomer.fills("Length over all, m", "8.4")
        newcomer.fills("Beam, m", "2.6")
        newcomer.fills("New owner's name", "Ines Marsk")
        newcomer.fills("New owner's e-mail", "ines@harbour.example")
        newcomer.presses("Take her into care")
        expect(page.get_by_role("heading", level=1)).to_have_text("Parts of Sea Pink")
        for part in ("Carvel planking", "Frames and timbers", "Mast step"):
            newcomer.ticks(part)
        newcomer.presses("Enter the ticked parts")
        expect(page.get_by_role("status")).to_contain_text("3 parts are entered.")
        newcomer.presses("Open the inspection of 2027")
        expect(page.get_by_role("status")).to_contain_text("The inspection of 2027 is open, with")
        assert newcomer.seconds < TEN_MINUTES_S
        newcomer.follows("Season")
        expect(page.get_by_role("row", name=re.compile("Sea Pink"))).to_be_visible()
    inspection = Inspection.objects.get(boat=Boat.objects.get())
    assert inspection.checks.filter(component__name="Mast step").exists()
    versions = set(inspection.checks.values_list("template_version__number", "component__name"))
    assert (2, "Mast step") in versions
    assert TemplateVersion.objects.get(number=2).note == "Read it through; it asks what we ask."
