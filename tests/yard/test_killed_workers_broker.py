"""Kill -9, a broker that goes and a broker that forgets, in the set-up with Celery on Redis and PostgreSQL.

As without a broker: a mail whose sender was killed between the mail server's having it and its answer may be
delivered again, with the same Message-ID; everything else happens once.
"""

import os
import signal
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from django.utils import timezone
from pytest_django import Settings

from inspections.models import Assessment
from tests.celery_connections import forget_connections
from tests.factories import YardFactory
from tests.factories.inspections import signs_of
from tests.inspections.scenes import scene
from tests.processes import (
    CELERY_READY,
    Broker,
    Fleet,
    Started,
    alive,
    command_of,
    descendants,
    fleet,
    free_port,
    own_broker,
    post,
    wait_until,
)
from tests.smtp import MailServer, mail_server
from yard.models import Mail, OutboxRow, Yard
from yard.models.outbox import OutboxQuerySet
from yard.outbox import telling
from yard.post import mail_write
from yard.services.people import device_token_issue

FINDINGS = 12

pytestmark = [
    pytest.mark.serial,
    pytest.mark.needs_postgres,
    pytest.mark.needs_redis,
    pytest.mark.django_db(transaction=True),
]


@pytest.fixture
def server() -> Iterator[MailServer]:
    with mail_server() as box:
        yield box


@pytest.fixture
def broker(tmp_path: Path, settings: Settings, monkeypatch: pytest.MonkeyPatch) -> Iterator[Broker]:
    """A broker of the test's own, which the test process itself tells its news too."""
    with own_broker(tmp_path) as one:
        settings.CELERY_BROKER_URL = one.url
        monkeypatch.setenv("CELERY_BROKER_URL", one.url)  # Celery reads it before its configuration
        monkeypatch.setattr(telling, "_left_alone_until", 0.0)
        forget_connections()
        yield one
    forget_connections()


@pytest.fixture
def processes(transactional_db: None, server: MailServer, broker: Broker, tmp_path: Path) -> Iterator[Fleet]:
    with fleet(tmp_path, mail_port=server.port, broker_url=broker.url) as one:
        yield one


def write_mails(yard: Yard, keys: range) -> list[str]:
    at = timezone.now()  # the processes live by the real clock
    mails = [
        mail_write(
            yard=yard, key=f"mail:{n}", to_address="ea@harbour.example", subject=f"Mail {n}", text="Hello", at=at
        )
        for n in keys
    ]
    return [mail.message_id for mail in mails]


def submit_findings(yard: Yard, count: int, *, port: int) -> None:
    """As many cracks as that, each at a spot of its own, sent by a tablet to the running service."""
    now = timezone.now()
    boat = scene(now - timedelta(hours=1), yard)
    _, key = device_token_issue(member=boat.technician, device_name="tablet", at=now)
    sheets = [{**boat.finding(), "check": None, "component": boat.component.pk} for _ in range(count)]
    answer = post(port, f"/api/v1/inspections/{boat.inspection.pk}/entries/", {"entries": sheets}, key=key)
    assert [result["outcome"] for result in answer["results"]] == ["stored"] * count, answer


def all_judged() -> bool:
    return not OutboxRow.objects.filter(task="inspections.assess", done_at__isnull=True).exists()


def rows() -> OutboxQuerySet:
    return OutboxRow.objects.filter(task="yard.send_mail")  # the sweep also writes the rows of the coming night


def all_sent() -> bool:
    return not Mail.objects.exclude(state=Mail.State.SENT).exists()


def sent_once_but_for_one(server: MailServer, message_ids: list[str]) -> bool:
    """Whether all of them have arrived, at most one of them twice."""
    delivered = Counter(server.message_ids())
    times = [delivered[message_id] for message_id in message_ids]
    return min(times) == 1 and sum(times) <= len(times) + 1


def pool_child_of(worker: Started) -> int:
    children = [child for child in descendants(worker.pid) if "celery" in command_of(child)]
    return min(children)


def worker_of(serve: Started) -> int:
    """The Celery worker among the children of the supervisor, at the head of its group."""
    children = [child for child in descendants(serve.pid) if " worker " in command_of(child)]
    return min(children)


