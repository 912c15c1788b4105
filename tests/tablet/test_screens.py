"""Every screen as people hold it: nothing for axe-core to object to, nothing too small for a glove or too wide."""

from __future__ import annotations

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from tests.factories.yard import PASSWORD
from tests.tablet.boat import Moored, files, moored, picture
from tests.web.screens import Screen, screen
from tests.web.test_second_factor import switched_on
from yard.services.device_codes import device_code_make
from yard.services.pins import member_pin_set

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

GLOVE_PX = 48
PRESSED = "a:not(.skip), button, summary, textarea, input:not(.only-heard)"


@pytest.fixture
def boat() -> Moored:
    made = moored(timezone.now(), 3)
    member_pin_set(member=made.colleague, pin="4821", at=timezone.now())
    return made


def hold(window: Screen, name: str) -> None:
    """The screen that shows now, upright, on its side, on a phone and in the dark."""
    for size in ("tablet", "laptop", "phone", "narrow"):
        window.look(size)
        assert not window.overflows(), (name, size)
    window.look("tablet")
    assert window.violations() == [], name
    small = window.page.locator(PRESSED).evaluate_all(
        """(things, least) => things
            .map(thing => [thing, (thing.closest("label.key") ?? thing).getBoundingClientRect()])
            .filter(([thing, { width, height }]) => thing.checkVisibility({ visibilityProperty: true })
                && width > 0 && (width < least || height < least))
            .map(([thing, { width, height }]) => `${thing.textContent || thing.id} ${width} × ${height}`)""",
        GLOVE_PX,
    )
    assert small == [], name


def test_every_screen_can_be_read_heard_and_hit(browser: Browser, live_server: LiveServer, boat: Moored) -> None:
    code = device_code_make(by=boat.manager, device_name="", at=timezone.now())[1]
    check = boat.checks[0].pk
    with screen(browser, live_server.url, "tablet", policy=False, touch=True) as window:
        page = window.open("/tablet/")
        hold(window, "sign in")
        page.get_by_label("Code from the office").fill(code)
        page.get_by_role("button", name="Sign in").click()
        expect(page.get_by_role("heading", name="Who is this?")).to_be_visible()
        hold(window, "names")
        name_by_pin(window, page)
        page.get_by_role("button", name="Fetch this boat: Oda Marie").click()
        expect(page.get_by_text("You can go aboard without a network.")).to_be_visible()
        hold(window, "today")
        aboard(window, page, f"/tablet/#/boat/{boat.inspection.pk}", check)
        for address, heading in (("kept", "On this tablet"), ("settings", "Settings")):
            page.goto(f"{window.site}/tablet/#/{address}")
            expect(page.get_by_role("heading", level=1)).to_have_text(heading)
            hold(window, address)
        in_other_light_and_language(window, page, boat, check)


def name_by_pin(window: Screen, page: Page) -> None:
    page.get_by_role("link", name="Ane Lund").click()
    expect(page.get_by_text("Your PIN, four to six digits.")).to_be_visible()
    hold(window, "PIN")
    for digit in "4822":
        page.get_by_role("button", name=digit, exact=True).click()
    page.get_by_role("button", name="Enter").click()
    expect(page.get_by_role("alert")).to_contain_text("That is not the PIN.")
    page.get_by_label("PIN").fill("4821")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Today")


