"""Boats, owners and parts, entered and changed on the office's pages."""

from __future__ import annotations

import csv
from io import StringIO
from typing import Any

import pytest

from tests.factories import BoatFactory, ComponentClassFactory, ComponentFactory, MemberFactory, OwnerFactory
from tests.web.visitor import Visitor
from yard.models import Boat, Component, Member, Owner
from yard.services.fleet import MOST_OF_A_KIND

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager() -> Member:
    made: Member = MemberFactory.create(name="Runa Holt")
    return made


@pytest.fixture
def office(manager: Member) -> Visitor:
    return Visitor(manager)


def hull(**more: Any) -> dict[str, Any]:
    return {"name": "Sea Pink", "build": "carvel", "loa_mm": "8,40", "beam_mm": "2.6", "year": "1936", **more}


def test_a_boat_is_taken_in_with_a_new_owner_and_leads_on_to_her_parts(office: Visitor) -> None:
    page = office.after("/boats/new/", **hull(owner_name="Ines Marsk", owner_email="ines@harbour.example"))
    boat = Boat.objects.get()
    assert (boat.name, boat.loa_mm, boat.beam_mm, boat.year) == ("Sea Pink", 8400, 2600, 1936)
    assert boat.decider_owner == Owner.objects.get() == boat.owners.get()
    assert "Parts of Sea Pink" in page


def test_she_may_have_an_owner_who_is_entered_or_be_the_yards_own(office: Visitor, manager: Member) -> None:
    owner = OwnerFactory.create(yard=manager.yard)
    office.after("/boats/new/", **hull(owner=owner.pk))
    office.after("/boats/new/", **hull(name="Workboat", decider=manager.pk))
    assert Boat.objects.get(name="Sea Pink").decider_owner == owner
    own = Boat.objects.get(name="Workboat")
    assert (own.decider_member, own.owners.count()) == (manager, 0)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({}, "New owner&#x27;s name"),
        ({"owner_name": "Ines", "owner_email": "no address"}, "New owner&#x27;s e-mail"),
        ({"loa_mm": "long", "owner_name": "I", "owner_email": "i@harbour.example"}, "is no figure"),
        ({"loa_mm": "1200", "owner_name": "I", "owner_email": "i@harbour.example"}, "give 1.5 to 120 m."),
        ({"loa_mm": "2", "owner_name": "I", "owner_email": "i@harbour.example"}, "is not less than the length"),
        ({"owner": "4711"}, "Owner"),
    ],
)
def test_what_is_refused_stands_at_its_field_and_nothing_is_entered(
    office: Visitor, given: dict[str, Any], said: str
) -> None:
    page = office.refused("/boats/new/", **hull(**given))
    assert said in page
    assert 'value="Sea Pink"' in page
    assert not Boat.objects.exists()
    assert not Owner.objects.exists()


def test_another_yards_owner_or_manager_is_no_choice(office: Visitor) -> None:
    office.refused("/boats/new/", **hull(owner=OwnerFactory.create().pk))
    office.refused("/boats/new/", **hull(decider=MemberFactory.create().pk))
    assert not Boat.objects.exists()


def test_what_is_known_of_her_is_changed(office: Visitor, manager: Member) -> None:
    boat = BoatFactory.create(yard=manager.yard)
    new = OwnerFactory.create(yard=manager.yard)
    address = f"/boats/{boat.pk}/change/"
    assert boat.name in office.page(address)
    given = hull(name="Sea Holly", owners=[new.pk], decider=f"owner-{new.pk}", left_on="2027-05-01")
    office.after(address, **given)
    boat.refresh_from_db()
    assert (boat.name, boat.decider_owner, str(boat.left_on)) == ("Sea Holly", new, "2027-05-01")
    assert "Sea Holly" in office.refused(address, **{**given, "owners": []})


