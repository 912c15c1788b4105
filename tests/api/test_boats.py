"""Boats, their parts, and the places on them."""

from typing import Any

import pytest

from tests.api.callers import Caller, fields_of, problem_of
from tests.factories import (
    BoatFactory,
    ComponentClassFactory,
    ComponentFactory,
    MemberFactory,
    OwnerFactory,
    SpotFactory,
)
from yard.identifiers import uuid7_new
from yard.models import Boat, Spot, Yard


def boat_sheet(yard: Yard, **change: Any) -> dict[str, Any]:
    owner = OwnerFactory.create(yard=yard)
    return {
        "name": "Sea Pink",
        "build": "carvel",
        "material": "larch on oak",
        "loa_mm": 8400,
        "beam_mm": 2450,
        "year": 1962,
        "owners": [owner.pk],
        "decider": {"kind": "owner", "id": owner.pk},
        **change,
    }


def test_a_boat_is_taken_into_care_and_read_back(manager: Caller, technician: Caller, yard: Yard) -> None:
    sheet = boat_sheet(yard)
    created = manager.post("boats/", sheet)
    assert created.status_code == 201
    boat = technician.get(created["Location"]).json()
    assert {name: boat[name] for name in ("name", "build", "loa_mm", "beam_mm", "year", "left_on")} == {
        "name": "Sea Pink",
        "build": "carvel",
        "loa_mm": 8400,
        "beam_mm": 2450,
        "year": 1962,
        "left_on": None,
    }
    assert [owner["id"] for owner in boat["owners"]] == sheet["owners"]
    assert boat["decider"]["kind"] == "owner"
    problem_of(technician.post("boats/", boat_sheet(yard, name="Other")), 403)


@pytest.mark.parametrize(
    ("change", "status", "fields"),
    [
        ({"build": "raft"}, 400, {"build"}),
        ({"loa_mm": "8400"}, 400, {"loa_mm"}),
        ({"loa_mm": 8400.5}, 400, {"loa_mm"}),
        ({"loa_mm": True}, 400, {"loa_mm"}),
        ({"loa_mm": 10**30}, 400, {"loa_mm"}),
        ({"beam_mm": 9000}, 422, {"beam_mm"}),
        ({"year": 1699}, 400, {"year"}),
        ({"owners": "all"}, 400, {"owners"}),
        ({"owners": [True]}, 400, {"owners"}),
        ({"owners": []}, 422, {"decider"}),
        ({"decider": {"kind": "owner"}}, 400, {"decider.id"}),
        ({"decider": {"kind": "crew", "id": 1}}, 400, {"decider.kind"}),
        ({"decider": {"kind": "member", "id": 2**62}}, 422, {"decider.id"}),
        ({"name": "a\x00b"}, 400, None),
        ({"hull_colour": "white"}, 400, {"hull_colour"}),
    ],
)
def test_what_is_wrong_with_a_boat_is_named(
    manager: Caller, yard: Yard, change: dict[str, object], status: int, fields: set[str] | None
) -> None:
    answer = manager.post("boats/", boat_sheet(yard, **change))
    if fields is None:
        problem_of(answer, status)
    else:
        assert fields_of(answer, status) == fields
    assert not Boat.objects.exists()


def test_people_of_another_yard_own_and_decide_nothing_here(manager: Caller, yard: Yard) -> None:
    foreign_owner, foreign_manager = OwnerFactory.create(), MemberFactory.create()
    assert fields_of(manager.post("boats/", boat_sheet(yard, owners=[foreign_owner.pk])), 400) == {"owners"}
    decider = {"kind": "member", "id": foreign_manager.pk}
    assert fields_of(manager.post("boats/", boat_sheet(yard, decider=decider)), 422) == {"decider.id"}


