"""Every list of the office: narrowed, sorted and paged by its address, and taken out as a spreadsheet just so."""

from __future__ import annotations

import importlib
import re
from datetime import date, timedelta
from html import unescape
from typing import Any, NamedTuple

import pytest

from inspections.models import Overruling
from tests.factories import (
    BoatFactory,
    ComponentFactory,
    MemberFactory,
    OverrulingFactory,
    SetAsideFactory,
    SpotFactory,
    TechnicianFactory,
)
from tests.factories.inspections import AssessmentFactory, FindingFactory
from tests.queries import assert_same_queries
from tests.web.conftest import NOW
from tests.web.letters import a_letter
from tests.web.visitor import Visitor
from workshop.services.calendar_feeds import feed_issue, feed_revoke
from workshop.services.links import link_revoke
from yard.models import Boat, Component, DeviceToken, Mail, Member, OutboxRow, Yard
from yard.safe_cells import plain_cell

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


class List(NamedTuple):
    """A list: where it is, the column that names its rows, the bound of its pages, and what it shows unasked."""

    column: str
    a_page: str
    unasked: list[str]


LISTS = {
    "/people/": List("name", "people.PEOPLE_A_PAGE", ["=Ada", "Runa"]),
    "/boats/": List("boat", "boats.LINES_A_PAGE", ["=Anna", "Terna"]),
    "/findings/set-aside/": List("boat", "set_aside.LINES_A_PAGE", ["=Anna", "Terna"]),
    "/tablets/": List("tablet", "tablets.TABLETS_A_PAGE", ["phone", "=one"]),
    "/outbox/": List("what", "outbox.ROWS_A_PAGE", ["Send a mail", "Judge what was recorded"]),
    "/due-back/calendars/": List("boat", "due_back_calendars.FEEDS_A_PAGE", ["all boats", "=Anna"]),
    "/overrulings/": List("boat", "overrulings.LINES_A_PAGE", ["Terna", "=Anna"]),
    "/parts/": List("part", "parts_list.LINES_A_PAGE", ["=Anna stem", "Terna stem"]),
    "/spots/": List("spot", "spots_list.LINES_A_PAGE", ["=Anna heel", "Terna heel"]),
}
NARROWED = [
    ("/people/", {"stay": "gone"}, ["Quinn"]),
    ("/people/", {"stay": "all", "order": "role"}, ["Runa", "=Ada", "Quinn"]),
    ("/people/", {"role": "technician"}, ["=Ada"]),
    ("/people/", {"text": "ADA@harbour"}, ["=Ada"]),
    ("/people/", {"factor": "on"}, []),
    ("/people/", {"factor": "off", "order": "silent"}, ["=Ada", "Runa"]),
    ("/boats/", {"build": "clinker"}, ["Terna"]),
    ("/boats/", {"order": "longest"}, ["Terna", "=Anna"]),
    ("/findings/set-aside/", {"text": "black heel"}, ["Terna"]),
    ("/findings/set-aside/", {"show": "settled"}, ["=Anna"]),
    ("/findings/set-aside/", {"order": "newest"}, ["Terna", "=Anna"]),
    ("/tablets/", {"state": "out"}, ["lost"]),
    ("/tablets/", {"state": "all", "order": "name"}, ["=one", "lost", "phone"]),
    ("/tablets/", {"kind": "own"}, ["phone"]),
    ("/tablets/", {"order": "silent"}, ["phone", "=one"]),
    ("/outbox/", {"order": "oldest"}, ["Judge what was recorded", "Send a mail"]),
    ("/outbox/", {"task": "yard.send_mail"}, ["Send a mail"]),
    ("/outbox/", {"text": "no room"}, ["Judge what was recorded"]),
    ("/outbox/", {"show": "trying"}, ["Make the small sizes of a photo"]),
    ("/outbox/", {"show": "refused"}, ["=Your quote"]),
    ("/due-back/calendars/", {"state": "revoked"}, ["Terna"]),
    ("/due-back/calendars/", {"text": "anna"}, ["=Anna"]),
    ("/due-back/calendars/", {"order": "newest", "state": "all"}, ["=Anna", "all boats", "Terna"]),
    ("/overrulings/", {"direction": "later"}, ["Terna"]),
    ("/overrulings/", {"direction": "sooner"}, []),
    ("/overrulings/", {"order": "boat"}, ["=Anna", "Terna"]),
    ("/overrulings/", {"text": "own eyes"}, ["=Anna"]),
    ("/overrulings/", {"rules": "1", "condition": "way_in_open"}, ["Terna", "=Anna"]),
    ("/parts/", {"text": "terna STEM"}, ["Terna stem"]),
    ("/parts/", {"stay": "off"}, []),
    ("/parts/", {"stay": "all", "order": "spots"}, ["=Anna stem", "Terna stem"]),
    ("/spots/", {"stands": "quiet"}, []),
    ("/spots/", {"stands": "open", "order": "newest"}, ["=Anna heel", "Terna heel"]),
    ("/spots/", {"text": "anna"}, ["=Anna heel"]),
]
NONSENSE = dict.fromkeys(
    ("stay", "role", "factor", "build", "decider", "show", "boat", "author", "state", "kind", "person", "task",
     "by", "direction", "condition", "rules", "stands", "part", "order"),
    "no such thing",
) | {"text": "\0", "page": "x"}  # fmt: skip


