"""The outbox: asked for in the transaction of the change, worked once, tried again, given up in the open."""

import threading
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.contrib.sessions.models import Session
from django.db import connection, transaction
from pytest_django import Settings

from tests.factories import YardFactory
from yard import outbox
from yard.models import OutboxRow, Yard
from yard.outbox import Ask, GiveUp, claim, claim_next, drain, enqueue, enqueue_many, run_row, send_again
from yard.outbox import handlers as registry
from yard.outbox.handlers import Finish
from yard.outbox.running import backoff, run_claimed
from yard.refusals import Refused

pytestmark = [pytest.mark.both_databases]

in_one_transaction = pytest.mark.django_db
with_real_transactions = pytest.mark.django_db(transaction=True)


class Bench:
    """A handler that notes its runs and its effects, and does meanwhile what the test asks of it."""

    def __init__(self) -> None:
        self.runs: list[dict[str, Any]] = []
        self.effects: list[datetime] = []
        self.meanwhile: Callable[[], None] = lambda: None
        self.at_finish: Callable[[], None] = lambda: None

    def __call__(self, **arguments: Any) -> Finish:
        self.runs.append(arguments)
        self.meanwhile()

        def finish(now: datetime) -> None:
            self.at_finish()
            # an effect in the database, which goes when the transaction goes
            Yard.objects.filter(pk=arguments["yard_id"]).update(quote_valid_days=len(self.effects) + 1)
            self.effects.append(now)

        return finish


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch) -> Bench:
    one = Bench()
    monkeypatch.setitem(registry._handlers, "tests.bench", one)
    return one


@pytest.fixture
def yard(db: None) -> Yard:
    return YardFactory.create(quote_valid_days=100)


def ask(yard: Yard, at: datetime, key: str = "bench:1", **more: Any) -> OutboxRow | None:
    with transaction.atomic():
        return enqueue(task="tests.bench", arguments={"yard_id": yard.pk}, key=key, yard=yard, at=at, **more)


def written(yard: Yard, at: datetime, key: str = "bench:1", **more: Any) -> OutboxRow:
    row = ask(yard, at, key, **more)
    assert row is not None
    return row


# --- asking --------------------------------------------------------------------------------------------


@with_real_transactions
def test_work_is_refused_where_no_transaction_holds_it_and_the_change_together(
    yard: Yard, spring: datetime
) -> None:
    with pytest.raises(transaction.TransactionManagementError):
        enqueue(task="tests.bench", arguments={}, key="a", yard=yard, at=spring)
    assert not OutboxRow.objects.exists()


@with_real_transactions
def test_work_goes_when_its_change_is_taken_back(yard: Yard, spring: datetime) -> None:
    with transaction.atomic():
        ask(yard, spring)
        transaction.set_rollback(True)
    assert not OutboxRow.objects.exists()


@in_one_transaction
def test_the_same_work_waits_once_and_may_be_asked_for_again_when_done(
    yard: Yard, bench: Bench, spring: datetime
) -> None:
    assert ask(yard, spring) is not None
    assert ask(yard, spring) is None
    assert drain(now=spring) == 1
    assert ask(yard, spring) is not None
    assert drain(now=spring) == 1
    assert len(bench.effects) == 2


@in_one_transaction
def test_much_work_is_written_at_once_with_each_key_once(yard: Yard, bench: Bench, spring: datetime) -> None:
    ask(yard, spring, "bench:2")
    asks = [Ask("tests.bench", f"bench:{n}", {"yard_id": yard.pk}) for n in (3, 1, 2, 1)]
    with transaction.atomic():
        rows = enqueue_many(asks, yard=yard, at=spring)
    assert sorted(row.key for row in rows) == ["bench:1", "bench:3"]
    assert all(row.pk for row in rows)
    assert drain(now=spring) == 3


@in_one_transaction
def test_work_for_later_is_left_until_then(yard: Yard, bench: Bench, spring: datetime) -> None:
    later = spring + timedelta(hours=6)
    ask(yard, spring, not_before=later)
    assert drain(now=later - timedelta(microseconds=1)) == 0
    assert drain(now=later) == 1
    assert bench.effects == [later]


