"""A template from its first draft to its second version, by a manager with a browser, and a colleague beside."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from inspections.models import Template, TemplateVersion
from inspections.services.template_drafts import draft_item_save
from tests.factories import ComponentClassFactory, MemberFactory
from tests.inspections.scenes import Scene, scene
from tests.web.conftest import NOW
from tests.web.screens import SIZES, Screen, screen

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def hold(window: Screen, what: str) -> None:
    """The page as it stands: nothing for axe-core to object to, and nothing too wide or too small."""
    window.look("phone", "dark")
    assert window.violations() == [], what
    assert not window.overflows(), what
    assert window.small_targets() == [], what
    window.look("desk")
    assert not window.overflows(), what


def test_a_template_is_made_tried_published_changed_and_compared(browser: Browser, live_server: LiveServer) -> None:
    laid = scene(NOW - timedelta(days=5))
    source = Template.objects.get(yard=laid.yard)
    ComponentClassFactory.create(yard=laid.yard, name="Pilot berth", usual_signs=["SOFT_PROBE"])
    with screen(browser, live_server.url, "desk", policy=False) as window:
        page = window.sign_in(laid.manager)
        page.get_by_role("link", name="Templates").click()
        expect(page.get_by_role("row", name=re.compile("Pilot berth"))).to_contain_text("nothing published")
        hold(window, "the list")
        page.get_by_role("button", name="Begin it").click()
        expect(page.get_by_role("status")).to_contain_text("The template is begun.")
        copied(window, page, source)
        asked(window, page)
        turned(window, page)
        tried(window, page)
        published(window, page, "made from the window's")
        changed_by_two(window, page, laid)
        published(window, page, "asks for the lining as well")
        page.get_by_role("link", name=re.compile("What differs")).click()
        expect(page.get_by_role("heading", level=1)).to_have_text("Version 1 beside version 2")
        expect(page.get_by_role("row", name=re.compile("^Question"))).to_contain_text("Is the berth board dry?")
        hold(window, "the comparison")
    version = TemplateVersion.objects.get(template__title="Pilot berth", number=2)
    assert [check["key"] for check in version.checks] == ["berth_board_hard", "corners"]
    assert version.checks[0]["prompt"] == "Is the berth board dry?"
    assert version.note == "asks for the lining as well"


def copied(window: Screen, page: Page, source: Template) -> None:
    page.get_by_role("link", name="Copy from another class").click()
    page.get_by_label("Copy from", exact=True).select_option(label=source.title)
    page.get_by_role("button", name="Show what it asks").click()
    page.get_by_label(re.compile("Are the lower corners tight")).check()
    hold(window, "copying")
    page.get_by_role("button", name="Copy what is ticked").click()
    expect(page.get_by_role("status")).to_contain_text("2 things were copied")  # with the step that it waits for
    expect(page.get_by_role("heading", name="Lining off below the window")).to_be_visible()


def asked(window: Screen, page: Page) -> None:
    """A check by hand: refused first, and what was typed stands there still."""
    page.get_by_role("link", name="Add a check").click()
    page.get_by_label("Question").fill("Is the berth board hard?")
    page.get_by_label(re.compile("^A reading")).check()
    expect(page.get_by_label("What is measured")).to_be_visible()
    page.get_by_role("button", name="Keep this check").click()
    expect(page.get_by_role("alert")).to_contain_text("What is measured is not chosen")
    expect(page.get_by_label("Question")).to_have_value("Is the berth board hard?")
    hold(window, "a refused check")
    page.get_by_label(re.compile("^Sound, or signs")).check()
    expect(page.get_by_label("What is measured")).to_be_hidden()
    page.get_by_label("Soft to the probe").check()
    page.get_by_role("button", name="Keep this check").click()
    expect(page.get_by_role("status")).to_contain_text("The check is kept")


def turned(window: Screen, page: Page) -> None:
    checks = page.locator("#checks h3")
    expect(checks).to_have_text(["Are the lower corners tight?", "Is the berth board hard?"])
    page.get_by_role("button", name=re.compile("^Up.*berth board")).click()
    expect(checks).to_have_text(["Is the berth board hard?", "Are the lower corners tight?"])
    hold(window, "the draft")


def tried(window: Screen, page: Page) -> None:
    """The preview is the tablet's own page: it asks, takes an answer and goes on, and keeps nothing."""
    page.get_by_role("link", name="See it as the tablet shows it").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Opening up Pilot berth")
    for size in SIZES:
        window.look(size)
        assert not window.overflows(), size
    window.look("desk")
    assert window.violations() == []
    page.get_by_role("link", name="On to the round").click()
    page.get_by_role("link", name=re.compile("^Next: ")).click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Is the berth board hard?")
    page.get_by_role("button", name="Sound", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Are the lower corners tight?")
    page.get_by_role("link", name="Finding", exact=True).click()
    expect(page.get_by_role("checkbox", name="Crack in the wood")).to_be_visible()
    page.get_by_role("link", name="Back to the template").click()


def published(window: Screen, page: Page, note: str) -> None:
    page.get_by_role("link", name=re.compile("^Publish version")).click()
    page.get_by_label("What changed, and why").fill("")
    page.get_by_role("button", name=re.compile("^Publish version")).click()
    expect(page.get_by_role("alert")).to_contain_text("say in a few words what changed")
    page.get_by_label("What changed, and why").fill(note)
    hold(window, "publishing")
    page.get_by_role("button", name=re.compile("^Publish version")).click()
    expect(page.get_by_role("status")).to_contain_text("is published.")


def changed_by_two(window: Screen, page: Page, laid: Scene) -> None:
    """A colleague saves the same check first: both texts stand there, and mine is put in its place by choice."""
    colleague = MemberFactory.create(yard=laid.yard, name="Birk Lind")
    page.get_by_role("button", name="Start a draft of version 2").click()
    page.get_by_role("link", name=re.compile("^Change.*berth board")).click()
    page.get_by_label("Question").fill("Is the berth board dry?")
    draft = TemplateVersion.objects.get(published_at=None)
    theirs = {name: value for name, value in draft.checks[0].items() if name != "key"} | {"prompt": "Dry all over?"}
    draft_item_save(draft=draft, part="checks", key=draft.checks[0]["key"], said=theirs, by=colleague, at=NOW)
    page.get_by_role("button", name="Keep this check").click()
    expect(page.get_by_role("alert")).to_contain_text("Birk Lind saved this check at")
    row = page.get_by_role("row", name=re.compile("^Question"))
    expect(row).to_contain_text("Dry all over?")
    expect(row).to_contain_text("Is the berth board dry?")
    hold(window, "two at one check")
    page.get_by_role("button", name="Put mine in its place").click()
    expect(page.locator("#checks h3").first).to_have_text("Is the berth board dry?")
