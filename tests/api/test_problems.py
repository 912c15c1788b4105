"""Every refusal is a problem document (RFC 9457), whatever was wrong and whoever noticed."""

import json
from typing import Any

import pytest
from django.test import Client

from api.parsers import MAX_DEPTH, MAX_JSON_BYTES
from api.problems import KINDS, WHAT_WOULD_DO
from tests.api.callers import V1, Caller, fields_of, problem_of
from yard.models import Owner, Yard


def raw(caller: Caller, body: bytes, media_type: str = "application/json", **headers: str) -> Any:
    return caller.client.generic(
        "POST", f"{V1}owners/", body, content_type=media_type, headers={**caller.headers, **headers}
    )


@pytest.mark.parametrize(
    "body",
    [
        b"{",
        b"\xff\xfe",
        b'{"name": NaN}',
        b'{"name": 1e999}',
        b'{"name": "a", "name": "b"}',
        b'{"name": "a\\u0000b"}',
        b'{"name": "\\ud800"}',
        b'{"na\\u0000me": "a"}',
        b"[" * 100_000,
        b"[" * (MAX_DEPTH + 2) + b"]" * (MAX_DEPTH + 2),
        b"[1]" + b"0" * 10,
        b"9" * 5000,
    ],
    ids=lambda body: repr(body[:24]),
)
def test_a_body_that_is_no_sane_json_is_a_bad_request(manager: Caller, body: bytes) -> None:
    problem = problem_of(raw(manager, body), 400)
    assert problem["type"].endswith("#bad-request")
    assert not Owner.objects.exists()


@pytest.mark.parametrize("body", [b"[]", b"7", b'"text"', b"null", b""])
def test_a_body_of_another_shape_is_a_bad_request(manager: Caller, body: bytes) -> None:
    problem_of(raw(manager, body), 400)


def test_a_body_that_is_too_large_is_told_so(manager: Caller) -> None:
    body = b'{"name": "' + b"x" * MAX_JSON_BYTES + b'"}'
    assert problem_of(raw(manager, body), 413)["type"].endswith("#too-large")


@pytest.mark.parametrize(
    "media_type",
    ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", "image/png"],
)
def test_another_media_type_is_told_so(manager: Caller, media_type: str) -> None:
    problem_of(raw(manager, b"name=a", media_type), 415)


def test_an_answer_in_another_media_type_is_not_to_be_had(manager: Caller) -> None:
    problem_of(manager.get("owners/", Accept="text/html"), 406)


def test_an_address_that_is_none_is_a_problem_for_everybody(manager: Caller, nobody: Caller) -> None:
    for caller in (manager, nobody):
        for method in ("GET", "POST", "PUT", "PATCH", "DELETE"):
            problem_of(caller.send(method, "no/such/address/"), 404)
            problem_of(caller.send(method, "boats"), 404)
    strict = Client(enforce_csrf_checks=True)
    problem_of(strict.post(f"{V1}no/such/address/"), 404)


def test_a_method_that_is_not_taken_names_those_that_are(manager: Caller) -> None:
    answer = manager.delete("owners/")
    problem_of(answer, 405)
    assert set(answer["Allow"].replace(" ", "").split(",")) >= {"GET", "POST"}
    problem_of(manager.send("OPTIONS", "owners/"), 405)
    problem_of(manager.send("TRACE", "owners/"), 405)


def test_who_is_nobody_is_told_how_to_sign_in(nobody: Caller) -> None:
    answer = nobody.get("boats/")
    problem_of(answer, 401)
    assert answer["WWW-Authenticate"] == "Bearer"


def test_all_that_is_wrong_is_named_at_once(manager: Caller) -> None:
    answer = manager.post("owners/", {"name": "", "email": 7, "shoe_size": 42})
    assert fields_of(answer, 400) == {"name", "email", "shoe_size"}
    assert answer.json()["detail"] == "3 things can't be taken; each is named in errors."


def test_one_thing_that_is_wrong_is_told_in_the_detail(manager: Caller) -> None:
    detail = manager.post("owners/", {"name": "Ines Marsk", "email": "nowhere"}).json()["detail"]
    assert detail == "email: is no e-mail address: 'nowhere'; give one like name@example.org"


def test_a_server_that_breaks_tells_nothing_of_its_inside(
    manager: Caller, yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    def breaks(**_: Any) -> Owner:
        raise RuntimeError("secret of the house")

    monkeypatch.setattr("api.rooms.people.owner_create", breaks)
    manager.client.raise_request_exception = False
    answer = manager.post("owners/", {"name": "Ines Marsk", "email": "ines@harbour.example"})
    problem = problem_of(answer, 500)
    assert "secret" not in json.dumps(problem)


def test_a_broken_server_still_reaches_the_log(manager: Caller, monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(**_: Any) -> Owner:
        raise RuntimeError("seen by the log")

    monkeypatch.setattr("api.rooms.people.owner_create", breaks)
    with pytest.raises(RuntimeError, match="seen by the log"):  # Django's own signal carries it to whoever listens
        manager.post("owners/", {"name": "Ines Marsk", "email": "ines@harbour.example"})


def test_every_kind_has_its_place_on_the_page_of_problems(nobody: Caller) -> None:
    page = nobody.get("problems/").content.decode()
    assert set(WHAT_WOULD_DO) == set(KINDS)
    for kind, (status, title) in KINDS.items():
        assert f'id="{kind}"' in page
        assert str(status.value) in page
        assert title.replace("'", "&#x27;") in page