@in_one_transaction
def test_asking_for_waiting_work_at_an_earlier_time_brings_it_forward(
    yard: Yard, bench: Bench, spring: datetime
) -> None:
    ask(yard, spring, not_before=spring + timedelta(hours=6))
    ask(yard, spring)
    assert drain(now=spring) == 1
    ask(yard, spring)
    ask(yard, spring, not_before=spring + timedelta(hours=6))
    assert drain(now=spring) == 1


@in_one_transaction
def test_work_asked_for_while_somebody_is_at_it_is_done_again_from_the_start(
    yard: Yard, bench: Bench, spring: datetime
) -> None:
    ask(yard, spring)

    def somebody_changes_what_was_read() -> None:
        bench.meanwhile = lambda: None
        assert ask(yard, spring) is None

    bench.meanwhile = somebody_changes_what_was_read
    assert drain(now=spring) == 2
    assert len(bench.runs) == 2
    assert len(bench.effects) == 1
    row = OutboxRow.objects.get()
    assert (row.done_at, row.attempts) == (spring, 1)


@in_one_transaction
def test_work_asked_for_between_the_effect_and_its_note_takes_the_effect_back(
    yard: Yard, bench: Bench, spring: datetime
) -> None:
    ask(yard, spring)

    def at_the_last_moment() -> None:
        bench.at_finish = lambda: None
        OutboxRow.objects.update(times_asked=2)

    bench.at_finish = at_the_last_moment
    claimed = claim_next(now=spring)
    assert claimed is not None
    run_claimed(claimed, now=spring)
    yard.refresh_from_db()
    # The note of the second asking went with the transaction it was (for this test) written in.
    assert yard.quote_valid_days == 100
    assert OutboxRow.objects.get().done_at is None


# --- claims --------------------------------------------------------------------------------------------


@in_one_transaction
def test_a_claim_holds_for_its_lease_and_then_goes_to_the_next(
    yard: Yard, bench: Bench, settings: Settings, spring: datetime
) -> None:
    settings.OUTBOX_LEASE_SECONDS = 60
    row = written(yard, spring)
    first = claim(row.pk, now=spring)
    assert first is not None
    end = spring + timedelta(seconds=60)
    assert first.lease_until == end
    assert claim(row.pk, now=end - timedelta(microseconds=1)) is None
    assert run_row(row.pk, now=end - timedelta(microseconds=1)) is False
    second = claim(row.pk, now=end)
    assert second is not None
    assert (first.attempt, second.attempt) == (1, 2)


@in_one_transaction
def test_of_two_who_worked_on_one_row_the_first_to_finish_counts(
    yard: Yard, bench: Bench, spring: datetime
) -> None:
    row = written(yard, spring)
    slow = claim(row.pk, now=spring)
    quick = claim(row.pk, now=spring + timedelta(hours=1))
    assert slow is not None
    assert quick is not None
    run_claimed(quick, now=spring + timedelta(hours=1))
    run_claimed(slow, now=spring + timedelta(hours=2))
    assert bench.effects == [spring + timedelta(hours=1)]
    row.refresh_from_db()
    assert row.done_at == spring + timedelta(hours=1)


@in_one_transaction
def test_work_that_outlives_its_lease_is_not_thrown_away(yard: Yard, bench: Bench, spring: datetime) -> None:
    row = written(yard, spring)
    slow = claim(row.pk, now=spring)
    next_one = claim(row.pk, now=spring + timedelta(hours=1))
    assert slow is not None
    assert next_one is not None
    run_claimed(slow, now=spring + timedelta(hours=2))
    run_claimed(next_one, now=spring + timedelta(hours=3))
    assert bench.effects == [spring + timedelta(hours=2)]


