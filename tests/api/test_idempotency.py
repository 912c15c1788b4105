"""`Idempotency-Key` on POST, after the cases of the IETF draft (sources: standards/idempotency_key.json)."""

import json
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from pathlib import Path
from typing import Any, Final

import pytest
from django.db import connection
from django.utils import timezone

from api.idempotency import KEPT_FOR, UNDER_WAY
from api.models import KeptAnswer
from tests.api.callers import Caller, fields_of, problem_of
from tests.factories import MemberFactory, YardFactory
from yard.models import Owner, Yard
from yard.outbox import drain, nightly_rows_write
from yard.services.people import owner_create

TABLE: Final[dict[str, Any]] = json.loads(
    (Path(__file__).parents[1] / "reference" / "standards" / "idempotency_key.json").read_text(encoding="utf-8")
)
VALUES: Final = TABLE["values"]
SCENARIOS: Final = {row["name"]: row for row in TABLE["scenarios"]}
PAYLOADS: Final = {
    "a": {"name": "Ines Marsk", "email": "ines@harbour.example"},
    "b": {"name": "Bo Marsk", "email": "bo@harbour.example"},
}


def under_key(caller: Caller, key: str, payload: str = "a") -> Any:
    return caller.post("owners/", PAYLOADS[payload], Idempotency_Key=key)


@pytest.mark.parametrize("row", [row for row in VALUES if "status" not in row], ids=lambda row: row["name"])
def test_a_key_is_read_as_the_structured_field_says(manager: Caller, row: dict[str, Any]) -> None:
    assert under_key(manager, row["value"]).status_code == 201
    kept = KeptAnswer.objects.get()
    if "key" in row:
        assert kept.key == row["key"]
    else:
        assert len(kept.key) == row["key_length"]


@pytest.mark.parametrize("row", [row for row in VALUES if "status" in row], ids=lambda row: row["name"])
def test_what_is_no_key_is_refused_and_has_no_effect(manager: Caller, row: dict[str, Any]) -> None:
    value = row["value"].encode("utf-8").decode("latin-1")  # as bytes of a header arrive
    answer = under_key(manager, value)
    assert fields_of(answer, row["status"]) == {"Idempotency-Key"}
    assert not Owner.objects.exists()


@pytest.mark.parametrize(
    "name",
    [name for name, row in SCENARIOS.items() if row["rule"] in {"first", "replay", "reused", "string", "unique"}],
)
def test_one_after_the_other_as_the_draft_has_it(manager: Caller, name: str) -> None:
    first: Any = None
    for step in SCENARIOS[name]["requests"]:
        answer = under_key(manager, step["key"], step["payload"])
        if step["expect"] == "carried out":
            assert answer.status_code == 201
            assert "Idempotency-Replayed" not in answer
            first = answer
        elif step["expect"] == "same status and body as the first":
            assert (answer.status_code, answer.json()) == (first.status_code, first.json())
            assert answer["Location"] == first["Location"]
            assert answer["Idempotency-Replayed"] == "true"
        elif isinstance(step["expect"], int):
            assert fields_of(answer, step["expect"]) == {"Idempotency-Key"}
        else:  # a rule of the resource itself: an owner's address is taken
            assert step["expect"] == "carried out, or refused by a rule of the resource itself"
            assert fields_of(answer, 422) == {"email"}
        if "effects" in step:
            assert Owner.objects.count() == step["effects"]


@pytest.mark.parametrize("name", [name for name, row in SCENARIOS.items() if row["rule"] == "composite"])
def test_a_key_is_looked_up_with_who_sent_it(manager: Caller, stranger: Caller, yard: Yard, name: str) -> None:
    senders = {"one": manager, "other": stranger}
    for step in SCENARIOS[name]["requests"]:
        answer = under_key(senders[step["sender"]], step["key"], step["payload"])
        assert answer.status_code == 201
        assert "Idempotency-Replayed" not in answer


def test_a_colleague_of_the_same_yard_has_keys_of_their_own(manager: Caller, yard: Yard) -> None:
    colleague = Caller(MemberFactory.create(yard=yard))
    assert under_key(manager, "k1").status_code == 201
    assert under_key(colleague, "k1", "b").status_code == 201


# On SQLite a second writer waits until the first has committed, and then gets its answer.
@pytest.mark.needs_postgres
@pytest.mark.django_db(transaction=True)
def test_while_the_first_is_under_way_a_second_is_a_conflict(monkeypatch: pytest.MonkeyPatch) -> None:
    """The draft's scenarios "retry while the first is under way" and "the same again after 409"."""
    scenario = SCENARIOS["the same again after 409, once the first has completed"]["requests"]
    assert [step["expect"] for step in scenario] == ["under way", 409, "same status and body as the first"]
    manager = Caller(MemberFactory.create(yard=YardFactory.create()))
    started, may_go_on = threading.Event(), threading.Event()

    def slow_create(**given: Any) -> Owner:
        started.set()
        assert may_go_on.wait(20)
        return owner_create(**given)

    monkeypatch.setattr("api.rooms.people.owner_create", slow_create)
    with ThreadPoolExecutor(1) as pool:
        first = pool.submit(_in_thread(lambda: under_key(manager, "k1")))
        assert started.wait(20)
        problem_of(under_key(manager, "k1"), 409)
        assert Owner.objects.count() == 0
        may_go_on.set()
        done = first.result(timeout=20)
    assert done.status_code == 201
    again = under_key(manager, "k1")
    assert (again.status_code, again.json()) == (201, done.json())
    assert Owner.objects.count() == 1


