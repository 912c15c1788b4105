"""Telling the broker: news of due rows after the commit, never an error to whoever asked for the work."""

import json
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import redis
from django.db import transaction
from django.utils import timezone
from pytest_django import Settings

from tests.celery_connections import forget_connections
from tests.factories import YardFactory
from tests.processes import Broker, free_port, own_broker
from yard.models import OutboxRow, Yard
from yard.outbox import Ask, enqueue, enqueue_many, sweeping, tasks, telling

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.both_databases]


@pytest.fixture
def yard() -> Yard:
    return YardFactory.create()


def use_broker(url: str, settings: Settings, monkeypatch: pytest.MonkeyPatch) -> None:
    settings.CELERY_BROKER_URL = url
    monkeypatch.setenv("CELERY_BROKER_URL", url)  # Celery reads it before its configuration
    monkeypatch.setattr(telling, "_left_alone_until", 0.0)
    forget_connections()


@pytest.fixture
def broker(tmp_path: Path, settings: Settings, monkeypatch: pytest.MonkeyPatch) -> Iterator[Broker]:
    with own_broker(tmp_path) as one:
        use_broker(one.url, settings, monkeypatch)
        yield one
    forget_connections()


@pytest.fixture
def no_broker_there(settings: Settings, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    use_broker(f"redis://127.0.0.1:{free_port()}/0", settings, monkeypatch)
    yield
    forget_connections()


def ask(yard: Yard, key: str, **more: datetime) -> OutboxRow:
    with transaction.atomic():
        row = enqueue(task="yard.send_mail", arguments={}, key=key, yard=yard, at=timezone.now(), **more)
    assert row is not None
    return row


def news(broker: Broker) -> list[tuple[int, dict[str, object]]]:
    """The rows that the broker knows of, oldest news first, each with its headers."""
    with redis.Redis(port=broker.port) as client:
        messages = [json.loads(message) for message in reversed(client.lrange("celery", 0, -1))]
    return [
        (int(message["headers"]["argsrepr"].strip("[]()").rstrip(",")), message["headers"]) for message in messages
    ]


@pytest.mark.needs_redis
def test_due_work_is_told_once_it_is_committed(broker: Broker, yard: Yard) -> None:
    with transaction.atomic():
        row = ask(yard, "a")
        assert news(broker) == []
    ((told, headers),) = news(broker)
    assert (told, headers["task"]) == (row.pk, "yard.outbox.run")


@pytest.mark.needs_redis
def test_of_much_work_the_broker_gets_one_message_and_a_worker_tells_it_of_each(broker: Broker, yard: Yard) -> None:
    asks = [Ask(task="yard.send_mail", key=f"row:{number}") for number in range(telling.AT_ONCE + 1)]
    with transaction.atomic():
        keys = [row.pk for row in enqueue_many(asks, yard=yard, at=timezone.now())]
    with redis.Redis(port=broker.port) as client:
        (message,) = client.lrange("celery", 0, -1)
    headers = json.loads(message)["headers"]
    assert (headers["task"], headers["argsrepr"]) == ("yard.outbox.tell", f"[{keys}]")
    broker.empty()
    tasks.tell(keys)
    assert [(told, headers["task"]) for told, headers in news(broker)] == [(key, "yard.outbox.run") for key in keys]


@pytest.mark.needs_redis
def test_work_that_was_taken_back_and_work_for_later_is_not_told(broker: Broker, yard: Yard) -> None:
    with transaction.atomic():
        ask(yard, "a")
        transaction.set_rollback(True)
    ask(yard, "b", not_before=timezone.now() + timedelta(hours=1))
    assert news(broker) == []


@pytest.mark.needs_redis
def test_the_sweep_tells_of_what_has_been_overlooked_and_its_news_expires(
    broker: Broker, yard: Yard, settings: Settings
) -> None:
    settings.OUTBOX_SWEEP_SECONDS = 10.0
    now = timezone.now()
    rows = {key: ask(yard, key) for key in ("overlooked", "just now", "in hand", "lease over", "done", "given up")}
    broker.empty()

    def change(key: str, **values: object) -> None:
        OutboxRow.objects.filter(pk=rows[key].pk).update(**values)

    for key in rows:
        change(key, not_before=now - timedelta(seconds=30))
    change("just now", not_before=now)
    change("in hand", lease_until=now + timedelta(seconds=5))
    change("lease over", lease_until=now - timedelta(seconds=5))
    change("done", done_at=now)
    change("given up", failed_at=now)
    assert sweeping.sweep(now=now) == 2
    assert {row for row, _ in news(broker)} == {rows["overlooked"].pk, rows["lease over"].pk}
    for _, headers in news(broker):
        expires = datetime.fromisoformat(str(headers["expires"])).astimezone(UTC)
        assert timedelta(seconds=9) < expires - now < timedelta(seconds=15)


def test_a_broker_that_is_away_costs_nobody_an_error_nor_time(no_broker_there: None, yard: Yard) -> None:
    before = timezone.now()
    for number in range(5):
        ask(yard, f"row:{number}")
    assert timezone.now() - before < timedelta(seconds=3)
    assert OutboxRow.objects.open().filter(task="yard.send_mail").count() == 5


def test_a_broker_that_did_not_answer_is_left_alone_for_a_while(
    no_broker_there: None, yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    tries: list[object] = []
    clock = [1000.0]
    monkeypatch.setattr(telling.time, "monotonic", lambda: clock[0])  # type: ignore[attr-defined]

    def nobody_answers(*args: object, **options: object) -> None:
        tries.append(args)
        raise ConnectionError("nobody there")

    from yard.celery import app

    monkeypatch.setattr(app, "send_task", nobody_answers)
    for seconds, tried in ((0.0, 1), (4.9, 1), (5.0, 2), (5.1, 2)):
        clock[0] = 1000.0 + seconds
        assert telling.tell([1, 2, 3]) == 0
        assert len(tries) == tried


def test_without_a_broker_nothing_is_told(settings: Settings, yard: Yard) -> None:
    settings.CELERY_BROKER_URL = ""
    row = ask(yard, "a")
    assert telling.tell([row.pk]) == 0