@pytest.fixture
def manager() -> Member:
    return a_yard()


def a_yard() -> Member:
    """A manager in whose yard every list has something, some of it named like a formula."""
    runa: Member = MemberFactory.create(name="Runa")
    yard = runa.yard
    type(runa.user).objects.filter(pk=runa.user_id).update(last_login=NOW)
    ada = TechnicianFactory.create(yard=yard, name="=Ada", user__email="ada@harbour.example")
    TechnicianFactory.create(yard=yard, name="Quinn", left_on=date(2026, 9, 1))
    anna = BoatFactory.create(yard=yard, name="=Anna", loa_mm=7000, build="carvel")
    terna = BoatFactory.create(yard=yard, name="Terna", loa_mm=9000, build="clinker")
    _set_aside(anna, terna, ada)
    _tablets(yard, runa, ada)
    _outbox(yard)
    feed_revoke(feed=feed_issue(by=runa, boat=terna, at=NOW - timedelta(3)), at=NOW)
    feed_issue(by=runa, at=NOW - timedelta(2))
    feed_issue(by=runa, boat=anna, at=NOW - timedelta(1))
    for days, boat, priority, reason in (
        (2, anna, "this_season", "=my own eyes"),
        (1, terna, "watch", "It is dry."),
    ):
        overruled(boat, runa, priority=priority, reason=reason, made_at=NOW - timedelta(days))
    return runa


def overruled(boat: Boat, by: Member, **said: Any) -> Overruling:
    stem = ComponentFactory.create(boat=boat, name=f"{boat.name} stem")
    spot = SpotFactory.create(component=stem, name=f"{boat.name} heel")
    judged = AssessmentFactory.create(finding=FindingFactory.create(spot=spot, entry__author=by))
    made: Overruling = OverrulingFactory.create(finding=judged.finding, assessment=judged, by=by, **said)
    return made


def _set_aside(anna: Boat, terna: Boat, ada: Member) -> None:
    SetAsideFactory.create(boat=anna, author=ada, received_at=NOW - timedelta(2))
    sent = {"answer": "finding", "note": "black at the heel", "signs": ["=SOFT"]}
    SetAsideFactory.create(boat=terna, author=ada, sent=sent, received_at=NOW - timedelta(1))
    settled = {"settled_at": NOW, "settled_by": ada, "settled_how": "Sent twice"}
    SetAsideFactory.create(boat=anna, author=ada, received_at=NOW - timedelta(3), **settled)


def _tablets(yard: Yard, runa: Member, ada: Member) -> None:
    tablets: list[tuple[str, Member, dict[str, Any]]] = [
        ("=one", runa, {"shared": True, "last_used_at": NOW}),
        ("phone", ada, {}),
        ("lost", runa, {"revoked_at": NOW}),
    ]
    for number, (name, member, more) in enumerate(tablets):
        at = NOW + timedelta(minutes=number)
        DeviceToken.objects.create(
            yard=yard,
            member=member,
            device_name=name,
            digest=f"{yard.pk:03}{number}".zfill(64),
            created_at=at,
            **more,
        )


