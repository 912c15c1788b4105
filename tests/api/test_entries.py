"""Entries: batches with an answer for each, late and twice; the office's tray of what could not be placed."""

from datetime import timedelta
from typing import Any

import pytest

from inspections.models import Entry, Finding, SetAside
from inspections.services.inspections import inspection_close
from tests.api.callers import Caller, fields_of, problem_of
from tests.api.worlds import NOW, Aboard, aboard, worked
from tests.factories import ComponentFactory
from tests.queries import queries_of
from yard.models import OutboxRow

pytestmark = pytest.mark.both_databases


@pytest.fixture
def tablet(db: None) -> Aboard:
    return aboard()


def outcomes(results: list[dict[str, Any]]) -> list[str]:
    return [result["outcome"] for result in results]


def test_a_batch_is_stored_with_author_device_and_both_clocks(tablet: Aboard) -> None:
    scene = tablet.scene
    sheets = [scene.finding(), scene.wet("17.25")]
    results = tablet.send(*sheets)
    assert results == [{"id": sheet["id"], "outcome": "stored", "errors": [], "why": ""} for sheet in sheets]
    shown = tablet.manager.get(f"entries/{sheets[0]['id']}/").json()
    assert shown["author"]["id"] == scene.technician.pk
    assert shown["observed_at"] == scene.at.isoformat().replace("+00:00", "Z")
    assert shown["received_at"].startswith(f"{NOW:%Y-%m-%dT%H}")
    assert (shown["answer"], shown["signs"], shown["size_mm"]) == ("finding", ["CRACK_WOOD"], "40.0")
    assert shown["spot"] == sheets[0]["spot"]["id"]
    assert Entry.objects.get(pk=sheets[0]["id"]).device is not None
    readings = tablet.manager.get(f"entries/{sheets[1]['id']}/").json()["readings"]
    assert readings == [{"quantity": "moisture_pct", "value": "17.25", "unit": "pct", "wood_temperature_c": None}]
    assert OutboxRow.objects.filter(task="inspections.assess", done_at=None).count() == 1


def test_the_same_batch_again_stores_nothing_twice(tablet: Aboard) -> None:
    sheets = [tablet.scene.finding(), tablet.scene.wet()]
    assert outcomes(tablet.send(*sheets)) == ["stored", "stored"]
    assert outcomes(tablet.send(*sheets, tablet.scene.sound())) == ["already_there", "already_there", "stored"]
    assert Entry.objects.count() == 3
    assert Finding.objects.count() == 1


def test_one_slip_holds_up_no_other_entry(tablet: Aboard) -> None:
    scene = tablet.scene
    wrong = scene.sound() | {"answer": "perhaps", "size_mm": "long", "colour": "red"}
    good = scene.wet()
    results = tablet.send(wrong, good, "no entry at all", {"id": good["id"], "answer": "sound"})
    assert outcomes(results) == ["refused", "stored", "refused", "refused"]
    assert {error["field"] for error in results[0]["errors"]} == {"answer", "size_mm", "colour"}
    assert all(error["problem"] and error["remedy"] for error in results[0]["errors"])
    assert results[0]["id"] == wrong["id"]
    assert results[2]["id"] == ""
    assert list(Entry.objects.values_list("pk", flat=True)) == [Entry.objects.get(pk=good["id"]).pk]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"id": "12"}, "id"),
        ({"id": "8e03978e-40d5-43e8-bc93-6894a57f9324"}, "id"),
        ({"observed_at": "2027-04-01T08:00:00"}, "observed_at"),
        ({"observed_at": "2031-04-01T08:00:00Z"}, "observed_at"),
        ({"check": True}, "check"),
        ({"check": None}, "component"),
        ({"answer": "finding"}, "signs"),
        ({"answer": "not_seen"}, "not_seen_reason"),
        ({"size_mm": True}, "size_mm"),
        ({"water": "wet"}, "water"),
        ({"photos": ["abc"]}, "photos[0]"),
        ({"readings": [{"quantity": "moisture_pct", "value": "240", "unit": "pct"}]}, "readings[0].value"),
        ({"in_load_path": "yes"}, "in_load_path"),
        ({"sequence": -1}, "sequence"),
    ],
)
def test_what_is_wrong_with_an_entry_is_named(tablet: Aboard, change: dict[str, Any], field: str) -> None:
    (result,) = tablet.send(tablet.scene.sound() | change)
    assert result["outcome"] == "refused"
    assert field in {error["field"] for error in result["errors"]}
    assert not Entry.objects.exists()


