"""Boats, who decides on them, their parts and the places on these."""

import threading
import uuid
from datetime import date, datetime
from typing import Any

import pytest
from django.db import connection

from tests.conftest import SPRING
from tests.factories import (
    BoatFactory,
    ComponentClassFactory,
    ComponentFactory,
    MemberFactory,
    OwnerFactory,
    SpotFactory,
    TechnicianFactory,
    YardFactory,
)
from yard.identifiers import uuid7_new
from yard.models import Boat, Component, Spot, Yard
from yard.refusals import Refused
from yard.services import boats
from yard.services.boats import boat_change, boat_create, component_add, component_remove, spot_create
from yard.tag_codes import tag_check, tag_new

pytestmark = pytest.mark.django_db


def sheet(yard: Yard, **change: Any) -> dict[str, Any]:
    owner = OwnerFactory.create(yard=yard)
    good = {
        "yard": yard, "name": "Havlit", "build": "clinker", "loa_mm": 7_600, "beam_mm": 2_300, "year": 1938,
        "material": "larch on oak", "owners": [owner], "decider": owner,
    }  # fmt: skip
    return {**good, **change}


def test_a_boat_is_decided_on_by_one_of_her_owners() -> None:
    yard = YardFactory.create()
    first, second = OwnerFactory.create(yard=yard), OwnerFactory.create(yard=yard)
    boat = boat_create(**sheet(yard, owners=[first, second], decider=second))
    boat.refresh_from_db()
    assert boat.decider == second
    assert set(boat.owners.all()) == {first, second}


def test_a_boat_of_the_operator_is_decided_on_by_a_manager() -> None:
    manager = MemberFactory.create()
    boat = boat_create(**sheet(manager.yard, owners=[], decider=manager))
    assert boat.decider == manager


@pytest.mark.parametrize(
    ("field", "change"),
    [
        ("name", {"name": ""}),
        ("build", {"build": "concrete"}),
        ("loa_mm", {"loa_mm": 1_499, "beam_mm": 600}),
        ("loa_mm", {"loa_mm": 120_001}),
        ("loa_mm", {"loa_mm": 7.6}),
        ("beam_mm", {"beam_mm": 499}),
        ("beam_mm", {"beam_mm": 7_600}),
        ("year", {"year": 1699}),
        ("year", {"year": "1938"}),
        ("material", {"material": "x" * 121}),
    ],
)
def test_a_boat_that_can_not_be_is_refused(field: str, change: dict[str, object]) -> None:
    with pytest.raises(Refused) as refusal:
        boat_create(**sheet(YardFactory.create(), **change))
    assert refusal.value.field == field
    assert not Boat.objects.exists()


def test_only_those_who_may_decide_can_be_named_as_deciders() -> None:
    yard = YardFactory.create()
    for decider, why in (
        (OwnerFactory.create(yard=yard), "not among her owners"),
        (TechnicianFactory.create(yard=yard), "not a manager"),
        (MemberFactory.create(), "no member of this yard"),
    ):
        with pytest.raises(Refused, match=why) as refusal:
            boat_create(**sheet(yard, decider=decider))
        assert refusal.value.field == "decider"
    leaving = MemberFactory.create(yard=yard, left_on=date(2027, 9, 1))
    closed = MemberFactory.create(yard=yard, user__is_active=False)
    for gone in (leaving, closed):
        with pytest.raises(Refused, match="leaves the yard, or has no open log-in"):
            boat_create(**sheet(yard, decider=gone))
    decides = MemberFactory.create(yard=yard)
    hers = boat_create(**sheet(yard, decider=decides))
    type(decides.user).objects.filter(pk=decides.user_id).update(is_active=False)
    assert boat_change(boat=hers, material="oak", at=SPRING).material == "oak"
    stranger = OwnerFactory.create()
    with pytest.raises(Refused, match="no owner of this yard"):
        boat_create(**sheet(yard, owners=[stranger], decider=stranger))


def test_a_yard_has_one_boat_of_a_name() -> None:
    yard = YardFactory.create()
    boat_create(**sheet(yard))
    with pytest.raises(Refused) as refusal:
        boat_create(**sheet(yard, name="HAVLIT"))
    assert refusal.value.field == "name"
    boat_create(**sheet(YardFactory.create()))


def test_what_is_not_named_in_a_change_stays() -> None:
    boat = BoatFactory.create(year=1962)
    changed = boat_change(boat=boat, loa_mm=9_000, at=SPRING)
    assert (changed.name, changed.year, changed.loa_mm) == (boat.name, 1962, 9_000)
    assert changed.decider == boat.decider
    changed = boat_change(boat=boat, year=None, left_on=date(2027, 11, 1), at=SPRING)
    assert (changed.year, changed.left_on, changed.loa_mm) == (None, date(2027, 11, 1), 9_000)
    with pytest.raises(Refused, match="not less than the length"):
        boat_change(boat=boat, beam_mm=9_000, at=SPRING)


def test_an_owner_who_decides_can_not_be_taken_off_alone() -> None:
    boat = BoatFactory.create()
    heir = OwnerFactory.create(yard=boat.yard)
    with pytest.raises(Refused) as refusal:
        boat_change(boat=boat, owners=[heir], at=SPRING)
    assert refusal.value.field == "decider"
    assert boat_change(boat=boat, owners=[heir], decider=heir, at=SPRING).decider == heir