def test_a_change_of_a_boat_needs_the_version_that_is_there(
    manager: Caller, technician: Caller, yard: Yard
) -> None:
    boat = BoatFactory.create(yard=yard)
    address = f"boats/{boat.pk}/"
    read = manager.get(address)
    changed = manager.patch(address, {"material": "oak", "year": None}, If_Match=read["ETag"])
    assert (changed.json()["material"], changed.json()["year"]) == ("oak", None)
    assert changed["ETag"] != read["ETag"]
    problem_of(manager.patch(address, {"material": "elm"}, If_Match=read["ETag"]), 412)
    problem_of(manager.patch(address, {"material": "elm"}), 428)
    assert manager.patch(address, {"material": "elm"}, If_Match=f'"other", {changed["ETag"]}').status_code == 200
    problem_of(technician.patch(address, {"material": "ash"}, If_Match="*"), 403)
    assert fields_of(manager.change(address, {"decider": {"kind": "owner"}}), 400) == {"decider.id"}
    assert fields_of(manager.change(address, {"name": None, "decider": None}), 400) == {"name", "decider"}
    operator = MemberFactory.create(yard=yard)
    mine = manager.change(
        address, {"decider": {"kind": "member", "id": operator.pk}, "left_on": "2027-09-30"}
    ).json()
    assert mine["decider"] == {"kind": "member", "id": operator.pk, "name": operator.name}
    assert mine["left_on"] == "2027-09-30"


def test_the_list_of_boats_is_filtered_and_sorted(manager: Caller, yard: Yard) -> None:
    for name, build, loa_mm in (
        ("Avocet", "carvel", 9000),
        ("Dunlin", "clinker", 5000),
        ("Curlew", "carvel", 7000),
    ):
        BoatFactory.create(yard=yard, name=name, build=build, loa_mm=loa_mm)
    BoatFactory.create(name="Of another yard")
    owner = Boat.objects.get(name="Dunlin").decider_owner
    assert owner is not None

    def names(query: str) -> list[str]:
        return [row["name"] for row in manager.results(f"boats/{query}")]

    assert names("") == ["Avocet", "Curlew", "Dunlin"]
    assert names("?build=carvel&ordering=-loa_mm") == ["Avocet", "Curlew"]
    assert names("?name=UNL") == ["Dunlin"]
    assert names(f"?owner={owner.pk}") == ["Dunlin"]
    Boat.objects.filter(name="Avocet").update(left_on="2026-10-01")
    assert names("?here=true") == ["Curlew", "Dunlin"]
    assert names("?here=false") == ["Avocet"]


@pytest.mark.parametrize(
    ("query", "status", "field"),
    [
        ("?bulid=carvel", 422, "bulid"),
        ("?build=raft", 400, "build"),
        ("?owner=me", 400, "owner"),
        ("?owner=99999999999999999999999", 400, "owner"),
        ("?here=perhaps", 400, "here"),
        ("?ordering=material", 422, "ordering"),
        ("?page_size=0", 422, "page_size"),
        ("?page_size=201", 422, "page_size"),
        ("?page_size=many", 422, "page_size"),
        ("?cursor=nonsense", 422, "cursor"),
        ("?cursor=WyJhIiwiYiIsMF0", 422, "cursor"),
        ("?name=%00", 400, "name"),
    ],
)
def test_a_parameter_that_can_not_be_read_is_refused(manager: Caller, query: str, status: int, field: str) -> None:
    assert fields_of(manager.get(f"boats/{query}"), status) == {field}


