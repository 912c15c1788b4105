"""Telling the broker that rows are waiting. It is news, not the work: it may get lost, and may come twice."""

import time
from collections.abc import Iterable, Sequence
from typing import Any

import structlog
from django.conf import settings
from django.db import transaction
from django.utils import timezone

from yard.models import OutboxRow

log = structlog.get_logger(__name__)

# So many rows are told about one by one; of more the broker gets one message, and a worker tells it of each.
AT_ONCE = 3
# After a broker did not answer, how long this process leaves it alone: no user waits for it twice in a row.
LEAVE_ALONE_SECONDS = 5.0
_left_alone_until = 0.0


def tell_on_commit(rows: Sequence[OutboxRow]) -> None:
    """Tell the broker about the rows that are due, once their transaction is committed."""
    if not settings.CELERY_BROKER_URL:
        return
    now = timezone.now()
    due = [row.pk for row in rows if row.not_before <= now]
    if due:
        transaction.on_commit(lambda: tell(due) if len(due) <= AT_ONCE else tell_of_many(due), robust=True)


def tell(row_ids: Iterable[int], *, expires_seconds: float | None = None) -> int:
    """Send the news of these rows, a message for each.

    A broker that is away is a warning: the sweep will find the rows.

    Args:
        row_ids: rows that wait.
        expires_seconds: after this time a worker throws the news away; for none it stays.

    Returns:
        How many were told.
    """
    return _send("yard.outbox.run", ([row_id] for row_id in row_ids), expires_seconds=expires_seconds)


def tell_of_many(row_ids: Sequence[int]) -> None:
    """Send one message about all of these rows: a worker passes it on, and nobody waits at a page for so many."""
    _send("yard.outbox.tell", [[list(row_ids)]])


def _send(task: str, messages: Iterable[list[Any]], *, expires_seconds: float | None = None) -> int:
    """Send a task once for each list of arguments.

    Returns:
        How many were sent.
    """
    global _left_alone_until
    if not settings.CELERY_BROKER_URL or time.monotonic() < _left_alone_until:
        return 0
    from yard.celery import app  # the process that never tells anything needs no Celery

    told = 0
    try:
        for arguments in messages:
            app.send_task(task, args=arguments, retry=False, expires=expires_seconds)
            told += 1
    except Exception as error:  # whatever the broker's client raises, the user's change is safely stored
        _left_alone_until = time.monotonic() + LEAVE_ALONE_SECONDS
        log.warning("outbox_broker_not_told", told=told, error=f"{type(error).__name__}: {error}")
    return told
