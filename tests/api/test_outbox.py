"""Background work that gave up: the office sees it and sends it again."""

import pytest
from django.db import transaction

from tests.api.callers import Caller, fields_of, problem_of
from tests.api.worlds import NOW
from yard.models import OutboxRow, Yard
from yard.outbox import enqueue


@pytest.fixture
def given_up(yard: Yard) -> OutboxRow:
    with transaction.atomic():
        row = enqueue(
            task="workshop.make_report", arguments={"quote_id": 7}, key="make_report:7", yard=yard, at=NOW
        )
    assert row is not None
    OutboxRow.objects.filter(pk=row.pk).update(failed_at=NOW, attempts=6, last_error="OSError: no space left")
    return row


def test_a_manager_sees_what_gave_up_and_why(manager: Caller, given_up: OutboxRow) -> None:
    (row,) = manager.results("outbox/?state=failed")
    assert (row["task"], row["attempts"], row["last_error"]) == (
        "workshop.make_report",
        6,
        "OSError: no space left",
    )
    assert manager.results("outbox/?state=waiting") == []
    assert fields_of(manager.get("outbox/?state=lost"), 400) == {"state"}


def test_it_is_sent_again_once(manager: Caller, given_up: OutboxRow) -> None:
    address = f"outbox/{given_up.pk}/send-again/"
    again = manager.post(address).json()
    assert (again["state"], again["attempts"], again["failed_at"]) == ("waiting", 0, None)
    assert fields_of(manager.post(address), 422) == {"row"}


def test_technicians_strangers_and_nobody_have_no_business_with_it(
    technician: Caller, stranger: Caller, nobody: Caller, given_up: OutboxRow
) -> None:
    for caller, status in ((technician, 403), (stranger, 404), (nobody, 401)):
        problem_of(caller.get(f"outbox/{given_up.pk}/"), status)
        problem_of(caller.post(f"outbox/{given_up.pk}/send-again/"), status)
    problem_of(technician.get("outbox/"), 403)
    assert stranger.results("outbox/") == []


def test_work_of_the_whole_house_is_no_yards_business(manager: Caller, yard: Yard) -> None:
    with transaction.atomic():
        row = enqueue(task="yard.nightly", arguments={}, key="nightly", yard=None, at=NOW)
    assert row is not None
    assert manager.results("outbox/") == []
    problem_of(manager.get(f"outbox/{row.pk}/"), 404)