@in_one_transaction
def test_a_failure_that_comes_after_the_lease_does_not_disturb_the_next_one(
    yard: Yard, bench: Bench, spring: datetime
) -> None:
    row = written(yard, spring)
    slow = claim(row.pk, now=spring)
    next_one = claim(row.pk, now=spring + timedelta(hours=1))
    assert slow is not None
    assert next_one is not None
    bench.meanwhile = _break
    run_claimed(slow, now=spring + timedelta(hours=1))
    row.refresh_from_db()
    assert row.lease_until == next_one.lease_until
    assert row.last_error == ""


@with_real_transactions
def test_many_claiming_at_once_never_share_a_row(yard: Yard, bench: Bench, spring: datetime) -> None:
    count, workers = 12, 4
    for number in range(count):
        ask(yard, spring, f"bench:{number}")
    start = threading.Barrier(workers, timeout=30)
    got: list[int] = []
    trouble: list[BaseException] = []

    def take_all() -> None:
        try:
            start.wait(timeout=10)
            while claimed := claim_next(now=spring):
                got.append(claimed.row_id)
        except BaseException as error:
            trouble.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=take_all) for _ in range(workers)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    assert trouble == []
    assert len(got) == count
    assert len(set(got)) == count
    assert set(OutboxRow.objects.values_list("attempts", flat=True)) == {1}


