"""Letting tablets in, who speaks through them, and what a shared one may do."""

from __future__ import annotations

import base64
import hashlib
from datetime import timedelta
from typing import Any

import pytest
import time_machine

from inspections.models import Entry, SetAside, StepEntry
from tests.api.callers import Caller, fields_of, problem_of
from tests.api.worlds import NOW, Aboard, aboard
from tests.factories import MemberFactory, TechnicianFactory
from tests.factories.inspections import made_id
from yard.models import DeviceCode, DeviceToken, Member, Yard
from yard.services.device_codes import device_code_make

pytestmark = pytest.mark.django_db


@pytest.fixture
def tablet(db: None) -> Aboard:
    return aboard()


def let_in(manager: Caller, **more: Any) -> tuple[Caller, dict[str, Any]]:
    """A shared tablet, let in by a code that the manager made."""
    code = manager.post("device-codes/", {"device_name": "tablet 2"}).json()["code"]
    answer = Caller().post("devices/by-code/", {"code": code, **more})
    assert answer.status_code == 201, answer.content
    tablet = Caller()
    tablet.headers["Authorization"] = f"Bearer {answer.json()['key']}"
    return tablet, answer.json()


def test_a_code_lets_one_tablet_in_once_however_it_is_typed(yard: Yard, manager: Caller, nobody: Caller) -> None:
    made = manager.post("device-codes/", {"device_name": "tablet 2"})
    assert made["Cache-Control"] == "no-store"
    code = made.json()["code"]
    assert code not in str(DeviceCode.objects.values().get())
    typed = f" {code.lower().replace('-', ' ')} "
    answer = nobody.post("devices/by-code/", {"code": typed})
    assert (answer.status_code, answer.json()["shared"], answer.json()["device_name"]) == (201, True, "tablet 2")
    again = problem_of(nobody.post("devices/by-code/", {"code": typed}), 401)
    wrong = problem_of(nobody.post("devices/by-code/", {"code": "2345-678K"}), 401)
    assert again["detail"] == wrong["detail"]
    assert DeviceToken.objects.filter(yard=yard, shared=True).count() == 1
    row = manager.get(f"device-codes/{made.json()['id']}/").json()
    assert row["device"] == answer.json()["id"]


def test_a_code_that_was_taken_back_or_is_too_old_lets_nobody_in(manager: Caller, nobody: Caller) -> None:
    taken_back, old = (manager.post("device-codes/", {"device_name": "a"}).json() for _ in range(2))
    assert manager.delete(f"device-codes/{taken_back['id']}/").status_code == 204
    problem_of(nobody.post("devices/by-code/", {"code": taken_back["code"]}), 401)
    with time_machine.travel(NOW + timedelta(days=400), tick=False):
        problem_of(nobody.post("devices/by-code/", {"code": old["code"]}), 401)
    assert not DeviceToken.objects.filter(shared=True).exists()


def test_a_device_without_a_name_is_asked_for_one_and_the_code_stays_good(yard: Yard, nobody: Caller) -> None:
    from django.utils import timezone

    _, code = device_code_make(by=MemberFactory.create(yard=yard), at=timezone.now())
    assert fields_of(nobody.post("devices/by-code/", {"code": code}), 422) == {"device_name"}
    assert nobody.post("devices/by-code/", {"code": code, "device_name": "mine"}).status_code == 201


def test_a_shared_tablet_is_no_manager_whoever_let_it_in(yard: Yard, manager: Caller) -> None:
    tablet, signed_in = let_in(manager)
    me = tablet.get("me/").json()
    assert (me["member"]["role"], me["device"]["shared"]) == ("technician", True)
    problem_of(tablet.get("device-codes/"), 403)
    problem_of(tablet.post("owners/", {}), 403)
    problem_of(tablet.post("work-logs/", {}), 403)
    assert [row["id"] for row in tablet.results("devices/")] == [signed_in["id"]]
    assert manager.member is not None
    manager.member.refresh_from_db()
    assert manager.member.is_manager


def test_a_revoked_tablet_is_told_so_and_a_shared_one_outlives_who_let_it_in(yard: Yard, manager: Caller) -> None:
    tablet, signed_in = let_in(manager)
    assert manager.member is not None
    other = Caller(MemberFactory.create(yard=yard))
    Member.objects.filter(pk=manager.member.pk).update(left_on=NOW.date() - timedelta(days=400))
    assert tablet.get("me/").status_code == 200
    assert other.delete(f"devices/{signed_in['id']}/").status_code == 204
    assert problem_of(tablet.get("me/"), 401)["withdrawn"] is True
    tablet.headers["Authorization"] = "Bearer never-was"
    assert "withdrawn" not in problem_of(tablet.get("me/"), 401)


def test_a_pin_is_checked_on_the_tablet_by_salt_and_hash_alone(yard: Yard, manager: Caller) -> None:
    technician = Caller(TechnicianFactory.create(yard=yard, name="Aud"))
    own = f"members/{technician.member.pk}/pin/"  # type: ignore[union-attr]
    for wrong in ("123", "1234567", "12a4", "١٢٣٤"):
        assert technician.put(own, {"pin": wrong}).status_code in (400, 422)
    assert technician.put(own, {"pin": "4821"}).status_code == 204
    listed = {row["name"]: row["pin"] for row in technician.get("tablet/members/").json()["members"]}
    pin = listed["Aud"]
    assert pin["scheme"] == "PBKDF2-HMAC-SHA256"
    hashed = hashlib.pbkdf2_hmac("sha256", b"4821", base64.b64decode(pin["salt"]), pin["iterations"])
    assert base64.b64encode(hashed).decode() == pin["hash"]
    assert "4821" not in str(Member.objects.filter(yard=yard).values())

    colleague = Caller(TechnicianFactory.create(yard=yard))
    problem_of(colleague.put(own, {"pin": "0000"}), 403)
    problem_of(colleague.delete(own), 403)
    tablet, _ = let_in(manager)
    problem_of(tablet.put(own, {"pin": "0000"}), 403)
    first = f"members/{colleague.member.pk}/pin/"  # type: ignore[union-attr]
    assert tablet.put(first, {"pin": "7777"}).status_code == 204, "the first one may be set at the tablet"
    problem_of(tablet.put(f"members/{manager.member.pk}/pin/", {"pin": "0000"}), 403)  # type: ignore[union-attr]
    assert manager.delete(own).status_code == 204
    assert technician.get("tablet/members/").json()["members"][0]["pin"] is None


