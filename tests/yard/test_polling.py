"""The poller: works until told to end, and outlives a database that goes away for a while."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.db import OperationalError, transaction
from django.utils import timezone

from tests.factories import YardFactory
from yard.models import OutboxRow
from yard.outbox import claim_next, enqueue, polling
from yard.outbox import handlers as registry

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


def ask(count: int) -> None:
    yard = YardFactory.create()
    with transaction.atomic():
        for number in range(count):
            enqueue(task="tests.quick", arguments={}, key=f"q:{number}", yard=yard, at=timezone.now())


def done() -> int:
    return OutboxRow.objects.filter(task="tests.quick", done_at__isnull=False).count()


def after(rows: int) -> Callable[[], bool]:
    return lambda: done() >= rows


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(registry._handlers, "tests.quick", lambda: None)


def test_it_ends_after_the_row_in_hand() -> None:
    ask(5)
    assert polling.poll(told_to_end=after(3)) == 3
    assert done() == 3


def test_it_rests_only_when_nothing_is_due() -> None:
    ask(3)
    rests: list[float] = []

    def rest(seconds: float) -> None:
        rests.append(seconds)

    polling.poll(told_to_end=lambda: len(rests) >= 2, pause=rest)
    assert done() == 3
    assert len(rests) == 2


def test_it_outlives_a_database_that_goes_away(monkeypatch: pytest.MonkeyPatch) -> None:
    ask(2)
    away = iter([True, True, False, True])

    def sometimes_away() -> object:
        if next(away, False):
            raise OperationalError("server closed the connection unexpectedly")
        return claim_next()

    rests: list[float] = []
    monkeypatch.setattr(polling, "claim_next", sometimes_away)
    monkeypatch.setattr(polling, "close_old_connections", lambda: None)  # the test's own transaction is in it
    polling.poll(told_to_end=after(2), pause=rests.append)
    assert done() == 2
    assert rests == [polling.DATABASE_AWAY_SECONDS] * 3


def test_it_writes_the_rows_of_the_coming_night(monkeypatch: pytest.MonkeyPatch) -> None:
    from yard.outbox import nightly

    monkeypatch.setattr(nightly, "_nightly", ["tests.quick"])
    YardFactory.create()
    ended = iter([False, False, True])
    polling.poll(told_to_end=lambda: next(ended), pause=lambda seconds: None)
    row = OutboxRow.objects.get()
    assert timedelta(0) < row.not_before - timezone.now() <= timedelta(days=1)
