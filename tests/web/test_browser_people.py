"""From the invitation to signing in with a second factor, in a real browser: by codes of an app, and by a key."""

from __future__ import annotations

import re

import pytest
from django.core import mail as post
from playwright.sync_api import Browser, expect
from pytest_django.live_server_helper import LiveServer

from tests.factories import MemberFactory
from tests.factories.yard import PASSWORD
from tests.web.conftest import NOW
from tests.web.screens import Screen, screen
from tests.web.test_second_factor import code_of
from yard.models import Deed, DeedKind, Member
from yard.outbox import drain

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
NEW = "tar and oakum again"


def looked_at(window: Screen) -> None:
    """The page as it stands is readable by everybody, on a desk and on a phone in the dark."""
    for size, scheme in (("desk", "light"), ("phone", "dark")):
        window.look(size, scheme)  # type: ignore[arg-type]
        assert window.violations() == [], (window.page.url, size)
        assert not window.overflows(), (window.page.url, size)
    assert window.small_targets() == [], window.page.url


def signed_in(window: Screen) -> None:
    """Give name and password; what is asked then stands on the page."""
    page = window.page
    page.get_by_role("button", name="Sign out").click()
    page.get_by_label("Name").fill("ingrid")
    page.get_by_label("Password").fill(NEW)
    page.get_by_role("button", name="Sign in", exact=True).click()
    expect(page.get_by_role("heading", name="Second factor")).to_be_visible()


def test_from_the_invitation_to_the_second_factor(browser: Browser, live_server: LiveServer) -> None:
    manager: Member = MemberFactory.create()
    # Keys are bound to a name; an address of figures is none.
    site = live_server.url.replace("127.0.0.1", "localhost")
    with screen(browser, site, "desk", policy=False) as desk:
        page = desk.sign_in(manager)
        desk.open("/people/")
        page.get_by_label("Mail address").fill("ingrid@new.example")
        page.get_by_role("button", name="Send the invitation").click()
        expect(page.get_by_role("status")).to_contain_text("An invitation goes to ingrid@new.example")
        page.get_by_role("button", name="Sign out").click()
        drain(now=NOW.replace(hour=23))
        found = re.search(r"/join/\S+", str(post.outbox[0].body))
        assert found is not None

        desk.open(found[0])
        looked_at(desk)
        page.get_by_label("Your name").fill("Ingrid")
        page.get_by_label("Name to sign in with").fill("ingrid")
        page.get_by_label("Password", exact=True).fill(NEW)
        page.get_by_label("Password again").fill(NEW)
        page.get_by_role("button", name="Make my log-in").click()
        expect(page.get_by_role("status")).to_contain_text("Your log-in is made, Ingrid")
        page.get_by_label("Name").fill("ingrid")
        page.get_by_label("Password").fill(NEW)
        page.get_by_role("button", name="Sign in", exact=True).click()
        page.get_by_role("link", name="Ingrid").click()
        looked_at(desk)

        page.get_by_role("link", name="Switch one on").click()
        looked_at(desk)
        page.get_by_role("link", name="Switch it on").click()
        page.get_by_label("Password").fill(NEW)
        looked_at(desk)
        page.get_by_role("button", name="Go on").click()
        looked_at(desk)
        page.get_by_label("code").fill(code_of(page.locator("#secret").inner_text()))
        page.get_by_role("button", name="Switch it on").click()
        expect(page.get_by_role("heading", name="Spare codes")).to_be_visible()
        looked_at(desk)
        spare = page.locator("li code").first.inner_text()
        signed_in(desk)
        looked_at(desk)
        page.get_by_label("Code").fill(spare)
        page.get_by_role("button", name="Sign in", exact=True).click()
        expect(page).to_have_url(re.compile("/season/$"))
    with screen(browser, site, "phone") as phone:
        # What stands under the policy: the key's script is a file of ours.
        page = phone.page
        devtools = phone.context.new_cdp_session(page)
        devtools.send("WebAuthn.enable")
        options = {
            "protocol": "ctap2",
            "transport": "internal",
            "hasResidentKey": True,
            "hasUserVerification": True,
            "isUserVerified": True,
            "automaticPresenceSimulation": True,
        }
        made = devtools.send("WebAuthn.addVirtualAuthenticator", {"options": options})
        phone.sign_in(manager)
        phone.open("/log-in/")
        page.get_by_role("link", name="Add a passkey or key").click()
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Go on").click()
        page.get_by_label("Name of it").fill("This telephone")
        expect(page.get_by_label("It lets me in alone")).to_be_checked()
        looked_at(phone)
        page.get_by_role("button", name="Add it").click()
        expect(page.get_by_role("heading", name="Spare codes")).to_be_visible()
        phone.open("/log-in/")
        expect(page.get_by_text("This telephone, lets you in alone")).to_be_visible()
        looked_at(phone)
        page.get_by_role("button", name="Sign out").click()
        alone = page.get_by_role("button", name="Sign in with a passkey")
        expect(alone).to_be_visible()
        looked_at(phone)
        alone.click()
        expect(page).to_have_url(re.compile("/season/$"))
        # Where it can't ask for its owner, it does not do for a password.
        page.get_by_role("button", name="Sign out").click()
        owner = {"authenticatorId": made["authenticatorId"]}
        devtools.send("WebAuthn.setUserVerified", owner | {"isUserVerified": False})
        alone.click()
        expect(page.get_by_text("The browser did not use a passkey.")).to_be_visible()
        devtools.send("WebAuthn.setUserVerified", owner | {"isUserVerified": True})
        page.get_by_label("Name").fill(manager.user.username)
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Sign in", exact=True).click()
        page.get_by_role("button", name="Use a passkey or key instead").click()
        expect(page).to_have_url(re.compile("/season/$"))
    told = [(str(deed.kind), deed.told) for deed in Deed.objects.order_by("pk")]
    assert (DeedKind.FACTOR_ADDED, "codes of an app") in told
    assert (DeedKind.SIGNED_IN, "by passkey") in told
    assert (DeedKind.FACTOR_ADDED, "a passkey or key") in told
    assert told[-1] == (DeedKind.SIGNED_IN, "by password and second factor")