def test_two_workers_a_killed_pool_child_and_a_killed_worker_send_each_mail_once(
    processes: Fleet, server: MailServer, broker: Broker
) -> None:
    yard = YardFactory.create()
    processes.celery_beat()
    worker, other = processes.celery_workers(2)

    # Two at once.
    message_ids = write_mails(yard, range(40))
    wait_until(all_sent, seconds=60, what="all mails sent by two workers")
    assert Counter(server.message_ids()) == Counter(message_ids)
    assert set(rows().values_list("attempts", flat=True)) == {1}
    assert worker.says("mail_sent")
    assert other.says("mail_sent")
    other.end()

    # The child that has a mail in hand is killed; its parent lives on.
    server.received.clear()
    server.keep_waiting.set()
    more = write_mails(yard, range(40, 44))
    assert server.received.wait(timeout=60)
    os.kill(pool_child_of(worker), signal.SIGKILL)
    server.keep_waiting.clear()
    wait_until(all_sent, seconds=60, what="all mails sent after the pool child was killed")
    assert worker.process.poll() is None
    assert sent_once_but_for_one(server, more)

    # The whole tree is killed with one mail in hand and others waiting in the broker.
    server.received.clear()
    server.keep_waiting.set()
    more = write_mails(yard, range(44, 48))
    assert server.received.wait(timeout=60)
    worker.kill_tree()
    server.keep_waiting.clear()
    processes.celery_workers(1)
    wait_until(all_sent, seconds=60, what="all mails sent after the worker was killed")
    assert sent_once_but_for_one(server, more)
    assert not rows().filter(done_at__isnull=True).exists()
    assert Counter(rows().values_list("attempts", flat=True)) == {1: 46, 2: 2}


def test_a_broker_that_goes_one_that_forgets_and_a_killed_supervisor_lose_nothing(
    processes: Fleet, server: MailServer, broker: Broker
) -> None:
    yard = YardFactory.create()
    signs_of(yard)
    port = free_port()
    serve = processes.serve(port=port)
    serve.wait_for(lambda: serve.says(CELERY_READY))

    # While the broker is away (and the cache with it), tablets hand in their findings as ever.
    broker.stop()
    before = datetime.now(tz=UTC)
    submit_findings(yard, FINDINGS, port=port)
    assert (datetime.now(tz=UTC) - before).total_seconds() < 15
    assert not Assessment.objects.exists()
    broker.start()

    # A worker is killed somewhere among them, with its pool.
    wait_until(Assessment.objects.exists, seconds=60, what="the first judgement after the broker came back")
    os.killpg(worker_of(serve), signal.SIGKILL)
    wait_until(all_judged, seconds=90, what="all findings judged after the worker was killed")
    assert Assessment.objects.count() == FINDINGS

    # The broker forgets what it was told, while the worker has mail in hand.
    server.keep_waiting.set()
    telling._left_alone_until = 0.0
    message_ids = write_mails(yard, range(8))
    assert server.received.wait(timeout=60)
    wait_until(lambda: broker.waiting() >= 3, seconds=20, what="news waiting in the broker")
    assert broker.empty() >= 3
    server.keep_waiting.clear()
    wait_until(all_sent, seconds=60, what="all mails sent after the broker was emptied")
    assert Counter(server.message_ids()) == Counter(message_ids)

    # The supervisor is killed: nothing of it stays, and the next one takes everything up.
    family = descendants(serve.pid)
    assert {"gunicorn", "worker", "beat"} <= {word for child in family for word in command_of(child).split()}
    serve.kill()
    wait_until(
        lambda: not any(alive(process_id) for process_id in family), seconds=30, what="no orphan of the supervisor"
    )
    message_ids += write_mails(yard, range(8, 13))
    assert not all_sent()
    processes.serve(port=port)
    wait_until(all_sent, seconds=60, what="all mails sent after the supervisor was killed")
    assert Counter(server.message_ids()) == Counter(message_ids)
    assert set(rows().values_list("attempts", flat=True)) == {1}