def test_parts_are_added_changed_and_removed(manager: Caller, technician: Caller, yard: Yard) -> None:
    boat = BoatFactory.create(yard=yard)
    ComponentClassFactory.create(yard=yard, code="WINDOW_FRAME")
    sheet = {"boat": boat.pk, "component_class": "WINDOW_FRAME", "name": "window frame", "species": "teak"}
    created = manager.post("components/", sheet)
    assert created.status_code == 201
    address = created["Location"]
    assert created.json()["component_class"] == "WINDOW_FRAME"
    assert fields_of(manager.post("components/", sheet), 422) == {"name"}
    problem_of(technician.post("components/", sheet), 403)
    assert manager.change(address, {"finish": "varnish"}).json()["finish"] == "varnish"
    assert fields_of(manager.change(address, {"boat": boat.pk}), 400) == {"boat"}
    assert [row["id"] for row in technician.results(f"components/?boat={boat.pk}&fitted=true")]
    problem_of(technician.post(f"{address}remove/"), 403)
    assert manager.post(f"{address}remove/").json()["removed_on"] is not None
    assert technician.results(f"components/?boat={boat.pk}&fitted=true") == []


def test_parts_of_another_yard_are_not_there(manager: Caller, stranger: Caller, yard: Yard) -> None:
    component = ComponentFactory.create(boat=BoatFactory.create(yard=yard))
    foreign = ComponentFactory.create()
    problem_of(stranger.get(f"components/{component.pk}/"), 404)
    problem_of(stranger.post(f"components/{component.pk}/remove/"), 404)
    sheet = {"boat": foreign.boat_id, "component_class": component.component_class.code, "name": "x"}
    assert fields_of(manager.post("components/", sheet), 400) == {"boat"}
    sheet = {"boat": component.boat_id, "component_class": foreign.component_class.code, "name": "x"}
    assert fields_of(manager.post("components/", sheet), 400) == {"component_class"}


def test_a_technician_marks_a_place_once_however_often_it_is_sent(technician: Caller, yard: Yard) -> None:
    component = ComponentFactory.create(boat=BoatFactory.create(yard=yard))
    sheet = {
        "id": str(uuid7_new()),
        "component": component.pk,
        "name": "lower corner",
        "plan_x": 400,
        "plan_y": 300,
    }
    first = technician.post("spots/", sheet)
    assert first.status_code == 201
    assert len(first.json()["tag"]) == 8
    assert technician.post("spots/", sheet).json() == first.json()
    assert Spot.objects.count() == 1


def test_a_place_is_found_by_its_tag_as_somebody_typed_it(technician: Caller, stranger: Caller, yard: Yard) -> None:
    spot = SpotFactory.create(component=ComponentFactory.create(boat=BoatFactory.create(yard=yard)))
    typed = f"{spot.tag[:4].lower()}-{spot.tag[4:].lower()}"
    assert [row["id"] for row in technician.results(f"spots/?tag={typed}")] == [str(spot.pk)]
    assert stranger.results(f"spots/?tag={typed}") == []
    problem_of(stranger.get(f"spots/{spot.pk}/"), 404)
    wrong = ("X" if spot.tag[0] != "X" else "Y") + spot.tag[1:]
    assert fields_of(technician.get(f"spots/?tag={wrong}"), 422) == {"tag"}


@pytest.mark.parametrize(
    ("change", "status", "fields"),
    [
        ({"id": "12"}, 400, {"id"}),
        ({"id": "8e03978e-40d5-43e8-bc93-6894a57f9324"}, 422, {"id"}),
        ({"id": 12}, 400, {"id"}),
        ({"plan_x": 1001, "plan_y": 5}, 400, {"plan_x"}),
        ({"plan_x": 5}, 422, {"plan_y"}),
        ({"level": "cellar"}, 400, {"level"}),
        ({"tag": "12345678"}, 422, {"tag"}),
        ({"component": None}, 400, {"component"}),
        ({"component": 2**63 - 1}, 400, {"component"}),
        ({"component": 2**70}, 400, {"component"}),
    ],
)
def test_what_is_wrong_with_a_place_is_named(
    technician: Caller, yard: Yard, change: dict[str, object], status: int, fields: set[str]
) -> None:
    component = ComponentFactory.create(boat=BoatFactory.create(yard=yard))
    sheet = {"component": component.pk, "name": "lower corner"} | change
    assert fields_of(technician.post("spots/", sheet), status) == fields
