"""Signing a device in and out, and `me`."""

from datetime import timedelta

import pytest
from django.utils import timezone
from pytest_django import Settings

from api.throttles import MemberThrottle, SignInThrottle
from tests.api.callers import Caller, fields_of, problem_of
from tests.factories import MemberFactory, TechnicianFactory, UserFactory
from tests.factories.yard import PASSWORD
from yard.models import Deed, DeedKind, DeviceToken, Yard


def sheet(username: str, **more: object) -> dict[str, object]:
    return {"username": username, "password": PASSWORD, "device_name": "tablet 3", **more}


def test_signing_in_gives_a_key_that_is_kept_as_a_digest_only(yard: Yard, nobody: Caller) -> None:
    technician = TechnicianFactory.create(yard=yard)
    answer = nobody.post("devices/", sheet(technician.user.username))
    assert answer.status_code == 201
    assert answer["Cache-Control"] == "no-store"
    signed_in = answer.json()
    assert signed_in["member"] == {"id": technician.pk, "name": technician.name, "role": "technician"}
    key = signed_in["key"]
    assert key not in str(DeviceToken.objects.values().get())
    me = nobody.get("me/", Authorization=f"Bearer {key}").json()
    assert me["member"]["id"] == technician.pk
    assert me["yard"]["name"] == yard.name
    assert me["device"] == {"id": signed_in["id"], "device_name": "tablet 3", "shared": False}
    assert nobody.get(answer["Location"], Authorization=f"Bearer {key}").status_code == 200


def test_an_old_key_in_the_header_does_not_stand_in_the_way_of_signing_in(yard: Yard, nobody: Caller) -> None:
    technician = TechnicianFactory.create(yard=yard)
    nobody.headers["Authorization"] = "Bearer withdrawn-long-ago"
    assert nobody.post("devices/", sheet(technician.user.username)).status_code == 201


@pytest.mark.parametrize("wrong", [{"password": "not-it"}, {"username": "nobody-of-this-name"}])
def test_a_wrong_password_and_an_unknown_name_get_the_same_answer(
    yard: Yard, nobody: Caller, wrong: dict[str, str]
) -> None:
    technician = TechnicianFactory.create(yard=yard)
    problem = problem_of(nobody.post("devices/", sheet(technician.user.username) | wrong), 401)
    assert problem["detail"] == "The user name or the password is wrong; try again or ask a manager."


@pytest.mark.parametrize(("proxies", "kept"), [(0, "127.0.0.1"), (1, "192.0.2.7")])
def test_where_a_sign_in_came_from_is_noted_and_a_proxy_believed_only_where_it_is_trusted(
    yard: Yard, nobody: Caller, settings: Settings, proxies: int, kept: str
) -> None:
    settings.REST_FRAMEWORK = {**settings.REST_FRAMEWORK, "NUM_PROXIES": proxies}
    name = TechnicianFactory.create(yard=yard).user.username
    for password in ("guess", PASSWORD):
        nobody.send("POST", "devices/", sheet(name, password=password), X_Forwarded_For="192.0.2.7")
    noted = Deed.objects.of_yard(yard).order_by("pk").values_list("kind", "from_address")
    assert list(noted) == [(DeedKind.SIGN_IN_FAILED, kept), (DeedKind.KEY_MADE, kept)]


def test_a_log_in_without_a_yard_gets_no_key(nobody: Caller) -> None:
    user = UserFactory.create()
    problem_of(nobody.post("devices/", sheet(user.username)), 403)
    assert not DeviceToken.objects.exists()


def test_who_has_left_gets_no_key_and_their_key_opens_nothing(yard: Yard, nobody: Caller) -> None:
    technician = TechnicianFactory.create(yard=yard)
    caller = Caller(technician)
    technician.left_on = timezone.now().date() - timedelta(days=1)
    technician.save()
    problem_of(nobody.post("devices/", sheet(technician.user.username)), 403)
    assert problem_of(caller.get("me/"), 401)
    assert caller.get("me/")["WWW-Authenticate"].startswith("Bearer")


