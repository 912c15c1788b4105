"""One box: boats, owners, parts, tags, and what was written of findings."""

from __future__ import annotations

import re

import pytest

from inspections.selectors.searching import Found, found_for, words_of
from tests.factories import (
    BoatFactory,
    ComponentFactory,
    MemberFactory,
    OwnerFactory,
    SpotFactory,
    TechnicianFactory,
)
from tests.factories.inspections import FindingFactory, SignFactory
from tests.queries import queries_of
from tests.web.visitor import Visitor
from yard.models import Boat, Spot
from yard.tag_codes import tag_display

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

NOTE = "Black at the heel; Schäftung offen, 100% wet. Can't be left."


@pytest.fixture
def spot() -> Spot:
    owner = OwnerFactory.create(name="Ines Marsk", email="ines@harbour.example")
    boat = BoatFactory.create(yard=owner.yard, name="Sea Pink", decider_owner=owner)
    boat.owners.add(owner)
    step = ComponentFactory.create(boat=boat, name="Mast step")
    made: Spot = SpotFactory.create(component=step, name="Aft face")
    SignFactory.create(yard=owner.yard, code="SOFT", name="Soft under the spike")
    FindingFactory.create(spot=made, entry__note=NOTE, entry__signs=["SOFT"])
    return made


def looked_for(spot: Spot, text: str, *, with_owners: bool = True) -> Found:
    found = found_for(spot.yard, text, with_owners=with_owners)
    assert found is not None
    return found


@pytest.mark.parametrize(
    "text",
    ["black heel", "HEEL  mast", "schäftung", "spike", "sea pink soft aft", "100%", "wet & !left | <->", "can't"],
)
def test_a_finding_is_found_by_what_was_written_and_seen_and_where(spot: Spot, text: str) -> None:
    assert looked_for(spot, text).findings.in_all == 1


@pytest.mark.parametrize("text", ["black keel", "heel sound", "SOFT UNDER a keel"])
def test_every_word_must_fit(spot: Spot, text: str) -> None:
    assert looked_for(spot, text).nothing


def test_names_are_found_by_any_part_of_them(spot: Spot) -> None:
    assert [boat.name for boat in looked_for(spot, "pink").boats.rows] == ["Sea Pink"]
    assert [part.name for part in looked_for(spot, "step sea").components.rows] == ["Mast step"]
    assert [one.name for one in looked_for(spot, "face").spots.rows] == ["Aft face"]
    by_owner = looked_for(spot, "marsk")
    assert [owner.name for owner in by_owner.owners.rows] == ["Ines Marsk"]
    assert [boat.name for boat in by_owner.boats.rows] == ["Sea Pink"]
    # her boat's name alone is no reason to list every part of her
    assert looked_for(spot, "pink").components.in_all == 0


def test_owners_are_not_found_by_whom_they_are_no_business_of(spot: Spot) -> None:
    assert looked_for(spot, "marsk", with_owners=False).nothing
    technician = Visitor(TechnicianFactory.create(yard=spot.yard))
    assert "ines@harbour.example" not in technician.page("/search/", q="ines")
    assert "ines@harbour.example" in Visitor(MemberFactory.create(yard=spot.yard)).page("/search/", q="ines")


def test_a_sticker_leads_to_its_spot_however_it_is_typed(spot: Spot) -> None:
    for typed in (spot.tag, tag_display(spot.tag).lower()):
        assert looked_for(spot, typed).tagged == spot


def test_nothing_of_another_yard_is_found(spot: Spot) -> None:
    elsewhere = BoatFactory.create(name="Sea Holly").yard
    for text in ("pink", "black", "mast", "aft", "marsk", spot.tag):
        found = found_for(elsewhere, text, with_owners=True)
        assert found is not None
        assert found.nothing, text


def test_words_are_letters_and_figures_each_once_and_not_too_many() -> None:
    assert words_of("  Mast-step, MAST? ") == ["mast", "step"]
    assert words_of("!&|") == []
    assert len(words_of(" ".join(f"w{number}" for number in range(40)))) == 8


def test_the_page_says_what_to_do_and_asks_no_more_for_more(spot: Spot, monkeypatch: pytest.MonkeyPatch) -> None:
    visitor = Visitor(MemberFactory.create(yard=spot.yard))
    assert "Several words narrow it" in visitor.page("/search/")
    assert "Fewer words find more" in visitor.page("/search/", q="zebrano \0")
    page = visitor.page("/search/", q="sea")
    assert f"/findings/{spot.findings.get().pk}/" in page
    few = len(queries_of(lambda: visitor.page("/search/", q="sea")))
    for number in range(30):
        boat = BoatFactory.create(
            yard=spot.yard, name=f"Sea {number}", decider_owner=OwnerFactory.create(yard=spot.yard)
        )
        FindingFactory.create(
            spot=SpotFactory.create(component=ComponentFactory.create(boat=boat, name="Stem at sea"))
        )
    more = queries_of(lambda: visitor.page("/search/", q="sea"))
    assert len(more) == few
    assert "And 6 more: add a word" in visitor.page("/search/", q="sea")
    # all of a kind, page by page, and as a spreadsheet
    assert "kind=boats" in visitor.page("/search/", q="sea")
    monkeypatch.setattr("web.office.search.ROWS_A_PAGE", 30)
    rest = visitor.page("/search/", q="sea", kind="boats")
    assert "And " not in rest
    assert len(re.findall(r'<li><a href="/boats/\d+/">', rest)) == 30
    assert (
        len(re.findall(r'<li><a href="/boats/\d+/">', visitor.page("/search/", q="sea", kind="boats", page="2")))
        == 1
    )
    assert "Findings <small>" not in rest
    rows = visitor.sheet("/search/list.csv", q="sea", kind="boats")
    assert len(rows) == 31
    assert {row["what"] for row in visitor.sheet("/search/list.csv", q="sea")} == {"boat", "part", "finding"}
    assert "Nothing of this kind fits" in visitor.page("/search/", q="sea", kind="owners")
    assert visitor.sheet("/search/list.csv", q="!") == []


def test_what_is_found_is_no_formula_and_owners_are_for_managers(spot: Spot) -> None:
    Boat.objects.filter(pk=spot.component.boat_id).update(name="=Sea Pink")
    manager = Visitor(MemberFactory.create(yard=spot.yard))
    rows = manager.sheet("/search/list.csv", q="marsk")
    assert [(row["what"], row["boat"], row["name"]) for row in rows] == [
        ("boat", "'=Sea Pink", "'=Sea Pink"),
        ("owner", "'=Sea Pink", "Ines Marsk"),
    ]
    assert Visitor(TechnicianFactory.create(yard=spot.yard)).sheet("/search/list.csv", q="marsk") == []
    assert Visitor(MemberFactory.create()).sheet("/search/list.csv", q="marsk") == []