def _outbox(yard: Yard) -> None:
    common = {"yard": yard, "created_at": NOW, "not_before": NOW, "attempts": 6}
    work: list[tuple[str, dict[str, Any]]] = [
        ("inspections.assess", {"failed_at": NOW - timedelta(2), "last_error": "=no room"}),
        ("yard.send_mail", {"failed_at": NOW - timedelta(1), "last_error": "refused"}),
        ("inspections.prepare_photo", {"last_error": "Timeout"}),
    ]
    for number, (task, more) in enumerate(work):
        OutboxRow.objects.create(task=task, key=f"{yard.pk}:{number}", **common, **more)
    about = {"key": "k", "message_id": f"<{yard.pk}@skerry.example>", "to_address": "owner@harbour.example"}
    Mail.objects.create(
        yard=yard, **about, subject="=Your quote", text="…", state="refused", refusal="no mailbox", created_at=NOW
    )


def listed(visitor: Visitor, address: str, column: str, **query: str) -> list[str]:
    """What the spreadsheet names in its order, held against what the page shows in its own."""
    names = [plain_cell(row[column]) for row in visitor.sheet(f"{address}list.csv", **query)]
    page = unescape(visitor.page(address, **query))
    if not names:
        assert "fits that" in page
        return []
    below = page.split("As a spreadsheet")[1]
    found = re.findall("|".join(map(re.escape, sorted(set(names), key=len, reverse=True))), below, re.IGNORECASE)
    assert list(dict.fromkeys(name.casefold() for name in found)) == [name.casefold() for name in names]
    return names


def test_what_the_address_asks_for_is_on_the_page_and_in_the_spreadsheet(manager: Member) -> None:
    a_yard()  # another one, of which nothing is seen
    visitor = Visitor(manager)
    for address, query, names in [*((address, {}, one.unasked) for address, one in LISTS.items()), *NARROWED]:
        assert listed(visitor, address, LISTS[address].column, **query) == names, (address, query)


@pytest.mark.parametrize("address", LISTS)
def test_nonsense_narrows_nothing_and_no_cell_is_a_formula(manager: Member, address: str) -> None:
    visitor = Visitor(manager)
    assert listed(visitor, address, LISTS[address].column, **NONSENSE) == LISTS[address].unasked
    show = {"show": "refused"} if address == "/outbox/" else {}
    rows = visitor.sheet(f"{address}list.csv", **show)
    cells = [cell for row in rows for cell in row.values()]
    assert not any(cell.lstrip().startswith(("=", "+", "-", "@")) for cell in cells)
    assert any(cell.startswith("'=") for cell in cells)


