"""What a tablet takes aboard: everything in one answer, in as many queries for a large boat as for a small one."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.callers import Caller
from tests.api.worlds import Aboard, aboard, photo_of
from tests.factories import ComponentFactory, TechnicianFactory
from tests.factories.inspections import made_id
from tests.queries import queries_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def tablet(db: None) -> Aboard:
    return aboard()


def package(tablet: Aboard, by: Caller | None = None) -> dict[str, Any]:
    answer = (by or tablet.technician).get(f"{tablet.address}package/")
    assert answer.status_code == 200, answer.content
    document: dict[str, Any] = answer.json()
    return document


def test_it_holds_what_is_needed_aboard_and_names_each_thing_by_its_id(tablet: Aboard) -> None:
    scene = tablet.scene
    step = scene.inspection.opening_steps.get()
    photo = photo_of(scene)
    found = scene.finding(photos=[photo.sha256, "ab" * 32])
    shut = {
        "id": str(made_id(900_001)),
        "step": step.pk,
        "outcome": "not_possible",
        "reason": "seized",
        "observed_at": scene.at.isoformat(),
    }
    tablet.send(found, shut)
    told = package(tablet)
    assert told["inspection"]["checks_total"], told["inspection"]["checks_answered"] == (2, 1)
    assert {check["id"] for check in told["checks"]} == {scene.corners.pk, scene.moisture.pk}
    assert [check for area in told["areas"] for check in area["checks"]] == [row["id"] for row in told["checks"]]
    (opened,) = told["steps"]
    assert opened["said"] == {
        "id": shut["id"],
        "outcome": "not_possible",
        "reason": "seized",
        "author": {"id": scene.technician.pk, "name": scene.technician.name},
        "observed_at": "2027-04-01T08:00:00Z",
    }
    after = {check["id"] for check in told["checks"] if step.pk in check["after"]}
    assert set(opened["checks"]) == after != set()
    assert [entry["id"] for entry in told["entries"]] == [found["id"]]
    assert told["photos_missing"] == [{"sha256": "ab" * 32, "entry": found["id"]}]
    (spot,) = told["spots"]
    assert (spot["id"], spot["measured"]) == (found["spot"]["id"], False)
    (part,) = told["components"]
    assert part["signs"][: part["usual"]] == scene.component.component_class.usual_signs
    assert {row["id"] for row in told["members"]} == {scene.manager.pk, scene.technician.pk}
    assert set(told["first_reading"]["components"]) == {str(scene.component.pk), "elsewhere"}
    assert told["templates"] == [{"component_class": part["component_class"], "number": 1, "newest": 1}]


def test_the_next_spring_brings_what_was_found_before(tablet: Aboard) -> None:
    scene = tablet.scene
    photo = photo_of(scene)
    finding = tablet.found(photos=[photo.sha256])
    tablet.send(scene.wet())
    tablet.manager.post(f"{tablet.address}close/", {})
    opened = tablet.manager.post("inspections/", {"boat": scene.boat.pk, "season_year": 2028}).json()
    told = tablet.technician.get(f"inspections/{opened['id']}/package/").json()
    (earlier,) = told["earlier"]
    assert (earlier["id"], earlier["season_year"], earlier["size_mm"]) == (str(finding.pk), 2027, "40.0")
    assert earlier["photos"][0]["thumbnail"] == f"/api/v1/photos/{photo.sha256}/content/?size=thumbnail"
    assert told["spots"][0]["measured"] is True
    assert told["spots"][0]["findings"] == [earlier["id"]]
    taken_over = next(check for check in told["checks"] if check["spot"] is not None)
    assert (taken_over["measured"], taken_over["earlier"]) == (True, [earlier["id"]])


def test_the_same_package_is_not_sent_twice(tablet: Aboard) -> None:
    first = tablet.technician.get(f"{tablet.address}package/")
    assert tablet.technician.get(f"{tablet.address}package/", If_None_Match=first["ETag"]).status_code == 304
    TechnicianFactory.create(yard=tablet.scene.yard)
    again = tablet.technician.get(f"{tablet.address}package/", If_None_Match=first["ETag"])
    assert again.status_code == 200


def test_a_larger_boat_asks_no_more_often(tablet: Aboard) -> None:
    scene = tablet.scene
    package(tablet)  # the key's last use is noted, and the table is kept
    tablet.send(scene.finding(), scene.wet())
    few = len(queries_of(lambda: package(tablet)))
    kind = scene.component.component_class
    for number in range(5):
        ComponentFactory.create(boat=scene.boat, component_class=kind, name=f"frame {number}")
    tablet.send(*[scene.finding() for _ in range(5)])
    assert len(queries_of(lambda: package(tablet))) == few
