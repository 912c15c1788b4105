"""Kill -9 in the set-up without a broker: whatever was asked for happens, and shows once.

SMTP can't say whether a mail was taken by a server whose sender died before the answer: that one mail may be
delivered again, with the same Message-ID. All others are delivered once.
"""

import os
import signal
from collections import Counter
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from django.utils import timezone

from inspections.models import Assessment
from tests.factories import YardFactory
from tests.factories.inspections import signs_of
from tests.inspections.scenes import scene
from tests.processes import (
    Fleet,
    Started,
    alive,
    answers,
    command_of,
    descendants,
    fleet,
    free_port,
    post,
    wait_until,
)
from tests.smtp import MailServer, mail_server
from yard.models import Mail, OutboxRow, Yard
from yard.models.outbox import OutboxQuerySet
from yard.post import mail_write
from yard.services.people import device_token_issue

FINDINGS = 12

pytestmark = [pytest.mark.serial, pytest.mark.embedded, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def server() -> Iterator[MailServer]:
    with mail_server() as box:
        yield box


@pytest.fixture
def processes(transactional_db: None, server: MailServer, tmp_path: Path) -> Iterator[Fleet]:
    with fleet(tmp_path, mail_port=server.port) as one:
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


def all_sent() -> bool:
    return not Mail.objects.exclude(state=Mail.State.SENT).exists()


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
    return OutboxRow.objects.filter(task="yard.send_mail")  # the workers also write the rows of the coming night


def worker_of(serve: Started) -> int:
    (worker,) = [child for child in descendants(serve.pid) if "outbox_worker" in command_of(child)]
    return worker


def test_a_killed_worker_and_a_killed_supervisor_lose_nothing(processes: Fleet, server: MailServer) -> None:
    yard = YardFactory.create()
    signs_of(yard)
    port = free_port()
    serve = processes.serve(port=port)

    # The worker is killed somewhere among a batch of findings that it is judging.
    submit_findings(yard, FINDINGS, port=port)
    wait_until(Assessment.objects.exists, seconds=60, what="the first judgement")
    os.kill(worker_of(serve), signal.SIGKILL)
    wait_until(all_judged, seconds=60, what="all findings judged after the worker was killed")
    assert Assessment.objects.count() == FINDINGS

    # The worker is killed while the mail server has a mail and has not answered yet.
    server.keep_waiting.set()
    first = write_mails(yard, range(5))
    assert server.received.wait(timeout=60)
    os.kill(worker_of(serve), signal.SIGKILL)
    server.keep_waiting.clear()
    wait_until(all_sent, seconds=60, what="all mails sent after the worker was killed")
    delivered = Counter(server.message_ids())
    assert set(delivered) == set(first)
    assert delivered.total() <= len(first) + 1
    assert sorted(rows().values_list("attempts", flat=True)) == [1, 1, 1, 1, 2]

    # The supervisor is killed: nothing of it stays, and the next one takes everything up.
    family = descendants(serve.pid)
    assert len(family) >= 3
    serve.kill()
    wait_until(
        lambda: not any(alive(process_id) for process_id in family), seconds=30, what="no orphan of the supervisor"
    )
    assert not answers(port)
    second = write_mails(yard, range(5, 10))
    assert not all_sent()
    processes.serve(port=port)
    wait_until(all_sent, seconds=60, what="all mails sent after the supervisor was killed")
    delivered = Counter(server.message_ids())
    assert {message_id: delivered[message_id] for message_id in second} == dict.fromkeys(second, 1)
    assert not rows().filter(done_at__isnull=True).exists()


def test_two_workers_at_once_send_each_mail_once(processes: Fleet, server: MailServer) -> None:
    workers = processes.outbox_workers(2)
    message_ids = write_mails(YardFactory.create(), range(40))
    wait_until(all_sent, seconds=60, what="all mails sent by two workers")
    assert Counter(server.message_ids()) == Counter(message_ids)
    assert set(rows().values_list("attempts", flat=True)) == {1}
    assert all("mail_sent" in worker.logged() for worker in workers)


def test_a_worker_that_is_told_to_end_finishes_what_it_has_in_hand(processes: Fleet, server: MailServer) -> None:
    (worker,) = processes.outbox_workers(1)
    server.keep_waiting.set()
    write_mails(YardFactory.create(), range(2))
    assert server.received.wait(timeout=60)
    worker.process.terminate()
    server.keep_waiting.clear()
    assert worker.process.wait(timeout=20) == 0
    assert len(server.accepted) == 1
    assert sorted(Mail.objects.values_list("state", flat=True)) == [Mail.State.SENT, Mail.State.WAITING]
    assert rows().filter(done_at__isnull=True, attempts=0).count() == 1