@pytest.mark.parametrize("body", [[], {}, {"entries": {}}, {"entries": [], "more": 1}, {"entries": None}, "x"])
def test_a_body_that_is_no_batch_is_refused(tablet: Aboard, body: Any) -> None:
    problem_of(tablet.technician.post(f"{tablet.address}entries/", body), 400)


def test_a_batch_holds_two_hundred_entries_and_no_more(tablet: Aboard) -> None:
    scene = tablet.scene
    sheets = [scene.sound() for _ in range(201)]
    problem = problem_of(tablet.technician.post(f"{tablet.address}entries/", {"entries": sheets}), 413)
    assert "200" in problem["detail"]
    assert not Entry.objects.exists()
    assert outcomes(tablet.send(*sheets[:200])) == ["stored"] * 200


@pytest.mark.needs_postgres  # SQLite takes fewer values in one statement, and splits a large one up
def test_a_large_batch_asks_no_more_often_than_a_small_one(tablet: Aboard) -> None:
    scene = tablet.scene
    tablet.technician.get("me/")  # from now on the key's last use is fresh, and not noted again
    counts = []
    for size in (2, 30):  # SQLite takes 999 values a statement: with more, an insertion is two
        sheets = [sheet for _ in range(size // 2) for sheet in (scene.sound(), scene.finding())]
        counts.append(len(queries_of(lambda sheets=sheets: tablet.send(*sheets))))  # type: ignore[misc]
    assert counts[0] == counts[1]


def test_another_yards_inspection_takes_no_entries(tablet: Aboard, stranger: Caller, nobody: Caller) -> None:
    batch = {"entries": [tablet.scene.sound()]}
    problem_of(stranger.post(f"{tablet.address}entries/", batch), 404)
    problem_of(nobody.post(f"{tablet.address}entries/", batch), 401)
    assert not Entry.objects.exists()


def test_an_id_of_another_yard_is_neither_taken_nor_told_about(tablet: Aboard) -> None:
    other = aboard()
    sheet = other.scene.sound(note="not for your eyes")
    other.send(sheet)
    (result,) = tablet.send(tablet.scene.sound() | {"id": sheet["id"]})
    assert result["outcome"] == "refused"
    assert {error["field"] for error in result["errors"]} == {"id"}
    assert "eyes" not in str(result)


def test_a_correction_supersedes_and_both_stay(tablet: Aboard) -> None:
    scene = tablet.scene
    first = scene.finding()
    second = scene.sound(note="it was dirt", supersedes=first["id"])
    tablet.send(first, second)
    assert tablet.manager.get(f"entries/{first['id']}/").json()["superseded"] is True
    standing = tablet.manager.results("entries/?superseded=false")
    assert [row["id"] for row in standing] == [second["id"]]
    assert len(tablet.manager.results("entries/")) == 2


def test_the_list_of_entries_is_filtered(tablet: Aboard) -> None:
    scene = tablet.scene
    crack, wet = scene.finding(), scene.wet()
    scene.store(crack, at=NOW - timedelta(hours=2))
    scene.store(wet, at=NOW - timedelta(hours=1))

    def ids(query: str) -> list[str]:
        return [row["id"] for row in tablet.manager.results(f"entries/?{query}")]

    assert ids("") == [wet["id"], crack["id"]]
    assert ids("ordering=received_at") == [crack["id"], wet["id"]]
    assert ids("answer=finding") == [crack["id"]]
    assert ids(f"component={scene.component.pk}&check={scene.moisture.pk}") == [wet["id"]]
    assert ids(f"inspection={scene.inspection.pk + 1}") == []
    assert ids(f"spot={crack['spot']['id']}") == [crack["id"]]
    since = (NOW - timedelta(minutes=90)).isoformat()
    assert ids(f"received_since={since.replace('+', '%2B')}") == [wet["id"]]
    assert ids(f"received_since={since}") == [wet["id"]]
    assert fields_of(tablet.manager.get("entries/?received_since=0001-01-01T00:00:00%2B14:00"), 400)
    assert fields_of(tablet.manager.get("entries/?received_since=2027-04-01T08:00:00"), 400) == {"received_since"}
    assert fields_of(tablet.manager.get("entries/?answer=perhaps"), 400) == {"answer"}


def test_pages_of_entries_that_came_at_one_moment_hold_each_once(tablet: Aboard) -> None:
    scene = tablet.scene
    sheets = [scene.sound() for _ in range(7)]
    tablet.send(*sheets)
    seen: list[str] = []
    page = tablet.manager.get("entries/?page_size=3").json()
    back: list[str] = []
    while True:
        seen += [row["id"] for row in page["results"]]
        if page["next"] is None:
            break
        page = tablet.manager.get(page["next"]).json()
    while page["previous"] is not None:
        page = tablet.manager.get(page["previous"]).json()
        back = [row["id"] for row in page["results"]] + back
    assert sorted(seen) == sorted(sheet["id"] for sheet in sheets)
    assert back == seen[:6]


@pytest.fixture
def aside(tablet: Aboard) -> SetAside:
    """An entry that came after its inspection was closed."""
    scene = tablet.scene
    scene.store(scene.sound(), scene.wet())
    inspection_close(inspection=scene.inspection, at=NOW, by=scene.manager)
    (result,) = tablet.send(scene.finding(note="seen from the dinghy"))
    assert result["outcome"] == "set_aside"
    assert "closed" in result["why"]
    return SetAside.objects.get()


def test_what_can_not_be_placed_waits_for_the_office_as_it_came(
    tablet: Aboard, aside: SetAside, stranger: Caller
) -> None:
    problem_of(tablet.technician.get("set-aside/"), 403)
    problem_of(tablet.technician.post(f"set-aside/{aside.pk}/dismiss/", {"reason": "x"}), 403)
    assert stranger.results("set-aside/") == []
    problem_of(stranger.get(f"set-aside/{aside.pk}/"), 404)
    problem_of(stranger.post(f"set-aside/{aside.pk}/dismiss/", {"reason": "x"}), 404)
    (row,) = tablet.manager.results("set-aside/?waiting=true")
    assert row["sent"]["note"] == "seen from the dinghy"
    assert row["author"]["id"] == tablet.scene.technician.pk
    assert row["entry"] == str(aside.entry_id)


def test_the_office_gives_it_a_place_in_the_next_inspection(tablet: Aboard, aside: SetAside) -> None:
    scene = tablet.scene
    opened = tablet.manager.post("inspections/", {"boat": scene.boat.pk, "season_year": 2028}).json()
    address = f"set-aside/{aside.pk}/place/"
    assert fields_of(tablet.manager.post(address, {"inspection": opened["id"]}), 422) == {"check"}
    foreign = ComponentFactory.create()
    sheet = {"inspection": opened["id"], "component": foreign.pk}
    assert fields_of(tablet.manager.post(address, sheet), 400) == {"component"}
    placed = tablet.manager.post(address, {"inspection": opened["id"], "component": scene.component.pk})
    assert placed.status_code == 200
    assert placed.json()["settled_by"]["id"] == scene.manager.pk
    entry = tablet.manager.get(f"entries/{aside.entry_id}/").json()
    assert (entry["inspection"], entry["author"]["id"]) == (opened["id"], scene.technician.pk)
    assert tablet.manager.results("set-aside/?waiting=true") == []
    again = tablet.manager.post(address, {"inspection": opened["id"], "component": scene.component.pk})
    assert fields_of(again, 422) == {"set_aside"}


def test_the_office_lets_it_go_with_a_reason(tablet: Aboard, aside: SetAside) -> None:
    address = f"set-aside/{aside.pk}/dismiss/"
    assert fields_of(tablet.manager.post(address, {}), 400) == {"reason"}
    gone = tablet.manager.post(address, {"reason": "same crack as number 3"}).json()
    assert gone["settled_how"] == "same crack as number 3"
    assert not Entry.objects.filter(pk=aside.entry_id).exists()


def test_an_entry_becomes_a_judged_finding_in_the_worker(tablet: Aboard) -> None:
    sheet = tablet.scene.finding()
    tablet.send(sheet)
    assert tablet.manager.get(f"findings/{sheet['id']}/").json()["priority"] is None
    worked()
    assert tablet.manager.get(f"findings/{sheet['id']}/").json()["priority"] is not None