@with_real_transactions
def test_many_working_at_once_have_each_effect_once(yard: Yard, bench: Bench, spring: datetime) -> None:
    for number in range(8):
        ask(yard, spring, f"bench:{number}")
    threads = [threading.Thread(target=_drain_and_close, args=(spring,)) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    assert not OutboxRow.objects.filter(done_at__isnull=True).exists()
    assert len(bench.effects) == 8


def _drain_and_close(now: datetime) -> None:
    try:
        drain(now=now)
    finally:
        connection.close()


@with_real_transactions
def test_two_who_ask_for_the_same_new_work_at_once_write_it_once(yard: Yard, spring: datetime) -> None:
    start = threading.Barrier(3, timeout=30)
    answers: list[bool] = []

    def ask_at_once() -> None:
        try:
            start.wait(timeout=10)
            answers.append(ask(yard, spring) is not None)
        finally:
            connection.close()

    threads = [threading.Thread(target=ask_at_once) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    assert sorted(answers) == [False, False, True]
    row = OutboxRow.objects.get()
    assert row.times_asked == 3


# --- what goes wrong -----------------------------------------------------------------------------------


def _break() -> None:
    raise ValueError("the plank is not here")


@in_one_transaction
def test_failed_work_waits_longer_each_time_and_is_given_up_in_the_open(
    yard: Yard, bench: Bench, settings: Settings, spring: datetime
) -> None:
    settings.OUTBOX_MAX_ATTEMPTS, settings.OUTBOX_BACKOFF_SECONDS = 4, 10.0
    row = written(yard, spring)
    bench.meanwhile = _break
    now, waits = spring, []
    for _ in range(3):
        assert drain(now=now) == 1
        row.refresh_from_db()
        assert row.lease_until is None
        assert row.failed_at is None
        waits.append((row.not_before - now).total_seconds())
        now = row.not_before
    assert waits == [10.0, 20.0, 40.0]
    assert drain(now=now) == 1
    row.refresh_from_db()
    assert row.failed_at == now
    assert row.attempts == 4
    assert row.last_error == "ValueError: the plank is not here"
    assert drain(now=now + timedelta(days=30)) == 0
    assert bench.effects == []


def test_no_wait_is_longer_than_an_hour(settings: Settings) -> None:
    settings.OUTBOX_BACKOFF_SECONDS = 5.0
    assert backoff(1) == timedelta(seconds=5)
    assert backoff(2) == timedelta(seconds=10)
    assert backoff(10_000) == timedelta(hours=1)


@in_one_transaction
def test_work_whose_worker_is_killed_each_time_is_given_up_too(
    yard: Yard, bench: Bench, settings: Settings, spring: datetime
) -> None:
    settings.OUTBOX_MAX_ATTEMPTS, settings.OUTBOX_LEASE_SECONDS = 3, 60
    row = written(yard, spring)
    now = spring
    for attempt in (1, 2, 3):
        claimed = claim_next(now=now)  # and then nothing more is heard of it
        assert claimed is not None
        assert claimed.attempt == attempt
        now += timedelta(seconds=60)
    assert claim_next(now=now) is None
    row.refresh_from_db()
    assert row.failed_at == now
    assert "killed" in row.last_error


@in_one_transaction
def test_an_effect_that_fails_half_way_leaves_nothing(yard: Yard, bench: Bench, spring: datetime) -> None:
    def half_way() -> None:
        Yard.objects.update(quote_valid_days=7)
        _break()

    bench.at_finish = half_way
    row = written(yard, spring)
    drain(now=spring)
    yard.refresh_from_db()
    row.refresh_from_db()
    assert yard.quote_valid_days == 100
    assert (row.done_at, row.last_error) == (None, "ValueError: the plank is not here")


@in_one_transaction
def test_an_error_outside_the_usual_kinds_does_not_take_the_worker_along(
    yard: Yard, bench: Bench, spring: datetime
) -> None:
    class Fatal(BaseException):
        pass

    def fail() -> None:
        raise Fatal("some libraries do this")

    bench.meanwhile = fail
    row = written(yard, spring)
    drain(now=spring)
    row.refresh_from_db()
    assert row.last_error == "Fatal: some libraries do this"


@in_one_transaction
def test_a_handler_can_say_that_trying_again_would_not_help(yard: Yard, bench: Bench, spring: datetime) -> None:
    def hopeless() -> None:
        raise GiveUp("the boat is gone")

    bench.meanwhile = hopeless
    row = written(yard, spring)
    drain(now=spring)
    row.refresh_from_db()
    assert (row.failed_at, row.attempts) == (spring, 1)
    assert "the boat is gone" in row.last_error


@in_one_transaction
def test_work_nobody_knows_fails_in_the_open(yard: Yard, settings: Settings, spring: datetime) -> None:
    settings.OUTBOX_MAX_ATTEMPTS = 1
    with transaction.atomic():
        row = enqueue(task="tests.unheard_of", arguments={}, key="x", yard=yard, at=spring)
    assert row is not None
    drain(now=spring)
    row.refresh_from_db()
    assert row.failed_at == spring
    assert "tests.unheard_of" in row.last_error


@in_one_transaction
def test_a_process_that_is_told_to_end_leaves_the_row_to_the_next(
    yard: Yard, bench: Bench, spring: datetime
) -> None:
    def told_to_end() -> None:
        raise SystemExit(0)

    bench.meanwhile = told_to_end
    row = written(yard, spring)
    with pytest.raises(SystemExit):
        drain(now=spring)
    bench.meanwhile = lambda: None
    row.refresh_from_db()
    assert row.lease_until is not None
    assert drain(now=row.lease_until) == 1
    assert len(bench.effects) == 1


# --- sending again -------------------------------------------------------------------------------------


@in_one_transaction
def test_given_up_work_can_be_sent_again_with_all_its_tries(
    yard: Yard, bench: Bench, settings: Settings, spring: datetime
) -> None:
    settings.OUTBOX_MAX_ATTEMPTS = 1
    bench.meanwhile = _break
    row = written(yard, spring)
    drain(now=spring)
    bench.meanwhile = lambda: None
    row.refresh_from_db()
    send_again(row, at=spring + timedelta(hours=1))
    assert drain(now=spring + timedelta(hours=1)) == 1
    row.refresh_from_db()
    assert row.done_at == spring + timedelta(hours=1)
    assert row.last_error == ""


@in_one_transaction
def test_only_given_up_work_is_sent_again_and_not_beside_newer_work_of_its_key(
    yard: Yard, bench: Bench, settings: Settings, spring: datetime
) -> None:
    settings.OUTBOX_MAX_ATTEMPTS = 1
    row = written(yard, spring)
    with pytest.raises(Refused, match="was not given up"):
        send_again(row, at=spring)
    bench.meanwhile = _break
    drain(now=spring)
    ask(yard, spring)
    row.refresh_from_db()
    with pytest.raises(Refused, match="waiting already"):
        send_again(row, at=spring)


# --- nights --------------------------------------------------------------------------------------------


@in_one_transaction
def test_each_yard_gets_its_nightly_work_once_in_its_own_night(
    yard: Yard, bench: Bench, monkeypatch: pytest.MonkeyPatch, spring: datetime
) -> None:
    from yard.outbox import nightly

    monkeypatch.setattr(nightly, "_nightly", [])
    outbox.every_night("tests.bench")
    far = YardFactory.create(time_zone="Pacific/Auckland")
    assert outbox.nightly_rows_write(now=spring) == 2
    assert outbox.nightly_rows_write(now=spring + timedelta(minutes=1)) == 0
    rows = {row.yard_id: row for row in OutboxRow.objects.all()}
    # 1 April 2027, 08:00 UTC: summer time (UTC+2) in Copenhagen, 21:00 of the same day in Auckland (UTC+13).
    assert rows[yard.pk].not_before.isoformat() == "2027-04-01T23:30:00+00:00"
    assert rows[far.pk].not_before.isoformat() == "2027-04-01T12:30:00+00:00"
    night = rows[yard.pk].not_before
    assert drain(now=night) == 2
    assert {run["yard_id"] for run in bench.runs} == {yard.pk, far.pk}
    # done: the same night does not come twice, the next one does
    assert outbox.nightly_rows_write(now=night - timedelta(seconds=1)) == 1
    assert outbox.nightly_rows_write(now=night) == 1


@in_one_transaction
def test_a_night_that_failed_does_not_end_the_nights(
    yard: Yard, bench: Bench, settings: Settings, monkeypatch: pytest.MonkeyPatch, spring: datetime
) -> None:
    from yard.outbox import nightly

    monkeypatch.setattr(nightly, "_nightly", ["tests.bench"])
    settings.OUTBOX_MAX_ATTEMPTS = 1
    bench.meanwhile = _break
    outbox.nightly_rows_write(now=spring)
    night = spring + timedelta(days=1)
    drain(now=night)
    assert OutboxRow.objects.filter(failed_at__isnull=False).count() == 1
    assert outbox.nightly_rows_write(now=night) == 1


@in_one_transaction
def test_a_night_forgets_what_was_done_long_ago_and_nothing_else(
    yard: Yard, bench: Bench, spring: datetime
) -> None:
    from yard.outbox.pruning import FORGET_DONE, KEPT

    def row(key: str, of: Yard, **ended: datetime) -> None:
        OutboxRow.objects.create(
            yard=of, task="tests.bench", key=key, created_at=spring, not_before=spring + 4 * KEPT, **ended
        )

    other = YardFactory.create()
    row("old", yard, done_at=spring)
    row("theirs", other, done_at=spring)
    row("new", yard, done_at=spring + timedelta(days=1))
    row("gave up", yard, failed_at=spring)
    row("waits", yard)
    at = spring + KEPT + timedelta(hours=1)
    Session.objects.create(session_key="over", session_data="", expire_date=at - timedelta(hours=1))
    Session.objects.create(session_key="runs", session_data="", expire_date=at + timedelta(hours=1))
    enqueue(task=FORGET_DONE, arguments={"yard_id": yard.pk}, key="night", yard=yard, at=at)
    assert drain(now=at) == 1
    assert set(OutboxRow.objects.values_list("key", flat=True)) == {"theirs", "new", "gave up", "waits", "night"}
    assert Session.objects.get().session_key == "runs"


# --- the registry --------------------------------------------------------------------------------------


def test_two_handlers_of_one_name_are_a_mistake(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(registry, "_handlers", {})

    def one() -> None: ...

    def other() -> None: ...

    outbox.handler("tests.twice")(one)
    outbox.handler("tests.twice")(one)
    with pytest.raises(ValueError, match="two handlers"):
        outbox.handler("tests.twice")(other)