@pytest.mark.parametrize("address", LISTS)
def test_it_goes_on_over_pages_that_keep_what_was_asked(
    manager: Member, address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    module, bound = LISTS[address].a_page.split(".")
    monkeypatch.setattr(importlib.import_module(f"web.office.{module}"), bound, 1)
    visitor = Visitor(manager)
    first = visitor.page(address, order="no such thing")
    assert "Page 1 of 2." in first
    assert re.search(rf'href="({address})?\?order=no\+such\+thing&amp;page=2" rel="next"', first)
    assert "Page 2 of 2." in visitor.page(address, page="2")
    # all pages of it
    assert len(visitor.sheet(f"{address}list.csv", page="2")) == 2


def test_the_answer_to_a_form_turns_the_pages_of_the_list(manager: Member, monkeypatch: pytest.MonkeyPatch) -> None:
    for bound in ("tablets.TABLETS_A_PAGE", "people.PEOPLE_A_PAGE", "due_back_calendars.FEEDS_A_PAGE"):
        monkeypatch.setattr(f"web.office.{bound}", 1)
    visitor = Visitor(manager)
    made = visitor.post("/tablets/code/", device_name="Tablet 3").content.decode()
    assert 'href="/tablets/?page=2"' in made
    assert 'href="/people/?page=2"' in visitor.refused("/people/invite/", email="nobody", role="manager")
    assert 'href="/due-back/calendars/?page=2"' in visitor.refused("/due-back/calendars/make/", boat="")


def test_a_form_on_a_list_leads_back_to_it_as_it_was(manager: Member) -> None:
    visitor, asked = Visitor(manager), "kind=shared&order=name"
    page = visitor.page(f"/tablets/?{asked}")
    (address,) = re.findall(r'action="(/tablets/\d+/revoke/[^"]*)"', page)
    assert visitor.post(unescape(address))["Location"] == f"/tablets/?{asked}"
    row = OutboxRow.objects.get(task="yard.send_mail")
    assert visitor.post(f"/outbox/{row.pk}/again/")["Location"] == "/outbox/"


def test_the_spreadsheets_ask_as_often_for_many_rows_as_for_few(manager: Member) -> None:
    made = 0

    def grow(rows: int) -> None:
        nonlocal made
        while made < rows:
            made += 1
            boat = BoatFactory.create(yard=manager.yard)
            hand = TechnicianFactory.create(yard=manager.yard)
            about = {"yard": manager.yard, "member": hand, "device_name": "t", "created_at": NOW}
            DeviceToken.objects.create(digest=f"9{made}".zfill(64), **about)
            SetAsideFactory.create(boat=boat, author=hand)
            feed_issue(by=manager, boat=boat, at=NOW)
            overruled(boat, manager, priority="watch", reason="Dry.", made_at=NOW)

    visitor = Visitor(manager)
    assert_same_queries(
        lambda: (
            [visitor.sheet(f"{address}list.csv") for address in LISTS]
            + [visitor.page(address) for address in LISTS if address != "/findings/set-aside/"]
        ),
        grow,
        to=(2, 12),
    )


def test_owners_links_are_narrowed_sorted_and_taken_out_without_their_keys() -> None:
    letter = a_letter()
    Boat.objects.filter(pk=letter.spring.boat.pk).update(name="=Sea Pink")
    visitor, address = Visitor(letter.spring.manager), "/people/links/"
    owner = letter.spring.boat.decider.name
    for query, there in (
        ({}, True),
        ({"text": owner}, True),
        ({"text": "sea pink", "order": "opened"}, True),
        ({"boat": str(letter.spring.boat.pk), "state": ""}, True),
        ({"text": "ringtail"}, False),
        ({"state": "revoked"}, False),
        (NONSENSE, True),
    ):
        assert listed(visitor, address, "boat", **query) == (["=Sea Pink"] if there else []), query
    (row,) = visitor.sheet(f"{address}list.csv")
    assert (row["boat"], row["sent_to"], row["times_opened"]) == ("'=Sea Pink", owner, "0")
    assert letter.token not in str(row)
    link_revoke(link=letter.link, at=NOW)
    assert visitor.sheet(f"{address}list.csv") == []
    assert len(visitor.sheet(f"{address}list.csv", state="revoked")) == 1
    assert Visitor(MemberFactory.create()).sheet(f"{address}list.csv", state="") == []


def test_parts_and_spots_are_those_of_a_boat_and_spots_those_of_a_part(manager: Member) -> None:
    hand = Visitor(TechnicianFactory.create(yard=manager.yard))
    anna, part = Boat.objects.get(name="=Anna"), Component.objects.get(boat__name="Terna")
    assert "/parts/?stay=all&amp;boat=" in hand.page(f"/boats/{anna.pk}/")
    for address, name in (("/parts/", "=Anna stem"), ("/spots/", "=Anna heel")):
        assert listed(hand, address, LISTS[address].column, boat=str(anna.pk)) == [name]
    of_part = {"boat": str(part.boat_id), "part": str(part.pk)}
    (row,) = hand.sheet("/spots/list.csv", **of_part)
    assert (row["spot"], row["state"], row["priority"]) == ("Terna heel", "open", "watch")
    # a part of another boat narrows nothing
    assert [row["spot"] for row in hand.sheet("/spots/list.csv", boat=str(anna.pk), part=str(part.pk))] == [
        "'=Anna heel"
    ]


def test_the_boats_are_for_whoever_may_read_them(manager: Member) -> None:
    hand = Visitor(TechnicianFactory.create(yard=manager.yard))
    rows = hand.sheet("/boats/list.csv", text="anna")
    assert [(row["boat"], row["length_mm"], row["build"]) for row in rows] == [("'=Anna", "7000", "carvel")]
    assert hand.get("/people/list.csv").status_code == 403
