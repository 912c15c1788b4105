"""The decider's page in a real browser: on a phone, without scripts, with quick fingers, by keyboard."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Browser, Locator, Page, expect
from pytest_django.live_server_helper import LiveServer

from tests.web.letters import Letter, a_letter
from tests.web.screens import SIZES, Scheme, Screen, screen
from workshop.models import Quote
from workshop.services.reminders import stop_key
from workshop.services.threads import reply_write

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def question(page: Page, title: str) -> Locator:
    return page.get_by_role("region", name=title)


def test_on_a_phone_without_scripts_every_job_is_answered(
    browser: Browser, live_server: LiveServer, letter: Letter
) -> None:
    with screen(browser, live_server.url, "phone", scripts=False, touch=True) as phone:
        page = phone.open(letter.address)
        expect(page.get_by_role("heading", level=1)).to_have_text("Sea Pink")
        expect(page.locator("img").first).to_be_visible()

        mast = question(page, "Mast step")
        mast.get_by_role("button", name="Decline").tap()
        assert page.url == f"{live_server.url}{letter.address}"  # the browser itself asks for the tick
        mast.get_by_role("checkbox").tap()
        mast.get_by_role("button", name="Decline").tap()
        expect(question(page, "Mast step")).to_contain_text("You declined this on 6 Apr 2027")
        expect(page).to_have_url(re.compile("#question-2$"))

        frame = question(page, "Window frame")
        frame.locator("summary", has_text="Ask something first").tap()
        frame.get_by_label("What would you like to know?").fill("Is the pane taken out?")
        frame.get_by_role("button", name="Send the question").tap()
        expect(question(page, "Window frame")).to_contain_text("Is the pane taken out?")
        question(page, "Window frame").get_by_role("button", name="Approve").tap()
        expect(page).to_have_url(re.compile("#question-3$"))

        question(page, "Toerail").get_by_role("button", name="Approve").tap()
        expect(page).to_have_url(re.compile("#together$"))
        expect(page.get_by_role("region", name="All together")).to_contain_text("2 approved, 1 declined")
        assert page.get_by_role("button").count() == 0
    letter.quote.refresh_from_db()
    assert letter.quote.state == Quote.State.DECIDED
    assert sorted(letter.decisions()) == ["approve", "approve", "ask", "decline"]


def test_a_double_click_is_one_answer(browser: Browser, live_server: LiveServer, letter: Letter) -> None:
    with screen(browser, live_server.url, "phone") as phone:
        page = phone.open(letter.address)
        question(page, "Toerail").get_by_role("button", name="Approve").dblclick()
        expect(question(page, "Toerail")).to_contain_text("You approved this")
    assert letter.decisions() == ["approve"]


def test_two_windows_give_one_answer(browser: Browser, live_server: LiveServer, letter: Letter) -> None:
    with screen(browser, live_server.url, "phone") as one, screen(browser, live_server.url, "desk") as two:
        one.open(letter.address)
        two.open(letter.address)
        question(one.page, "Toerail").get_by_role("button", name="Approve").click()
        expect(question(one.page, "Toerail")).to_contain_text("You approved this")
        question(two.page, "Toerail").get_by_role("button", name="Decline").click()
        expect(two.page.get_by_role("alert")).to_contain_text("This job was approved before")
    assert letter.decisions() == ["approve"]


def test_by_keyboard_alone(browser: Browser, live_server: LiveServer, letter: Letter) -> None:
    with screen(browser, live_server.url, "desk") as desk:
        page = desk.open(letter.address)
        page.keyboard.press("Tab")
        expect(page.get_by_role("link", name="Skip to the content")).to_be_focused()
        page.keyboard.press("Enter")
        approve = question(page, "Mast step").get_by_role("button", name="Approve")
        for _ in range(40):
            page.keyboard.press("Tab")
            if approve.evaluate("button => button === document.activeElement"):
                break
        assert approve.evaluate("button => getComputedStyle(button).outlineStyle") == "solid"
        page.keyboard.press("Enter")
        expect(question(page, "Mast step")).to_contain_text("You approved this")


def no_violations(window: Screen, size: str) -> None:
    schemes: tuple[Scheme, ...] = ("light", "dark")
    for scheme in schemes:
        window.look(size, scheme)
        assert window.violations() == [], scheme


def test_nothing_stands_in_a_readers_way(browser: Browser, live_server: LiveServer, letter: Letter) -> None:
    with screen(browser, live_server.url, "phone", policy=False) as window:
        page = window.open(letter.address)
        window.open_all()
        no_violations(window, "phone")
        question(page, "Mast step").get_by_role("button", name="Decline").evaluate(
            "button => { button.form.noValidate = true; button.click() }"
        )
        expect(page.get_by_role("alert")).to_be_visible()
        no_violations(window, "phone")
        letter.answer("Mast step", "approve")
        letter.answer("Toerail", "decline")
        letter.answer("Window frame", "approve")
        window.open(letter.address)
        no_violations(window, "desk")
        page.goto(f"{live_server.url}/o/wrong/")
        no_violations(window, "desk")


def test_a_german_owner_reads_german_and_may_look_at_it_in_english(
    browser: Browser, live_server: LiveServer, db: None
) -> None:
    letter = a_letter(locale="de_DE")
    letter.answer("Toerail", "ask", question="Kann das warten?")
    with screen(browser, live_server.url, "phone", policy=False) as window:
        page = window.open(letter.address)
        expect(page.locator("html")).to_have_attribute("lang", "de-DE")
        window.open_all()
        assert not window.overflows()
        assert window.small_targets() == []
        no_violations(window, "phone")
        mast = question(page, "Mastspur")
        expect(mast).to_contain_text("vor dem Zuwasserlassen")
        expect(mast).to_contain_text("fällig bis 30. April 2027")
        mast.get_by_role("button", name="Ablehnen").evaluate(
            "button => { button.form.noValidate = true; button.click() }"
        )
        expect(page.get_by_role("alert")).to_contain_text("Ihre Antwort wurde nicht übernommen")
        expect(page.get_by_role("alert")).to_contain_text("lesen Sie es, kreuzen Sie das Kästchen an")

        page.get_by_role("link", name="English").click()
        expect(page.locator("html")).to_have_attribute("lang", "en-DE")  # English words, the figures of her country
        title = page.get_by_role("heading", name="Mastspur")
        expect(title).to_have_attribute("lang", "de")
        no_violations(window, "phone")
        question(page, "Mastspur").get_by_role("button", name="Approve").click()
        expect(page).to_have_url(re.compile(r"\?lang=en#question-2$"))
        expect(question(page, "Mastspur")).to_contain_text("You approved this on 6 Apr 2027")
        page.get_by_role("link", name="Deutsch").click()
        expect(question(page, "Mastspur")).to_contain_text("Das haben Sie am 06.04.2027")
        assert page.context.cookies() == []  # the wish stood in the address, and nowhere else
    assert sorted(letter.decisions()) == ["approve", "ask"]


def test_it_fits_the_window_and_the_finger(browser: Browser, live_server: LiveServer, letter: Letter) -> None:
    with screen(browser, live_server.url, "desk") as window:
        window.open(letter.address)
        window.open_all()
        for size in SIZES:
            window.look(size)
            assert not window.overflows(), size
            assert window.small_targets() == [], size


def test_question_and_answer_and_the_page_about_reminders_are_free_of_violations(
    browser: Browser, live_server: LiveServer, letter: Letter
) -> None:
    spring = letter.spring
    letter.answer("Toerail", "ask", question="Can it wait?")
    reply_write(line=letter.line("Toerail"), text="Until lay-up.", by=spring.manager, at=timezone.now())
    with screen(browser, live_server.url, "phone", policy=False) as window:
        page = window.open(letter.address)
        expect(question(page, "Toerail")).to_contain_text("Until lay-up.")
        no_violations(window, "phone")
        page = window.open(reverse("web:owner-reminders", args=[stop_key(spring.boat.decider)]))
        page.get_by_role("button", name="Send me no reminders").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("You get no reminders")
        no_violations(window, "phone")
        window.sign_in(spring.manager)
        window.open(f"/quotes/{letter.quote.pk}/").get_by_label("Answer").fill("And not a day longer.")
        no_violations(window, "phone")
