"""What an orchestrator is told: alive, able to work, and if not, what is missing; and no secrets."""

from datetime import timedelta
from pathlib import Path
from unittest import mock

import pytest
from django.db import DatabaseError, connection
from django.test import Client
from django.utils import timezone
from pytest_django import Settings

from tests.processes import free_port, own_broker
from yard.models import OutboxRow

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture(autouse=True)
def no_broker(settings: Settings) -> None:
    settings.CELERY_BROKER_URL = ""


def row(minutes_due: float, **more: object) -> OutboxRow:
    due = timezone.now() - timedelta(minutes=minutes_due)
    return OutboxRow.objects.create(
        task="yard.send_mail", key=f"key:{OutboxRow.objects.count()}", created_at=due, not_before=due, **more
    )


def test_a_process_that_answers_is_alive_whatever_else_is_wrong(client: Client) -> None:
    with mock.patch.object(connection, "cursor", side_effect=DatabaseError("gone")):
        answer = client.get("/healthz")
    assert (answer.status_code, answer.json()) == (200, {"status": "alive"})


def test_a_service_with_nothing_to_do_is_ready(client: Client) -> None:
    answer = client.get("/readyz")
    assert answer.status_code == 200
    assert answer.json() == {
        "status": "ready",
        "checks": {"database": {}, "outbox": {"waiting": 0, "oldest_waiting_seconds": 0, "failed": 0}},
    }
    assert "no-store" in answer["Cache-Control"]


def test_work_in_hand_for_later_or_ended_is_not_waiting(client: Client) -> None:
    now = timezone.now()
    row(60, lease_until=now + timedelta(minutes=1))
    row(60, done_at=now)
    row(-60)
    assert client.get("/readyz").json()["checks"]["outbox"]["waiting"] == 0


def test_work_that_waits_a_little_is_told_and_no_trouble(client: Client) -> None:
    row(4.5)
    row(1)
    answer = client.get("/readyz")
    assert answer.status_code == 200
    outbox = answer.json()["checks"]["outbox"]
    assert outbox["waiting"] == 2
    assert 270 <= outbox["oldest_waiting_seconds"] < 290


def test_work_that_nobody_takes_makes_the_service_unready(client: Client) -> None:
    row(5.1)
    answer = client.get("/readyz")
    assert answer.status_code == 503
    assert answer.json()["status"] == "not ready"
    assert "no worker" in answer.json()["checks"]["outbox"]["problem"]


def test_work_that_was_given_up_is_counted_and_no_more(client: Client) -> None:
    row(60, failed_at=timezone.now(), last_error="ValueError: password of the mail server is swordfish")
    answer = client.get("/readyz")
    assert answer.status_code == 200
    assert answer.json()["checks"]["outbox"]["failed"] == 1
    assert "swordfish" not in answer.content.decode()


def test_a_database_that_is_away_is_named_and_its_words_are_not_repeated(client: Client) -> None:
    with mock.patch.object(connection, "cursor", side_effect=DatabaseError("host=10.0.0.7 password=swordfish")):
        answer = client.get("/readyz")
    assert answer.status_code == 503
    assert answer.json()["checks"] == {"database": {"problem": "the database does not answer"}}
    assert "swordfish" not in answer.content.decode()


def test_only_reading_is_answered(client: Client) -> None:
    assert client.post("/readyz").status_code == 405
    assert client.post("/healthz").status_code == 405
    assert client.head("/readyz").status_code == 200


def test_a_broker_that_is_away_is_named_at_once_and_its_address_is_not_told(
    client: Client, settings: Settings
) -> None:
    settings.CELERY_BROKER_URL = f"redis://:swordfish@127.0.0.1:{free_port()}/0"
    before = timezone.now()
    answer = client.get("/readyz")
    assert timezone.now() - before < timedelta(seconds=5)
    assert answer.status_code == 503
    assert set(answer.json()["checks"]) == {"database", "outbox", "broker"}
    assert "does not answer" in answer.json()["checks"]["broker"]["problem"]
    assert "swordfish" not in answer.content.decode()


@pytest.mark.needs_redis
def test_a_broker_that_answers_is_no_trouble(client: Client, settings: Settings, tmp_path: Path) -> None:
    with own_broker(tmp_path) as broker:
        settings.CELERY_BROKER_URL = broker.url
        answer = client.get("/readyz")
    assert answer.status_code == 200
    assert answer.json()["checks"]["broker"] == {}
