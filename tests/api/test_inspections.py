"""Inspections: opened, fetched before going aboard, closed."""

import hashlib

import pytest

from inspections.models import Check, Inspection, TemplateVersion
from tests.api.callers import Caller, fields_of, problem_of
from tests.api.worlds import Aboard, aboard, photo_of
from tests.factories import BoatFactory, FindingFactory, InspectionFactory, SpotFactory


@pytest.fixture
def tablet(db: None) -> Aboard:
    return aboard()


def test_a_technician_opens_the_inspection_of_a_boat(tablet: Aboard, stranger: Caller) -> None:
    scene = tablet.scene
    sheet = {"boat": scene.boat.pk, "season_year": 2028}
    created = tablet.technician.post("inspections/", sheet)
    assert created.status_code == 201
    opened = created.json()
    assert (opened["launch_on"], opened["checks_total"], opened["checks_answered"]) == ("2028-05-01", 2, 0)
    assert opened["opened_by"]["id"] == scene.technician.pk
    assert fields_of(tablet.technician.post("inspections/", sheet), 422) == {"season_year"}
    assert fields_of(stranger.post("inspections/", sheet | {"season_year": 2029}), 400) == {"boat"}


@pytest.mark.parametrize(
    ("change", "status", "fields"),
    [
        ({"season_year": "2028"}, 400, {"season_year"}),
        ({"season_year": 2099}, 422, {"season_year"}),
        ({"launch_on": "2029-05-01"}, 422, {"launch_on"}),
        ({"launch_on": 5}, 400, {"launch_on"}),
        ({"boat": None}, 400, {"boat"}),
        ({"weather": "fair"}, 400, {"weather"}),
    ],
)
def test_what_is_wrong_with_opening_is_named(
    tablet: Aboard, change: dict[str, object], status: int, fields: set[str]
) -> None:
    sheet = {"boat": tablet.scene.boat.pk, "season_year": 2028} | change
    assert fields_of(tablet.technician.post("inspections/", sheet), status) == fields
    assert Inspection.objects.count() == 1


def test_a_boat_without_parts_can_not_be_inspected(tablet: Aboard) -> None:
    bare = BoatFactory.create(yard=tablet.scene.yard)
    answer = tablet.manager.post("inspections/", {"boat": bare.pk, "season_year": 2027})
    assert fields_of(answer, 422) == {"boat"}


def test_the_load_of_a_tablet_holds_all_it_needs_aboard(tablet: Aboard) -> None:
    scene = tablet.scene
    spot = SpotFactory.create(component=scene.component)
    before = FindingFactory.create(
        spot=spot, inspection=InspectionFactory.create(boat=scene.boat, season_year=2026)
    )
    withdrawn = FindingFactory.create(spot=spot, inspection=before.inspection, state="withdrawn")
    photo = photo_of(scene)
    lost = hashlib.sha256(b"on its way").hexdigest()
    crack = scene.finding(photos=[photo.sha256, lost])
    scene.store(crack, scene.sound() | {"check": None, "component": scene.component.pk, "note": "new bung"})
    load = tablet.technician.get(tablet.address).json()
    assert [part["id"] for part in load["components"]] == [scene.component.pk]
    assert {place["id"] for place in load["spots"]} == {str(spot.pk), crack["spot"]["id"]}
    assert [step["key"] for step in load["opening_steps"]] == ["lining"]
    assert {check["key"]: check["answers"] for check in load["checks"]} == {
        "corners": [crack["id"]],
        "moisture": [],
    }
    assert load["checks"][0]["usual_signs"] == ["CRACK_WOOD", "GAP_JOINT"]
    assert len(load["entries"]) == 2
    assert load["entries"][0]["photos"] == [photo.sha256, lost]
    assert load["photos_missing"] == [{"sha256": lost, "entry": crack["id"]}]
    assert [finding["id"] for finding in load["earlier_findings"]] == [str(before.pk)]
    assert str(withdrawn.pk) not in str(load["earlier_findings"])
    assert (load["checks_total"], load["checks_answered"]) == (2, 1)


