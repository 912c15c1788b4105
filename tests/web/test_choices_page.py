"""Ways to choose from on the office's page and on the decider's, in a browser without scripts."""

from __future__ import annotations

import os
import re

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, expect
from pytest_django.live_server_helper import LiveServer

from tests.factories.yard import PASSWORD
from tests.web.screens import Scheme, screen
from tests.workshop.choices import TITLE, Chosen, a_choice
from workshop.models import Job, OptionGroup, OwnerLink, Quote
from workshop.services.links import link_token


def signed_in(chosen: Chosen) -> Client:
    client = Client()
    assert client.login(username=chosen.spring.manager.user.username, password=PASSWORD)
    return client


@pytest.mark.django_db
def test_the_office_offers_another_way_says_a_need_and_draws_up_an_addendum() -> None:
    chosen = a_choice(name="Sea Pink")
    client, proper, coats = signed_in(chosen), chosen.jobs["proper"], chosen.jobs["coats"]
    quote = chosen.draft("proper", "coats")
    way = {
        "job": proper.pk, "title": "Seal it", "treatment": "REBED_SEALANT", "means": "It holds.",
        "proper_by": "2027-10-15", "choice": "Now or later",
    }  # fmt: skip
    assert client.post(reverse("web:quote-way", args=[quote.pk]), way | {"means": ""}).status_code == 422
    assert Job.objects.filter(alternative_to=proper, title="Seal it").count() == 0
    assert client.post(reverse("web:quote-way", args=[quote.pk]), way).status_code == 302
    other = Job.objects.get(title="Seal it")
    group = OptionGroup.objects.get()
    assert {line.job_id for line in group.lines.all()} == {proper.pk, other.pk}
    page = client.get(reverse("web:quote", args=[quote.pk])).content.decode()
    assert "Now or later" in page
    assert "With the ways that are advised, 2 jobs" in page
    need = {"job": coats.pk, "needed": proper.pk}
    assert client.post(reverse("web:quote-need", args=[quote.pk]), need | {"how": "drop"}).status_code == 302
    assert not coats.needs.exists()
    assert client.post(reverse("web:quote-need", args=[quote.pk]), need).status_code == 302
    assert coats.needs.get().needed == proper
    assert client.post(reverse("web:quote-need", args=[quote.pk]), need | {"job": "9" * 40}).status_code == 422
    assert client.post(reverse("web:quote-choice-undo", args=[quote.pk, group.pk])).status_code == 302
    again = {"title": TITLE, "ways": [proper.pk, other.pk], "recommended": other.pk}
    assert client.post(reverse("web:quote-choice", args=[quote.pk]), again).status_code == 302
    assert quote.lines.get(recommended=True).job == other
    # agreed, and more is found
    agreed = a_choice()
    agreed.sent("proper", "hold")
    agreed.say("proper", "approve")
    client, address = signed_in(agreed), reverse("web:quote-addendum", args=[agreed.quote.pk])
    answer = client.post(address, {"jobs": [agreed.jobs["beside"].pk]})
    added = Quote.objects.get(adds_to=agreed.quote)
    assert answer["Location"] == reverse("web:quote", args=[added.pk])
    assert f"Quote {agreed.quote.number}" in client.get(answer["Location"]).content.decode()


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_the_decider_chooses_a_way_and_reads_what_goes_along(browser: Browser, live_server: LiveServer) -> None:
    chosen = a_choice(severity=1, name="Sea Pink")
    quote = chosen.sent()
    address = reverse("web:owner-quote", args=[link_token(OwnerLink.objects.get(quote=quote))])
    with screen(browser, live_server.url, "phone", policy=False) as window:
        page = window.open(address)
        window.open_all()
        schemes: tuple[Scheme, ...] = ("light", "dark")
        for scheme in schemes:
            window.look("phone", scheme)
            assert window.violations() == [], scheme
            assert not window.overflows()
        assert window.small_targets() == []
        if folder := os.environ.get("FAYING_SHOTS"):
            window.look("phone")
            page.screenshot(path=f"{folder}/choice.png", full_page=True)
    with screen(browser, live_server.url, "phone", scripts=False, touch=True) as phone:
        page = phone.open(address)
        choice = page.get_by_role("region", name=TITLE)
        expect(choice).to_contain_text("2 ways, and you choose one at most")
        expect(choice).to_contain_text("the proper repair is then due by 15 October 2027")
        net = page.locator("#together .total td").inner_text()
        hold = choice.get_by_role("listitem").filter(has_text="Way 2 of 2")
        expect(hold).to_contain_text("These can't be done then, and are left out:")
        hold.get_by_role("button", name="Choose this way").tap()
        expect(page).to_have_url(re.compile("#question-"))
        expect(page.get_by_role("region", name=TITLE)).to_contain_text("You chose “Mast step: seal and hold")
        assert chosen.words() == {"proper": "not_chosen", "hold": "approve", "coats": "not_chosen"}
        assert page.locator("#together .total td").inner_text() != net
        page.get_by_role("region", name="Toerail").get_by_role("button", name="Decline").tap()
        together = page.get_by_role("region", name="All together")
        expect(together).to_contain_text("1 approved, 1 declined, 2 not chosen")
    quote.refresh_from_db()
    assert quote.state == Quote.State.DECIDED
