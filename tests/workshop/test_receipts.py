"""The receipt after deciding: one mail, with each answer, what was approved, and the digest."""

from __future__ import annotations

import re

import pytest

from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import OwnerLink, Quote
from workshop.services.answers import approved_totals
from workshop.services.decisions import AlreadyDecided, decision_make
from workshop.services.links import link_url
from workshop.services.quotes import decider_address
from yard.locale_format import money_text
from yard.models import Mail

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def spring() -> Spring:
    made = a_spring(name="Sea Pink")
    made.finding(made.component("Window frame"), "REBED_SEALANT")
    made.finding(made.component("Mast step"), "SEAM", priority="before_launch", severity=1)
    return made


def say(spring: Spring, quote: Quote, place: str, verdict: str) -> None:
    line = quote.lines.get(job__operations__finding__component__name=place)
    owner = spring.boat.decider_owner
    decision_make(line=line, verdict=verdict, digest=quote.digest, at=AT, owner=owner, read=True)


def receipts() -> list[Mail]:
    return list(Mail.objects.filter(key__startswith="receipt:"))


def test_the_last_answer_has_one_receipt_mailed(spring: Spring) -> None:
    quote = spring.sent()
    say(spring, quote, "Window frame", "approve")
    assert receipts() == []
    say(spring, quote, "Mast step", "decline")
    with pytest.raises(AlreadyDecided):
        say(spring, quote, "Mast step", "decline")
    (mail,) = receipts()
    assert mail.to_address == decider_address(spring.boat.decider)
    assert mail.subject == "Sea Pink: 1 of 2 jobs approved, your receipt"
    totals, link = approved_totals(quote), OwnerLink.objects.get(quote=quote)
    for part in (mail.text, mail.html):
        assert "Approved on 6 April 2027" in part
        assert "Declined on 6 April 2027" in part
        assert "the boat's page says so" in part
        assert money_text(totals.gross, "EUR", "en_GB") in part
        assert quote.digest in part
        assert link_url(link) in part
    assert re.search(r"Mast step[^\n]*\n\s+Declined", mail.text)


def test_who_approves_nothing_is_told_that_nothing_is_begun(spring: Spring) -> None:
    quote = spring.sent()
    for place in ("Window frame", "Mast step"):
        say(spring, quote, place, "decline")
    (mail,) = receipts()
    assert "You approved nothing, so nothing is begun." in mail.text
    assert money_text(approved_totals(quote).gross, "EUR", "en_GB") in mail.text


def test_a_manager_without_a_mail_address_decides_without_a_receipt(spring: Spring) -> None:
    spring.boat.decider_owner, spring.boat.decider_member = None, spring.manager
    spring.boat.save()
    quote = spring.sent()
    spring.manager.user.email = ""
    spring.manager.user.save()
    for line in quote.lines.all():
        decision_make(line=line, verdict="approve", digest=quote.digest, at=AT, member=spring.manager)
    quote.refresh_from_db()
    assert quote.state == Quote.State.DECIDED
    assert receipts() == []
