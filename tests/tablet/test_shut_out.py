"""What the yard does not take, and a tablet that the office shut out: both keep everything and say what to do."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, expect
from pytest_django.live_server_helper import LiveServer

from inspections.models import Entry, EntryPhoto, Photo, Template
from tests.factories import SpotFactory, TemplateVersionFactory
from tests.tablet.boat import Moored, Saying, moored, picture
from tests.tablet.hands import Hands
from tests.web.screens import Screen, screen
from yard.models import DeviceToken
from yard.services.device_codes import device_code_make
from yard.services.people import device_token_revoke

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_what_a_tablet_keeps_when_it_is_shut_out_comes_in_once_by_file(
    browser: Browser, live_server: LiveServer, tmp_path: Path
) -> None:
    boat = moored(timezone.now(), 2)
    TemplateVersionFactory.create(template=Template.objects.get(yard=boat.yard), number=2)
    refused, seen, unseen = boat.checks[0], boat.checks[2], boat.checks[3]
    tablet = Hands(browser, live_server.url, tmp_path / "tablet")
    tablet.switch_on()
    sign_in(tablet, boat)
    tablet.fetch("Oda Marie")
    tablet.wait_for_worker()
    tablet.go(f"/boat/{boat.inspection.pk}/round")
    kind = refused.component.component_class.name
    expect(tablet.page.get_by_text(f"for: {kind}. This inspection keeps its own questions.")).to_be_visible()

    used_elsewhere = SpotFactory.create(component__boat__yard=boat.yard).tag
    answer(tablet, boat, refused.pk, Saying("finding", signs=("CRACK_WOOD",), size="20", tag=used_elsewhere))
    expect(tablet.status).to_contain_text("1 not taken by the yard")
    shows_why(tablet)

    device_token_revoke(token=DeviceToken.objects.get(), at=timezone.now())
    told = Saying("finding", signs=("GAP_JOINT",), size="35", photos=[picture(1, turned=False)])
    answer(tablet, boat, seen.pk, told)
    answer(tablet, boat, unseen.pk, Saying("not_seen", reason="locker full"))
    warnings = tablet.page.locator(".warnings")
    expect(warnings).to_contain_text("The office has signed this tablet out. Nothing is lost")
    tablet.page.reload()
    expect(tablet.status).to_contain_text("2 kept on this tablet, 0 at the yard, 1 photo waiting, 1 not taken")
    expect(warnings).to_contain_text("The office has signed this tablet out.")
    shows_why(tablet)
    expect(tablet.page.get_by_text("The office has signed this tablet out.")).to_have_count(1)
    assert Entry.objects.count() == 0

    with tablet.page.expect_download() as saving:
        tablet.page.locator("#export").click()
    file = tmp_path / saving.value.suggested_filename
    saving.value.save_as(file)
    assert file.name.startswith("faying-unsent-")
    assert len(json.loads(file.read_text())["inspections"][0]["entries"]) == 3
    with screen(browser, live_server.url, "desk") as office:
        page = office.sign_in(boat.manager)
        load(office, file, "Entries: 2 taken, 1 refused", "Photos: 1 taken")
        expect(page.get_by_text("another spot carries this tag")).to_be_visible()
        load(office, file, "Entries: 2 there already, 1 refused", "Photos: 1 there already")
    at_the_yard(boat, seen.pk, unseen.pk)

    # Let in again, it sends the same ones; the yard has them.
    tablet.page.get_by_role("link", name="Sign this tablet in").click()
    sign_in(tablet, boat)
    expect(tablet.status).to_contain_text("0 kept on this tablet, 2 at the yard, 1 not taken")
    at_the_yard(boat, seen.pk, unseen.pk)
    shows_why(tablet)
    assert tablet.complaints == []
    tablet.context.close()


def sign_in(tablet: Hands, boat: Moored) -> None:
    code = device_code_make(by=boat.manager, device_name="", at=timezone.now())[1]
    tablet.sign_in_by_code(code, boat.technician.name)


def answer(tablet: Hands, boat: Moored, check: int, saying: Saying) -> None:
    tablet.go(f"/boat/{boat.inspection.pk}/check/{check}")
    tablet.page.wait_for_function("check => location.hash.endsWith(`/check/${check}`)", arg=check)
    expect(tablet.page.locator("#not-seen")).to_be_visible()
    tablet.say(saying)


def shows_why(tablet: Hands) -> None:
    """What the yard did not take is on the tablet, with the reason and the way to say it again."""
    tablet.go("/kept")
    expect(tablet.page.get_by_role("heading", name="Not taken by the yard")).to_be_visible()
    expect(tablet.page.get_by_text("This sticker belongs to another spot.")).to_be_visible()
    own = tablet.page.get_by_text("spot.tag: another spot carries this tag")
    expect(own).to_be_hidden()  # the yard's own words are folded
    tablet.page.get_by_text("For the office: what the yard said").click()
    expect(own).to_be_visible()


def load(office: Screen, file: Path, *told: str) -> None:
    page = office.open("/unsent/")
    page.get_by_label("File from the tablet").set_input_files(file)
    page.get_by_role("button", name="Load").click()
    for line in told:
        expect(page.get_by_role("status")).to_contain_text(line)


def at_the_yard(boat: Moored, seen: int, unseen: int) -> None:
    """Each entry once, by whoever saw it, with its words and its photo."""
    rows = Entry.objects.filter(inspection=boat.inspection, author=boat.technician)
    assert sorted(rows.values_list("answers_id", "answer")) == [(seen, "finding"), (unseen, "not_seen")]
    found, hidden = rows.get(answers=seen), rows.get(answers=unseen)
    assert (list(found.signs), found.size_mm, hidden.not_seen_reason) == (["GAP_JOINT"], Decimal(35), "locker full")
    assert Entry.objects.count() == 2
    assert EntryPhoto.objects.get(entry=found).sha256 == Photo.objects.get().sha256