def test_an_unchanged_load_is_not_sent_again(tablet: Aboard) -> None:
    etag = tablet.technician.get(tablet.address)["ETag"]
    assert tablet.technician.get(tablet.address, If_None_Match=etag).status_code == 304
    tablet.scene.store(tablet.scene.sound())
    assert tablet.technician.get(tablet.address, If_None_Match=etag).status_code == 200


def test_closing_says_what_is_unanswered_and_which_photo_is_missing(tablet: Aboard) -> None:
    scene = tablet.scene
    lost = hashlib.sha256(b"on its way").hexdigest()
    tablet.send(scene.sound(photos=[lost]))
    refused = tablet.technician.post(f"{tablet.address}close/")
    assert fields_of(refused, 422) == {f"checks.{scene.moisture.pk}", f"photos.{lost}"}
    assert Inspection.objects.get(pk=scene.inspection.pk).closed_at is None


def test_an_inspection_is_closed_and_closing_twice_changes_nothing(tablet: Aboard, stranger: Caller) -> None:
    scene = tablet.scene
    tablet.send(scene.sound(), scene.wet())
    problem_of(stranger.post(f"{tablet.address}close/"), 404)
    closed = tablet.technician.post(f"{tablet.address}close/")
    assert closed.status_code == 200
    assert closed.json()["closed_by"]["id"] == scene.technician.pk
    again = tablet.manager.post(f"{tablet.address}close/").json()
    assert again["closed_by"]["id"] == scene.technician.pk


def test_the_list_is_filtered_by_season_boat_and_whether_it_is_open(tablet: Aboard) -> None:
    scene = tablet.scene
    older = InspectionFactory.create(boat=scene.boat, season_year=2026, closed_at=scene.at)
    InspectionFactory.create()

    def ids(query: str) -> set[int]:
        return {row["id"] for row in tablet.technician.results(f"inspections/{query}")}

    assert ids("") == {scene.inspection.pk, older.pk}
    assert ids("?season=2026") == {older.pk}
    assert ids("?open=true") == {scene.inspection.pk}
    assert ids(f"?boat={scene.boat.pk}&open=false") == {older.pk}
    assert ids("?boat=0") == set()


def test_the_launch_is_the_offices_to_change_in_the_version_it_has_read(tablet: Aboard, stranger: Caller) -> None:
    address = f"{tablet.address}launch/"
    etag = tablet.technician.get(address)["ETag"]
    problem_of(tablet.technician.put(address, {"launch_on": "2027-05-20"}, If_Match=etag), 403)
    problem_of(stranger.put(address, {"launch_on": "2027-05-20"}, If_Match="*"), 404)
    problem_of(tablet.manager.put(address, {"launch_on": "2027-05-20"}), 428)
    changed = tablet.manager.put(address, {"launch_on": "2027-05-20"}, If_Match=etag)
    assert changed.json() == {"launch_on": "2027-05-20", "afloat_on": None}
    problem_of(tablet.manager.put(address, {"launch_on": "2027-05-21"}, If_Match=etag), 412)
    out_of_season = tablet.manager.put(address, {"launch_on": "2027-12-01"}, If_Match=changed["ETag"])
    assert fields_of(out_of_season, 422) == {"launch_on"}
    too_soon = {"launch_on": "2027-05-20", "afloat_on": "2027-09-01"}
    assert fields_of(tablet.manager.put(address, too_soon, If_Match=changed["ETag"]), 422) == {"afloat_on"}


def test_an_inspection_of_another_yard_is_not_there(tablet: Aboard, stranger: Caller, nobody: Caller) -> None:
    problem_of(stranger.get(tablet.address), 404)
    problem_of(stranger.get(f"{tablet.address}launch/"), 404)
    assert stranger.results("inspections/") == []
    problem_of(nobody.get(tablet.address), 401)


def test_a_class_without_a_published_template_is_named(tablet: Aboard) -> None:
    scene = tablet.scene
    Check.objects.all().delete()
    TemplateVersion.objects.all().delete()
    answer = tablet.manager.post("inspections/", {"boat": scene.boat.pk, "season_year": 2029})
    assert fields_of(answer, 422) == {"boat"}