@pytest.mark.both_databases
@pytest.mark.django_db(transaction=True)
def test_many_at_once_with_one_key_have_the_effect_of_one() -> None:
    manager = Caller(MemberFactory.create(yard=YardFactory.create()))
    callers = [_copy_of(manager) for _ in range(8)]
    with ThreadPoolExecutor(len(callers)) as pool:
        answers = list(pool.map(lambda caller: _in_thread(lambda: under_key(caller, "k1"))(), callers))
    assert Owner.objects.count() == 1
    assert {answer.status_code for answer in answers} <= {201, 409}
    done = [answer for answer in answers if answer.status_code == 201]
    assert done
    assert len({answer.json()["id"] for answer in done}) == 1
    assert sum("Idempotency-Replayed" not in answer for answer in done) == 1
    for answer in answers:
        if answer.status_code == 409:
            problem_of(answer, 409)
    assert under_key(manager, "k1").json()["id"] == done[0].json()["id"]


def test_a_key_whose_server_died_is_free_again_after_a_while(manager: Caller) -> None:
    assert under_key(manager, "k1").status_code == 201
    kept = KeptAnswer.objects.get()
    Owner.objects.all().delete()
    # As a server leaves it that is killed before its transaction commits.
    KeptAnswer.objects.update(status=None, body="", headers={})
    problem_of(under_key(manager, "k1"), 409)
    KeptAnswer.objects.update(started_at=timezone.now() - UNDER_WAY - timedelta(seconds=1))
    assert under_key(manager, "k1").status_code == 201
    assert Owner.objects.count() == 1
    kept.refresh_from_db()
    assert kept.status == 201


def test_a_refused_request_frees_its_key_for_the_mended_one(manager: Caller) -> None:
    wrong = PAYLOADS["a"] | {"email": "nowhere"}
    assert fields_of(manager.post("owners/", wrong, Idempotency_Key="k1"), 422) == {"email"}
    assert not KeptAnswer.objects.exists()
    assert under_key(manager, "k1").status_code == 201


def test_a_server_that_broke_frees_the_key_and_keeps_nothing(
    manager: Caller, monkeypatch: pytest.MonkeyPatch
) -> None:
    def breaks(**given: Any) -> Owner:
        owner_create(**given)
        raise RuntimeError("the power went off here")

    monkeypatch.setattr("api.rooms.people.owner_create", breaks)
    manager.client.raise_request_exception = False
    problem = problem_of(under_key(manager, "k1"), 500)
    assert "power" not in str(problem)
    assert not Owner.objects.exists()
    monkeypatch.undo()
    assert under_key(manager, "k1").status_code == 201


def test_the_same_key_for_another_address_is_refused(manager: Caller) -> None:
    assert under_key(manager, "k1").status_code == 201
    assert fields_of(manager.post("members/", PAYLOADS["a"], Idempotency_Key="k1"), 422) == {"Idempotency-Key"}


def test_other_methods_and_nobody_need_no_key(manager: Caller, nobody: Caller) -> None:
    assert manager.get("owners/", Idempotency_Key="").status_code == 200
    problem_of(nobody.post("owners/", PAYLOADS["a"], Idempotency_Key="k1"), 401)
    problem_of(manager.post("due-back/", {}, Idempotency_Key="k1"), 405)
    assert not KeptAnswer.objects.exists()


def test_answers_are_forgotten_in_the_night_after_two_days(manager: Caller, stranger: Caller) -> None:
    assert timedelta(hours=48) == KEPT_FOR
    under_key(manager, "old")
    KeptAnswer.objects.update(started_at=timezone.now() - KEPT_FOR - timedelta(seconds=1))
    under_key(manager, "new", "b")
    under_key(stranger, "elsewhere")
    nightly_rows_write(now=timezone.now())
    drain(now=timezone.now() + timedelta(days=1))
    assert {kept.key for kept in KeptAnswer.objects.all()} == {"new", "elsewhere"}


def test_how_long_keys_are_kept_is_told(nobody: Caller) -> None:
    page = nobody.get("problems/").content.decode()
    assert "48 hours" in page
    assert "Idempotency-Key" in page


def _copy_of(caller: Caller) -> Caller:
    copy = Caller()
    copy.headers = dict(caller.headers)
    return copy


def _in_thread(action: Callable[[], Any]) -> Callable[[], Any]:
    """A thread has a database connection of its own, which it must give back."""

    def run() -> Any:
        try:
            return action()
        finally:
            connection.close()

    return run
