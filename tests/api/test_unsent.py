"""The file of a tablet that could not send: each thing in it has its fate told, and nothing is taken twice."""

from __future__ import annotations

import base64
import hashlib
import io
import json
from typing import Any

import pytest
from django.test import Client

from inspections.models import Entry, Photo, StepEntry
from tests.api.callers import fields_of, problem_of
from tests.api.test_tablets import let_in
from tests.api.worlds import Aboard, aboard
from tests.factories.inspections import made_id, picture

pytestmark = pytest.mark.django_db


@pytest.fixture
def tablet(db: None) -> Aboard:
    return aboard()


def saved(tablet: Aboard, *entries: Any, photos: Any = (), **more: Any) -> dict[str, Any]:
    """As a tablet would save it."""
    return {
        "format": "faying unsent 1",
        "made_at": tablet.scene.at.isoformat(),
        "yard": tablet.scene.yard.pk,
        "inspections": [
            {"inspection": tablet.scene.inspection.pk, "boat_name": "hers", "entries": list(entries)},
        ],
        "photos": [
            {"sha256": sha256, "media_type": "image/jpeg", "data": base64.b64encode(data).decode()}
            for sha256, data in photos
        ],
        **more,
    }


def test_what_a_tablet_that_was_shut_out_kept_comes_in_once(tablet: Aboard) -> None:
    scene = tablet.scene
    shared, signed_in = let_in(tablet.manager)
    who = scene.technician.pk
    sent = scene.sound(author=who, sequence=1)
    tablet.send(sent, by=shared)  # the answer was lost on its way
    tablet.manager.delete(f"devices/{signed_in['id']}/")
    data = picture()
    digest = hashlib.sha256(data).hexdigest()
    found = scene.finding(author=who, sequence=2, photos=[digest])
    step = {
        "id": str(made_id(900_001)),
        "step": scene.inspection.opening_steps.get().pk,
        "outcome": "done",
        "observed_at": scene.at.isoformat(),
        "author": who,
        "sequence": 3,
    }
    nameless, astray = scene.sound(sequence=4), scene.sound(author=who, check=999_999, sequence=5)
    file = saved(
        tablet,
        sent, found, step, nameless, astray,
        photos=[(digest, data), ("cd" * 32, data), ("ef" * 32, b"")],
        device={"id": signed_in["id"], "device_name": "tablet 2"},
    )  # fmt: skip
    answer = tablet.manager.post("unsent/", file)
    assert answer.status_code == 200, answer.content
    told = answer.json()
    fates = ["already_there", "taken", "taken", "refused", "set_aside"]
    assert [row["outcome"] for row in told["entries"]] == fates
    assert told["entries"][3]["errors"][0]["field"] == "author"
    assert "999999" in told["entries"][4]["why"]
    assert [row["outcome"] for row in told["photos"]] == ["taken", "refused", "refused"]
    entry = Entry.objects.get(pk=found["id"])
    assert (entry.device_id, entry.author_id, entry.sequence) == (signed_in["id"], who, 2)
    assert StepEntry.objects.get().device_id == signed_in["id"]
    again = tablet.manager.post("unsent/", file).json()
    assert [row["outcome"] for row in again["entries"]] == [
        "already_there", "already_there", "already_there", "refused", "set_aside",
    ]  # fmt: skip
    assert again["photos"][0]["outcome"] == "already_there"
    assert (Entry.objects.count(), Photo.objects.count()) == (2, 1)


def test_an_entry_that_named_nobody_is_the_same_entry_in_the_file(tablet: Aboard) -> None:
    sheet = tablet.scene.sound()
    device = tablet.technician.get("me/").json()["device"]
    tablet.send(sheet)
    file = saved(tablet, sheet, device={"id": device["id"], "device_name": device["device_name"]})
    assert tablet.manager.post("unsent/", file).json()["entries"][0]["outcome"] == "already_there"


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"format": "faying unsent 9"}, "format"),
        ({"yard": 999_999}, "yard"),
        ({"inspections": [{"entries": []}]}, "inspections[0].inspection"),
        ({"inspections": [{"inspection": 1, "entries": "all"}]}, "inspections[0].entries"),
        ({"inspections": {}}, "inspections"),
        ({"colour": "red"}, "colour"),
    ],
)
def test_what_is_no_such_file_is_refused_whole(tablet: Aboard, changes: dict[str, Any], field: str) -> None:
    assert fields_of(tablet.manager.post("unsent/", saved(tablet, **changes)), 422) == {field}


def test_an_inspection_of_another_yard_is_not_there(tablet: Aboard) -> None:
    other = aboard()
    file = saved(tablet, tablet.scene.sound(author=tablet.scene.technician.pk))
    file["inspections"][0]["inspection"] = other.scene.inspection.pk
    (fate,) = tablet.manager.post("unsent/", file).json()["entries"]
    assert (fate["outcome"], fate["errors"][0]["field"]) == ("refused", "inspection")
    problem_of(tablet.technician.post("unsent/", file), 403)
    assert not Entry.objects.exists()


def test_the_office_loads_it_on_a_page_and_reads_what_became_of_it(tablet: Aboard) -> None:
    scene = tablet.scene
    office = Client()
    office.force_login(scene.manager.user)
    file = saved(tablet, scene.sound(author=scene.technician.pk), scene.wet())
    upload = io.BytesIO(json.dumps(file).encode())
    upload.name = "faying-unsent-2027-04-01.json"
    answer = office.post("/unsent/", {"file": upload})
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "Entries: 1 taken, 1 refused" in page
    assert "name the member who saw it" in page
    wrong = io.BytesIO(b"not json")
    wrong.name = "notes.txt"
    assert office.post("/unsent/", {"file": wrong}).status_code == 422
    assert office.post("/unsent/", {}).status_code == 422
