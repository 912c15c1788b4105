"""The list of quotes: whose turn it is, since when, and what it comes to."""

from __future__ import annotations

import csv
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
import time_machine

from inspections.models import Inspection
from tests.factories import BoatFactory, MemberFactory
from tests.queries import assert_same_queries
from tests.web.conftest import NOW
from tests.web.letters import Letter, a_letter
from tests.web.visitor import Visitor
from tests.workshop.spring import AT, Spring
from workshop.models import Quote
from workshop.services.quotes import quote_document, quote_prepare, quote_withdraw
from workshop.services.threads import reply_write

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


def beside(spring: Spring, name: str) -> Spring:
    """Another boat of the same yard, with a finding."""
    boat = BoatFactory.create(yard=spring.yard, name=name)
    inspection = Inspection.objects.create(
        yard=spring.yard, boat=boat, season_year=2027, launch_on=date(2027, 5, 1), opened_at=AT
    )
    made = replace(spring, boat=boat, inspection=inspection)
    made.finding(made.component("Tiller"), "SEAM")
    return made


def listed(letter: Letter, query: str = "") -> list[dict[str, str]]:
    """What the address asks for, as the spreadsheet has it."""
    answer = Visitor(letter.spring.manager).get(f"/quotes/list.csv{query}")
    return list(csv.DictReader(answer.content.decode().splitlines()))


def test_it_says_whose_turn_it_is_and_since_when() -> None:
    letter = a_letter()
    draft = beside(letter.spring, "Ringtail").draft()
    gone = quote_withdraw(quote=beside(letter.spring, "Grey Wagtail").sent(), at=AT)
    rows = {row["boat"]: row for row in listed(letter)}
    assert [row["number"] for row in listed(letter)] == ["3", "2", "1"]
    told = {boat: (row["state"], row["waits_for"], row["waits_since"]) for boat, row in rows.items()}
    owner = letter.spring.boat.decider.name
    assert told == {
        "Sea Pink": ("sent", owner, "2027-04-06"),
        "Ringtail": ("draft", "us, to send it", "2027-04-06"),
        "Grey Wagtail": ("superseded", "", ""),
    }
    # the amounts are those of what was frozen, and of what would be sent now
    frozen, now = quote_document(letter.quote), quote_prepare(quote=draft, at=NOW).document
    for boat, document in (("Sea Pink", frozen), ("Ringtail", now), ("Grey Wagtail", quote_document(gone))):
        amounts = Decimal(rows[boat]["net"]), Decimal(rows[boat]["gross"])
        assert amounts == (document.totals.net, document.totals.gross)
    page = Visitor(letter.spring.technician).page("/quotes/")
    assert f"€{frozen.totals.gross:,.2f}" in page
    assert "0 of 3 jobs" in page


def test_a_question_waits_for_the_yard_until_it_is_answered_or_the_job_decided() -> None:
    letter = a_letter()

    def turn() -> tuple[str, str, str]:
        row = listed(letter)[0]
        return row["waits_for"], row["decided"], row["questions_unanswered"]

    owner = letter.spring.boat.decider.name
    for place in ("Toerail", "Mast step"):
        letter.answer(place, "ask", question="Can it wait?")
    letter.answer("Window frame", "approve")
    assert turn() == ("us, to answer", "1", "2")
    assert [len(listed(letter, f"?show={show}")) for show in ("yard", "decider")] == [1, 0]
    assert "<strong>2 questions unanswered</strong>" in Visitor(letter.spring.manager).page("/quotes/?show=yard")
    later = NOW + timedelta(days=2)
    reply_write(line=letter.line("Toerail"), text="Yes.", by=letter.spring.manager, at=later)
    assert turn() == ("us, to answer", "1", "1")
    assert "1 question to be answered" in Visitor(letter.spring.manager).page("/season/")
    letter.answer("Mast step", "approve", read="yes")
    assert turn() == (owner, "2", "0")
    assert listed(letter)[0]["waits_since"] == "2027-04-08"
    letter.answer("Toerail", "decline")
    assert turn() == ("", "3", "0")


def test_the_address_narrows_and_sorts_and_what_lapses_soon_is_told() -> None:
    letter = a_letter()
    other = beside(letter.spring, "Ringtail")
    Quote.objects.filter(pk=other.draft().pk).update(valid_until=date(2027, 4, 8))
    assert [row["boat"] for row in listed(letter, "?order=boat")] == ["Ringtail", "Sea Pink"]
    assert [row["boat"] for row in listed(letter, f"?boat={other.boat.pk}")] == ["Ringtail"]
    assert [row["boat"] for row in listed(letter, "?state=sent&season=2027")] == ["Sea Pink"]
    assert listed(letter, "?show=soon") == []  # a draft lapses for nobody
    with time_machine.travel(NOW.replace(day=20), tick=False):
        assert [row["boat"] for row in listed(letter, "?show=soon&order=waits")] == ["Sea Pink"]
        assert "<strong>lapses within a week</strong>" in Visitor(letter.spring.manager).page("/quotes/?show=soon")
    page = Visitor(letter.spring.manager).page("/quotes/?show=soon&state=draft")
    assert "Nothing fits that." in page
    assert 'href="/quotes/?show=all&amp;state=draft"' in page


def test_an_empty_list_says_what_to_do_first_and_strangers_quotes_stay_theirs() -> None:
    a_letter()
    assert "There is no quote yet." in Visitor(MemberFactory.create()).page("/quotes/")


def test_it_asks_as_often_for_many_quotes_as_for_few() -> None:
    letter = a_letter()
    letter.answer("Toerail", "ask", question="Can it wait?")
    visitor, boats = Visitor(letter.spring.manager), 0

    def grow(most: int) -> None:
        nonlocal boats
        while boats < most:
            boats += 1
            beside(letter.spring, f"Boat {boats} sent").sent()
            beside(letter.spring, f"Boat {boats} draft").draft()

    addresses = ("/quotes/", "/quotes/?show=yard&order=waits", "/quotes/list.csv")
    assert_same_queries(lambda: [visitor.page(address) for address in addresses], grow, to=(1, 5))


def test_a_draft_asks_as_often_for_much_as_for_little() -> None:
    spring = a_letter().spring
    spring.finding(spring.component("Tiller"), "SEAM")
    draft, visitor, found = spring.draft(), Visitor(spring.manager), 0

    def grow(most: int) -> None:
        nonlocal found
        while found < most:
            found += 1
            spring.finding(spring.component(f"Frame {found}"), "SEAM")
            spring.finding(spring.component(f"Plank {found}"), "SEAM", priority="watch")
        spring.propose()

    assert_same_queries(lambda: visitor.page(f"/quotes/{draft.pk}/"), grow, to=(1, 4))