def test_guessing_is_stopped_after_ten_tries_a_minute(
    yard: Yard, nobody: Caller, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.undo()  # the real rates
    technician = TechnicianFactory.create(yard=yard)
    assert SignInThrottle().rate == "10/min"
    # One name after the other: the same one again and again waits sooner.
    wrong = [sheet(f"{technician.user.username}{number}") | {"password": "guess"} for number in range(10)]
    answers = [nobody.post("devices/", each).status_code for each in wrong]
    assert answers == [401] * 10
    stopped = nobody.post("devices/", sheet(technician.user.username))
    problem_of(stopped, 429)
    assert 1 <= int(stopped["Retry-After"]) <= 61


def test_a_runaway_device_is_slowed_down_and_its_colleague_is_not(
    yard: Yard, manager: Caller, technician: Caller, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(MemberThrottle, "get_rate", lambda self: "3/min")
    assert [technician.get("me/").status_code for _ in range(3)] == [200] * 3
    problem_of(technician.get("me/"), 429)
    assert technician.get("me/")["Retry-After"]
    assert manager.get("me/").status_code == 200


def test_a_technician_sees_own_devices_and_a_manager_the_yards(
    yard: Yard, manager: Caller, technician: Caller, stranger: Caller
) -> None:
    assert [row["member"]["role"] for row in technician.results("devices/")] == ["technician"]
    assert {row["member"]["role"] for row in manager.results("devices/")} == {"technician", "manager"}
    assert len(stranger.results("devices/")) == 1


def test_a_withdrawn_key_opens_nothing_and_stays_in_the_list(
    yard: Yard, manager: Caller, technician: Caller, stranger: Caller
) -> None:
    device = technician.results("devices/")[0]["id"]
    problem_of(stranger.delete(f"devices/{device}/"), 404)
    assert technician.get("me/").status_code == 200
    assert manager.delete(f"devices/{device}/").status_code == 204
    problem_of(technician.get("me/"), 401)
    assert manager.get(f"devices/{device}/").json()["revoked_at"] is not None
    assert manager.delete(f"devices/{device}/").status_code == 204


def test_a_technician_can_not_withdraw_the_key_of_somebody_else(manager: Caller, technician: Caller) -> None:
    other = next(row for row in manager.results("devices/") if row["member"]["role"] == "manager")
    problem_of(technician.delete(f"devices/{other['id']}/"), 404)
    assert manager.get("me/").status_code == 200


@pytest.mark.parametrize(
    ("change", "fields"),
    [
        ({"device_name": ""}, {"device_name"}),
        ({"device_name": 7, "password": True}, {"device_name", "password"}),
        ({"device": "tablet"}, {"device"}),
        ({"username": None}, {"username"}),
    ],
)
def test_what_is_wrong_with_a_sign_in_is_named(nobody: Caller, change: dict[str, object], fields: set[str]) -> None:
    assert fields_of(nobody.post("devices/", sheet("somebody") | change), 400) == fields


def test_a_header_that_is_no_bearer_key_is_refused(nobody: Caller) -> None:
    for header in ("Bearer", "Bearer one two", "Bearer unknown"):
        assert problem_of(nobody.get("me/", Authorization=header), 401)["detail"]


def test_the_session_of_the_pages_opens_the_api_too_and_writes_only_with_its_token(yard: Yard) -> None:
    from django.test import Client

    member = MemberFactory.create(yard=yard)
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(member.user)
    me = browser.get("/api/v1/me/").json()
    assert me["member"]["id"] == member.pk
    assert me["device"] is None
    sheet = {"name": "A Hand", "email": "hand@harbour.example"}
    problem_of(browser.post("/api/v1/owners/", sheet, content_type="application/json"), 403)
