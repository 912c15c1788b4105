"""The office's pages in a real browser: the way of a spring, by mouse and by keyboard, on a desk and on a phone."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
import time_machine
from playwright.sync_api import Browser, Locator, Page, expect
from pytest_django.live_server_helper import LiveServer

from inspections.models import Finding, Inspection, SetAside
from tests.factories.inspections import SetAsideFactory
from tests.inspections.scenes import scene
from tests.web.conftest import NOW
from tests.web.letters import Letter, a_letter
from tests.web.screens import SIZES, Scheme, Screen, screen
from tests.workshop.booked import Booked
from tests.workshop.spring import Spring, a_spring
from workshop.models import Job, Material, OwnerLink, Quote
from yard.models import DeviceToken, OutboxRow
from yard.outbox import drain
from yard.services.invitations import invitation_send

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# Every kind of answer at once: figures, a no with its reasons, a caution, and what was refused.
BENCH = (
    "moisture-reading_pct=26&moisture-beside_pct=14&drying-start_pct=22&seam-species=teak&seam-plank_width_mm=120"
    "&coat-coating=varnish&coat-raining=on&screw-gauge_number=14&screw-penetration_mm=32&screw-species=teak"
    "&screw-load_n=5000"
)


def everything() -> tuple[Letter, list[str]]:
    """A yard where every page has something to show, and their addresses."""
    letter = a_letter()
    spring = letter.spring
    letter.answer("Mast step", "decline", read="yes")
    letter.answer("Toerail", "ask", question="Can it wait?")
    finding = Finding.objects.filter(boat=spring.boat).order_by("pk")[1]
    spring.overrule(finding, "watch")
    spring.not_seen(spring.component("Keel bolts"))
    SetAsideFactory.create(boat=spring.boat)
    spring.finding(spring.component("Fore hatch"), "SEAM")
    draft = spring.draft()
    invitation_send(by=spring.manager, email="new@harbour.example", role="technician", at=NOW)
    booked = Booked(spring)
    for hours in ("3.80",) * 9 + ("24.00",):
        booked.done(hours)
    OutboxRow.objects.create(
        yard=spring.yard,
        task="workshop.make_report",
        key="k",
        created_at=NOW,
        not_before=NOW,
        failed_at=NOW,
        attempts=6,
        last_error="OSError: no room left",
    )
    DeviceToken.objects.create(
        yard=spring.yard,
        member=spring.manager,
        device_name="Tablet 2",
        digest="7" * 64,
        shared=True,
        created_at=NOW,
    )
    Job.objects.filter(pk=letter.line("Window frame").job_id).update(state=Job.State.IN_WORK)
    return letter, [
        "/season/",
        "/findings/?show=all",
        "/findings/set-aside/",
        "/due-back/",
        "/due-back/calendars/",
        "/picking-list/",
        "/search/?q=sea+pink",
        "/boats/",
        "/parts/",
        "/spots/",
        "/boats/fleet/",
        f"/boats/{spring.boat.pk}/",
        "/boats/new/",
        f"/boats/{spring.boat.pk}/parts/",
        f"/boats/{spring.boat.pk}/change/",
        f"/boats/{spring.boat.pk}/surfaces/",
        "/owners/",
        "/settings/",
        "/settings/money/",
        "/settings/prices/",
        f"/settings/prices/{Material.objects.of_yard(spring.yard).order_by('pk')[0].pk}/",
        "/settings/seasons/",
        "/settings/rules/",
        f"/spots/{finding.spot_id}/",
        f"/findings/{finding.pk}/",
        f"/inspections/{spring.inspection.pk}/",
        "/quotes/",
        f"/quotes/{letter.quote.pk}/",
        f"/quotes/{draft.pk}/",
        f"/quotes/{draft.pk}/preview/",
        f"/bench/?{BENCH}",
        "/learned-hours/",
        "/learned-rates/",
        "/overrulings/",
        "/outbox/",
        "/tablets/",
        "/people/",
        f"/people/{spring.technician.pk}/",
        "/people/links/",
        "/audit/",
        "/log-in/",
        "/nowhere/",
    ]


def tab_to(page: Page, thing: Locator, most: int = 80) -> None:
    for _ in range(most):
        page.keyboard.press("Tab")
        if thing.evaluate("thing => thing === document.activeElement"):
            return
    raise AssertionError(f"{most} times Tab did not lead to {thing}")


def go(window: Screen, address: str) -> None:
    """Open the page, be it the one that says that there is none, with everything on it unfolded."""
    window.page.goto(f"{window.site}{address}")
    assert window.page.url == f"{window.site}{address}"  # and not the way in
    window.open_all()


def test_every_page_stands_in_nobodys_way_fits_every_window_and_keeps_to_the_policy(
    browser: Browser, live_server: LiveServer
) -> None:
    letter, addresses = everything()
    with screen(browser, live_server.url, "desk") as window:
        window.open("/sign-in/")
        hold(window, "/sign-in/")
        window.sign_in(letter.spring.manager)
        for address in addresses:
            go(window, address)
            hold(window, address)


def hold(window: Screen, address: str) -> None:
    """The page in every window, and what a reader may object to on a desk by day and on a phone by night."""
    for size in SIZES:
        scheme: Scheme = "dark" if size == "phone" else "light"
        window.look(size, scheme)
        assert not window.overflows(), (address, size)
        if size in ("narrow", "phone"):
            assert window.small_targets() == [], (address, size)
        if size in ("desk", "phone"):
            assert window.violations() == [], (address, size)


def test_the_season_is_a_table_on_a_desk_and_still_one_on_a_phone(
    browser: Browser, live_server: LiveServer
) -> None:
    letter, _ = everything()
    for size in ("desk", "phone"):
        with screen(browser, live_server.url, size) as window:
            page = window.sign_in(letter.spring.manager)
            expect(page).to_have_url(re.compile("/season/$"))
            row = page.get_by_role("row", name=re.compile("Sea Pink"))
            expect(row).to_be_visible()
            expect(row).to_contain_text("entry set aside")
            expect(page.get_by_role("columnheader", name="before launch")).to_have_count(1)
            page.get_by_label("Findings of priority").select_option("next lay-up")
            page.get_by_role("button", name="Show").click()
            expect(page).to_have_url(re.compile("priority=next_layup"))
            expect(page.get_by_role("row", name=re.compile("Sea Pink"))).to_be_visible()


def test_a_quote_from_ticked_findings_to_its_successor(browser: Browser, live_server: LiveServer) -> None:
    spring: Spring = a_spring(name="Sea Pink")
    spring.finding(spring.component("Toerail"), "REBED_SEALANT", priority="next_layup", severity=4)
    spring.finding(spring.component("Mast step"), "SEAM", priority="before_launch", severity=1)
    spring.propose()
    watched = spring.finding(spring.component("Tiller"), "SEAM", priority="watch", severity=4)
    owner = spring.boat.decider.name
    with screen(browser, live_server.url, "desk", policy=False) as desk:
        page = desk.sign_in(spring.manager)
        page.get_by_role("link", name="0 of 0").click()
        page.get_by_role("button", name="Close the inspection").click()
        expect(page.get_by_role("status")).to_contain_text("The inspection is closed.")
        page.get_by_role("checkbox", name=re.compile("Toerail")).uncheck()
        page.get_by_role("button", name="Draw up a quote of what is ticked").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("Quote 1 for Sea Pink")
        expect(page.get_by_role("checkbox", name=re.compile("Toerail"))).not_to_be_checked()
        page.get_by_role("checkbox", name=re.compile("Tiller")).check()  # a finding without a job
        assert desk.violations() == []
        page.get_by_role("button", name="Keep what is ticked and this day").click()
        expect(page.get_by_role("checkbox", name=re.compile("Tiller, port side: pay a seam"))).to_be_checked()
        expect(page.get_by_role("link", name="the report as it would be")).to_be_visible()
        page.get_by_role("link", name=re.compile("^See what")).click()
        expect(page.get_by_text("Nothing can be answered here.")).to_be_visible()
        expect(page.get_by_role("region", name=re.compile("Tiller"))).to_be_visible()
        expect(page.get_by_role("region", name=re.compile("Toerail"))).to_have_count(0)
        page.get_by_role("link", name="Back to quote 1").click()
        page.get_by_role("button", name=re.compile("^Send it to")).dblclick()
        expect(page.locator("dd").first).to_have_text("sent")
        page.get_by_role("button", name=f"Remind {owner} now").click()
        expect(page.get_by_role("alert")).to_contain_text("the last mail about it went on 6 April 2027")
        quote = Quote.objects.get()
        letter = Letter(spring, quote, OwnerLink.objects.get(), "", "")
        with time_machine.travel(NOW + timedelta(days=4), tick=True):
            page.get_by_role("button", name=f"Remind {owner} now").click()
            expect(page.get_by_role("status")).to_contain_text("A reminder is on its way")
            letter.answer("Tiller", "ask", question="Can it wait?")
            desk.open("/quotes/?show=yard")
            expect(page.get_by_role("row", name=re.compile("1 question unanswered"))).to_be_visible()
            page.get_by_role("link", name="1, Sea Pink").click()
            page.get_by_label(re.compile("^Answer")).fill("Until lay-up.")
            page.get_by_role("button", name="Send the answer").click()
            expect(page.get_by_role("status")).to_contain_text("Answered")
            happened = page.locator("main ol.lines").last
            expect(happened).to_contain_text(
                re.compile(
                    "Drawn up.*Put to.*Reminder mailed.*asked about.*answered about.*Answer mailed", re.DOTALL
                )
            )
            assert desk.violations() == []
            page.get_by_role("button", name="Take it back and draw it up anew").click()
            expect(page.get_by_role("heading", level=1)).to_have_text("Quote 2 for Sea Pink")
            expect(page.get_by_role("checkbox", name=re.compile("Tiller, port side: pay a seam"))).to_be_checked()
            page.get_by_role("button", name="Take it back").click()
            expect(page.get_by_role("status")).to_contain_text("Taken back.")
    assert Inspection.objects.get().closed_by == spring.manager
    assert list(Quote.objects.order_by("number").values_list("state", flat=True)) == [Quote.State.SUPERSEDED] * 2
    assert Job.objects.get(operations__finding=watched).state == Job.State.PROPOSED
    assert OutboxRow.objects.filter(task="workshop.make_report").count() == 1


def test_overruling_by_keyboard_alone(browser: Browser, live_server: LiveServer) -> None:
    made = scene(NOW - timedelta(days=1))
    sheet = made.finding()
    made.store(sheet)
    drain(now=NOW)
    with screen(browser, live_server.url, "desk") as desk:
        page = desk.open("/sign-in/")
        page.keyboard.type(made.manager.user.username)  # the first field has the focus
        page.keyboard.press("Tab")
        page.keyboard.type("clench-and-rove-1887")
        page.keyboard.press("Enter")
        expect(page).to_have_url(re.compile("/season/$"))
        desk.open(f"/findings/{sheet['id']}/")
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")  # skip to the content
        tab_to(page, page.locator("summary", has_text="Judge otherwise"))
        page.keyboard.press("Enter")
        tab_to(page, page.get_by_label("Priority"))
        page.keyboard.type("watch")
        tab_to(page, page.get_by_label("Reason"))
        page.keyboard.type("Seen it for years.")
        tab_to(page, page.get_by_role("button", name="Let this stand"))
        page.keyboard.press("Enter")
        expect(page.get_by_role("status")).to_contain_text("Your word stands now")
    overruling = Finding.objects.get().overrulings.get()
    assert (overruling.priority, overruling.reason) == ("watch", "Seen it for years.")


def test_a_refusal_is_heard_and_leads_to_its_field(browser: Browser, live_server: LiveServer) -> None:
    made = scene(NOW - timedelta(days=1))
    sheet = made.finding()
    made.store(sheet)
    drain(now=NOW)
    with screen(browser, live_server.url, "desk") as desk:
        page = desk.sign_in(made.manager)
        desk.open(f"/findings/{sheet['id']}/")
        page.locator("summary", has_text="Judge otherwise").click()
        page.get_by_label("Due back by").fill("2027-01-01")
        page.get_by_label("Reason").fill("Because")
        page.get_by_role("button", name="Let this stand").click()
        alert = page.get_by_role("alert")
        expect(alert).to_contain_text("has passed or lies too far off")
        alert.get_by_role("link", name="Due back by").click()
        expect(page.get_by_label("Due back by")).to_be_focused()
        expect(page.get_by_label("Due back by")).to_have_accessible_description(re.compile("has passed"))


def test_what_was_set_aside_is_settled_on_a_phone(browser: Browser, live_server: LiveServer) -> None:
    letter, _ = everything()
    with screen(browser, live_server.url, "phone", touch=True) as phone:
        page = phone.sign_in(letter.spring.manager)
        phone.open("/findings/set-aside/")
        page.get_by_role("link", name="Place it").tap()
        page.get_by_label("Why it can go").fill("Sent twice")
        page.get_by_role("button", name="Let it go").tap()
        expect(page.get_by_role("status")).to_contain_text("The entry is let go")
    assert SetAside.objects.get().settled_how == "Sent twice"