def test_parts_are_ticked_and_several_places_make_several(office: Visitor, manager: Member) -> None:
    boat = BoatFactory.create(yard=manager.yard)
    hatch = ComponentClassFactory.create(yard=manager.yard, name="Hatch", fits=["any_hull"])
    frame = ComponentClassFactory.create(yard=manager.yard, name="Window frame", fits=["any_hull"])
    address = f"/boats/{boat.pk}/parts/"
    assert "Parts: none is ticked; tick what she has." in office.refused(address)
    given = {
        f"part-{hatch.pk}": "on",
        f"part-{hatch.pk}-name": "Fore hatch",
        f"part-{frame.pk}": "on",
        f"part-{frame.pk}-name": "",
        f"part-{frame.pk}-where": "port side; starboard side;",
    }
    assert "3 parts are entered." in office.after(address, **given)
    parts = [("Fore hatch", ""), ("Window frame", "port side"), ("Window frame", "starboard side")]
    assert sorted(Component.objects.filter(boat=boat).values_list("name", "position")) == parts
    # the same again: said at its line, and nothing of the rest is entered
    again = {**given, f"part-{hatch.pk}-name": "Aft hatch"}
    assert "She has Window frame, port side" in office.refused(address, **again)
    assert Component.objects.filter(boat=boat).count() == 3
    # nobody enters hundreds by a slip: said at the line, and what was typed stays
    places = ";".join(f"frame {number}" for number in range(MOST_OF_A_KIND + 1))
    page = office.refused(address, **{**given, f"part-{frame.pk}-where": places})
    assert f"Window frame: has {MOST_OF_A_KIND + 1} places; give at most {MOST_OF_A_KIND} in one go." in page
    assert places in page
    assert Component.objects.filter(boat=boat).count() == 3


def test_a_part_is_changed_and_noted_as_taken_off(office: Visitor, manager: Member) -> None:
    part = ComponentFactory.create(boat=BoatFactory.create(yard=manager.yard), name="Hatch")
    office.after(f"/parts/{part.pk}/", name="Fore hatch", position="foredeck", species="teak", finish="varnish")
    part.refresh_from_db()
    assert (part.name, part.species) == ("Fore hatch", "teak")
    assert "is empty" in office.refused(f"/parts/{part.pk}/", name="")
    assert "noted as taken off" in office.after(f"/parts/{part.pk}/remove/")


def test_owners_are_listed_narrowed_exported_and_changed(office: Visitor, manager: Member) -> None:
    ines = OwnerFactory.create(yard=manager.yard, name="=Ines", email="ines@harbour.example")
    BoatFactory.create(yard=manager.yard, name="Sea Pink", decider_owner=ines).owners.add(ines)
    OwnerFactory.create(yard=manager.yard, name="Bjarke")
    OwnerFactory.create(name="Somebody elsewhere")
    assert "2 owners." in office.page("/owners/")
    assert "English (United Kingdom)" in office.page("/owners/")
    assert "1 owner." in office.page("/owners/", text="pink ines")
    assert "Nobody fits that" in office.page("/owners/", text="elsewhere")
    rows = list(csv.DictReader(StringIO(office.get("/owners/owners.csv", order="newest").content.decode())))
    assert [row["name"] for row in rows] == ["Bjarke", "'=Ines"]
    assert rows[1]["boats"] == "Sea Pink"
    given = {"name": "Ines Marsk", "email": "ines@harbour.example", "phone": "", "locale": "de-AT"}
    office.after(f"/owners/{ines.pk}/", **given)
    ines.refresh_from_db()
    assert (ines.name, ines.locale) == ("Ines Marsk", "de_AT")
    assert "is not a known language" in office.refused(f"/owners/{ines.pk}/", **{**given, "locale": "qq"})


def test_two_who_change_different_fields_at_once_don_t_undo_each_other(office: Visitor, manager: Member) -> None:
    ines = OwnerFactory.create(yard=manager.yard, name="Ines", email="ines@harbour.example", phone="")
    boat = BoatFactory.create(yard=manager.yard, name="Sea Pink", material="larch", decider_owner=ines)
    boat.owners.add(ines)

    def form_of(address: str) -> dict[str, Any]:
        """What a browser would send back of the form as it is shown."""
        shown = office.get(address).context["form"]
        fields = {field.html_name: field.value() for field in shown}
        fields |= {field.html_initial_name: field.value() for field in shown}
        return {name: "" if value is None else value for name, value in fields.items()}

    owner_page, boat_page = f"/owners/{ines.pk}/", f"/boats/{boat.pk}/change/"
    assert 'name="initial-phone"' in office.page(owner_page)
    owner_shown, boat_shown = form_of(owner_page), form_of(boat_page)
    boat_shown["owners"] = boat_shown["initial-owners"] = [ines.pk]
    office.after(owner_page, **{**owner_shown, "phone": "+45 12"})
    office.after(owner_page, **{**owner_shown, "name": "Ines Marsk"})
    ines.refresh_from_db()
    assert (ines.name, ines.phone) == ("Ines Marsk", "+45 12")
    office.after(boat_page, **{**boat_shown, "material": "larch on oak"})
    office.after(boat_page, **{**boat_shown, "loa_mm": "9.50"})
    boat.refresh_from_db()
    assert (boat.material, boat.loa_mm) == ("larch on oak", 9500)