def test_every_entry_of_a_shared_tablet_says_who_and_both_clocks_are_kept(tablet: Aboard) -> None:
    scene = tablet.scene
    shared, signed_in = let_in(tablet.manager)
    aud = TechnicianFactory.create(yard=scene.yard, name="Aud")
    nameless, stranger = scene.sound(), scene.sound(author=TechnicianFactory.create().pk)
    day_behind = (scene.at - timedelta(days=1)).isoformat()
    told = scene.sound(author=aud.pk, sequence=7, observed_at=day_behind, clock_offset_ms=86_400_000)
    results = tablet.send(nameless, stranger, told, by=shared)
    assert [result["outcome"] for result in results] == ["refused", "refused", "stored"]
    assert {result["errors"][0]["field"] for result in results[:2]} == {"author"}
    entry = Entry.objects.get()
    assert (entry.author, entry.device_id, entry.sequence) == (aud, signed_in["id"], 7)
    assert (entry.observed_at, entry.device_clock_at) == (scene.at, scene.at - timedelta(days=1))
    (result,) = tablet.send({**told, "clock_offset_ms": 86_400_123}, by=shared)
    assert result["outcome"] == "already_there", "the offset is no part of what was said"
    (result,) = tablet.send({**told, "author": scene.technician.pk}, by=shared)
    assert result["outcome"] == "refused"
    session = tablet.manager.client
    session.force_login(scene.manager.user)
    answer = session.post(
        f"/api/v1/{tablet.address}entries/",
        {"entries": [scene.sound(author=aud.pk)]},
        "application/json",
    )
    assert answer.json()["results"][0]["outcome"] == "refused", "only a tablet speaks for its users"


def test_who_had_left_the_yard_that_day_is_set_aside_with_the_device(tablet: Aboard) -> None:
    shared, signed_in = let_in(tablet.manager)
    gone = TechnicianFactory.create(yard=tablet.scene.yard, left_on=tablet.scene.at.date())
    before, after = (
        tablet.scene.sound(author=gone.pk, observed_at=(tablet.scene.at + timedelta(hours=hours)).isoformat())
        for hours in (-24, 0)
    )
    assert [result["outcome"] for result in tablet.send(before, after, by=shared)] == ["stored", "set_aside"]
    row = SetAside.objects.get()
    assert (row.author, row.device_id) == (gone, signed_in["id"])


def test_a_batch_is_taken_by_the_devices_own_count(tablet: Aboard) -> None:
    first = tablet.scene.finding(sequence=1)
    mended = tablet.scene.sound(sequence=2, supersedes=first["id"])
    results = tablet.send(mended, first, mended)
    assert [result["outcome"] for result in results] == ["stored", "stored", "already_there"]
    assert [result["id"] for result in results] == [mended["id"], first["id"], mended["id"]]


def test_steps_are_told_among_the_entries_once(tablet: Aboard) -> None:
    scene = tablet.scene
    step = scene.inspection.opening_steps.get()

    def said(number: int, **more: Any) -> dict[str, Any]:
        return {
            "id": str(made_id(number)),
            "step": step.pk,
            "outcome": "not_possible",
            "reason": "the screws are seized",
            "observed_at": scene.at.isoformat(),
            **more,
        }

    shut = said(900_001)
    no_reason = said(900_002, reason="")
    foreign = said(900_003, step=999_999)
    results = tablet.send(scene.sound(), shut, no_reason, foreign, {**shut})
    assert [result["outcome"] for result in results] == [
        "stored",
        "stored",
        "refused",
        "set_aside",
        "already_there",
    ]
    row = StepEntry.objects.get()
    assert (row.outcome, row.reason, row.author) == ("not_possible", "the screws are seized", scene.technician)
    (result,) = tablet.send({**shut, "reason": "no key"})
    assert result["outcome"] == "refused"
    aside = SetAside.objects.get()
    place = {"inspection": scene.inspection.pk, "component": scene.component.pk}
    assert fields_of(tablet.manager.post(f"set-aside/{aside.pk}/place/", place), 422) == {"set_aside"}


def test_a_correction_is_taken_after_the_closing_and_anything_new_waits_for_the_office(tablet: Aboard) -> None:
    scene = tablet.scene
    sound = scene.sound()
    tablet.send(sound, scene.wet())
    shared, _ = let_in(tablet.manager)
    closed = shared.post(f"{tablet.address}close/", {"author": scene.technician.pk})
    assert closed.json()["closed_by"]["id"] == scene.technician.pk
    correction = scene.finding(supersedes=sound["id"], author=scene.technician.pk)
    late = scene.finding(author=scene.technician.pk)
    results = tablet.send(correction, late, by=shared)
    assert [result["outcome"] for result in results] == ["stored", "set_aside"]
    tablet.manager.post("inspections/", {"boat": scene.boat.pk, "season_year": 2028})
    (result,) = tablet.send(scene.sound(supersedes=correction["id"]))
    assert result["outcome"] == "set_aside", "the next inspection asks anew"