# --- components ----------------------------------------------------------------------------------------


def test_a_part_is_told_apart_by_name_and_position() -> None:
    boat = BoatFactory.create()
    frame = ComponentClassFactory.create(yard=boat.yard)
    component_add(boat=boat, component_class=frame, name="Window frame", position="port, fore", species="teak")
    component_add(boat=boat, component_class=frame, name="Window frame", position="port, aft")
    with pytest.raises(Refused) as refusal:
        component_add(boat=boat, component_class=frame, name="Window frame", position=" port, aft ")
    assert refusal.value.field == "name"
    with pytest.raises(Refused) as refusal:
        component_add(boat=boat, component_class=ComponentClassFactory.create(), name="Tiller")
    assert refusal.value.field == "component_class"
    assert Component.objects.count() == 2


def test_a_part_that_was_taken_off_stays_in_the_books_with_its_day() -> None:
    component = ComponentFactory.create(boat__yard__time_zone="Pacific/Auckland")
    late = datetime.fromisoformat("2027-04-01T12:00:00+00:00")
    assert component_remove(component=component, at=late).removed_on == date(2027, 4, 2)
    later = datetime.fromisoformat("2027-05-01T12:00:00+00:00")
    assert component_remove(component=component, at=later).removed_on == date(2027, 4, 2)


# --- spots ---------------------------------------------------------------------------------------------


def test_a_spot_gets_an_identifier_and_a_tag_that_checks(spring: datetime) -> None:
    spot = spot_create(component=ComponentFactory.create(), name="lower corner", at=spring)
    assert spot.id.version == 7
    assert tag_check(spot.tag) == spot.tag
    assert (spot.plan_x, spot.plan_y, spot.level) == (None, None, "deck")


def test_a_spot_sent_twice_is_one_spot(spring: datetime) -> None:
    component = ComponentFactory.create()
    first = spot_create(component=component, name="corner", at=spring, id=uuid7_new(), plan_x=1, plan_y=2)
    again = spot_create(component=component, name="corner", at=spring, id=str(first.id), tag=first.tag)
    assert again == first
    assert Spot.objects.count() == 1
    with pytest.raises(Refused) as refusal:
        spot_create(component=ComponentFactory.create(), name="corner", at=spring, id=first.id)
    assert refusal.value.field == "id"


@pytest.mark.parametrize(
    ("field", "change"),
    [
        ("id", {"id": uuid.UUID("919108f7-52d1-4320-9bac-f847db4148a8")}),  # version 4, RFC 9562, appendix A.3
        ("id", {"id": "no-uuid"}),
        ("name", {"name": ""}),
        ("tag", {"tag": "2345678"}),
        ("tag", {"tag": "O0O0O0O0"}),
        ("plan_x", {"plan_x": 1001, "plan_y": 0}),
        ("plan_y", {"plan_x": 0, "plan_y": -1}),
        ("plan_y", {"plan_x": 500}),
        ("plan_x", {"plan_y": 500}),
        ("plan_x", {"plan_x": 1.5, "plan_y": 1}),
        ("level", {"level": "attic"}),
    ],
)
def test_a_spot_nobody_could_find_again_is_refused(field: str, change: dict[str, Any], spring: datetime) -> None:
    with pytest.raises(Refused) as refusal:
        spot_create(component=ComponentFactory.create(), at=spring, **{"name": "corner", **change})
    assert refusal.value.field == field
    assert not Spot.objects.exists()


def test_one_wrong_character_of_a_tag_is_noticed(spring: datetime) -> None:
    tag = tag_new()
    wrong = ("3" if tag[0] == "2" else "2") + tag[1:]
    with pytest.raises(Refused) as refusal:
        spot_create(component=ComponentFactory.create(), name="corner", tag=wrong, at=spring)
    assert refusal.value.field == "tag"


def test_a_sticker_is_used_once_in_a_yard(spring: datetime) -> None:
    spot = SpotFactory.create()
    with pytest.raises(Refused) as refusal:
        spot_create(component=spot.component, name="other corner", tag=spot.tag.lower(), at=spring)
    assert refusal.value.field == "tag"
    elsewhere = ComponentFactory.create()
    assert spot_create(component=elsewhere, name="corner", tag=spot.tag, at=spring).tag == spot.tag


def test_a_drawn_tag_that_is_taken_is_drawn_again(spring: datetime, monkeypatch: pytest.MonkeyPatch) -> None:
    taken = SpotFactory.create()
    fresh = tag_new()
    drawn = iter([taken.tag, taken.tag, fresh])
    monkeypatch.setattr(boats, "tag_new", lambda: next(drawn))
    assert spot_create(component=taken.component, name="other corner", at=spring).tag == fresh


@pytest.mark.both_databases
@pytest.mark.django_db(transaction=True)
def test_a_spot_sent_by_two_at_once_is_one_spot(spring: datetime) -> None:
    component = ComponentFactory.create()
    identifier = uuid7_new()
    start = threading.Barrier(3, timeout=30)
    got: list[uuid.UUID] = []

    def send() -> None:
        try:
            start.wait(timeout=10)
            got.append(spot_create(component=component, name="corner", at=spring, id=identifier).pk)
        finally:
            connection.close()

    threads = [threading.Thread(target=send) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    assert got == [identifier] * 3
    assert Spot.objects.count() == 1