def aboard(window: Screen, page: Page, address: str, check: int) -> None:
    def to(place: str, heading: str) -> None:
        page.goto(f"{window.site}{address}/{place}")
        expect(page.get_by_role("heading", level=1)).to_contain_text(heading)

    to("opening", "Opening up")
    page.get_by_role("button", name="Not possible").first.click()
    hold(window, "opening up")
    to("round", "The round")
    page.get_by_text("Find a place by its sticker").click()
    page.get_by_label("Code on the sticker").fill("2345-678K")
    page.get_by_role("button", name="Go there").click()
    expect(page.get_by_role("alert")).to_contain_text("That does not add up.")
    hold(window, "round")
    to("round?by=area&all=1", "The round")
    hold(window, "round by area")
    to(f"check/{check}", "Are the lower corners tight?")
    page.get_by_role("button", name="Not seen").click()
    hold(window, "a place")
    to(f"finding?check={check}", "Window frame")
    page.locator("label.sign").first.click()
    page.locator("#library").set_input_files(files([picture(1, turned=False)]))
    expect(page.locator(".taken li")).to_have_count(1)
    page.get_by_text("Place it on the plan").click()
    page.get_by_role("button", name="Aft", exact=True).click()
    page.get_by_text("More, if you know it").click()
    hold(window, "a finding")
    page.get_by_role("button", name="Draw on it: Photo 1").click()
    page.get_by_text("Without drawing").click()
    page.get_by_role("button", name="Put one in the middle").click()
    hold(window, "drawing")
    page.get_by_role("button", name="Use it").click()
    expect(page.locator("dialog")).to_have_count(0)
    page.locator("#keep").click()
    expect(page.get_by_text("Kept: ")).to_be_visible()
    to("plan", "Plan of")
    hold(window, "plan")
    to("besides", "Something else seen")
    hold(window, "besides")
    to("finish", "Finishing")
    hold(window, "finish")


def in_other_light_and_language(window: Screen, page: Page, boat: Moored, check: int) -> None:
    for light, text in (("sun", "normal"), ("dark", "larger")):
        page.goto(f"{window.site}/tablet/#/settings")
        page.locator(f"input[name=light][value={light}]").check()
        page.locator(f"input[name=text][value={text}]").check()
        page.locator("input[name=language][value=de]").check()
        page.locator("input[name=hand][value=left]").check()
        expect(page.get_by_role("heading", level=1)).to_have_text("Einstellungen")
        hold(window, f"settings in {light}")
        page.goto(f"{window.site}/tablet/#/boat/{boat.inspection.pk}/check/{check}")
        expect(page.get_by_role("button", name="Gesund")).to_be_visible()
        hold(window, f"a place in {light}")


def test_the_round_can_be_worked_by_keys_alone(browser: Browser, live_server: LiveServer, boat: Moored) -> None:
    spare = switched_on(boat.technician)[1]
    with screen(browser, live_server.url, "tablet") as window:
        page = window.open("/tablet/")
        press(page, "link", "Sign in with name and password", "Enter")
        press(page, "textbox", "Name", boat.technician.user.username)
        press(page, "textbox", "Password", PASSWORD)
        expect(page.get_by_label("Code of your app")).to_be_hidden()
        page.keyboard.press("Enter")
        expect(page.get_by_label("Code of your app")).to_be_focused()
        assert window.violations() == []
        page.keyboard.type(f"{spare[0][:4]} {spare[0][4:]}")
        page.keyboard.press("Enter")
        press(page, "button", "Fetch this boat: Oda Marie", "Enter")
        press(page, "link", "Go aboard: Oda Marie", "Enter")
        press(page, "link", "On to the round", "Enter")
        press(page, "link", "Next:", "Enter")
        press(page, "button", "Sound", "Enter")
        expect(page.get_by_role("status").filter(has_text="Kept: ")).to_be_visible()
        press(page, "button", "Undo", "Enter")
        expect(page.get_by_role("status").filter(has_text="Taken back: ")).to_be_visible()


def press(page: Page, role: str, name: str, keys: str) -> None:
    """Go there by the tabulator and press a key, or type."""
    wanted = page.get_by_role(role, name=name).first  # type: ignore[arg-type]
    expect(wanted).to_be_visible()
    for _ in range(60):
        page.keyboard.press("Tab")
        if wanted.evaluate("thing => thing === document.activeElement"):
            break
    else:
        raise AssertionError(f"no way by the tabulator to {name}")
    if keys == "Enter":
        page.keyboard.press("Enter")
    else:
        page.keyboard.type(keys)
