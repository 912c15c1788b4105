"""Asking for work: a row in the transaction of the change that makes it necessary."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Case, F, Value, When

from yard.models import OutboxRow, Yard
from yard.outbox.telling import tell_on_commit


@dataclass(frozen=True, slots=True)
class Ask:
    """One piece of work. `arguments` must be plain JSON; `key` names the work: the same key is the same work."""

    task: str
    key: str
    arguments: Mapping[str, Any] = field(default_factory=dict)
    not_before: datetime | None = None


def enqueue(
    *,
    task: str,
    arguments: Mapping[str, Any],
    key: str,
    yard: Yard | None,
    at: datetime,
    not_before: datetime | None = None,
) -> OutboxRow | None:
    """Ask for one piece of work; see `enqueue_many`. None where the same work is waiting already."""
    ask = Ask(task=task, key=key, arguments=arguments, not_before=not_before)
    return next(iter(enqueue_many([ask], yard=yard, at=at)), None)


def enqueue_many(asks: Sequence[Ask], *, yard: Yard | None, at: datetime) -> list[OutboxRow]:
    """Ask for work, inside the caller's transaction.

    Work whose key is open already gets no second row. If somebody is at it at this moment, what they read may be
    out of date: the row notes that it was asked for again, and is then worked once more from the start.

    Returns:
        The rows that were written.

    Raises:
        TransactionManagementError: there is no transaction that the rows could share with the change.
    """
    if not transaction.get_connection().in_atomic_block:
        raise transaction.TransactionManagementError("Work is asked for in the transaction of the change itself.")
    # In the order of their keys, so that two transactions that ask for the same work don't wait for each other.
    once = {ask.key: ask for ask in asks}
    rows = [
        OutboxRow(
            yard=yard,
            task=ask.task,
            key=ask.key,
            arguments=dict(ask.arguments),
            created_at=at,
            not_before=at if ask.not_before is None else ask.not_before,
        )
        for _, ask in sorted(once.items())
    ]
    try:
        with transaction.atomic():
            written = OutboxRow.objects.bulk_create(rows)
    except IntegrityError:
        written = [row for row in rows if _write_or_ask_again(row)]
    tell_on_commit(written)
    return written


def _write_or_ask_again(row: OutboxRow) -> bool:
    """Write the row, or note on the open one of its key that it was asked for again. True when it was written."""
    refusal: IntegrityError | None = None
    for _ in range(3):  # the open row may be finished between the two statements, and another one written
        same = OutboxRow.objects.open().filter(key=row.key)
        untried_and_later = When(attempts=0, not_before__gt=row.not_before, then=Value(row.not_before))
        if same.update(
            times_asked=F("times_asked") + 1, not_before=Case(untried_and_later, default=F("not_before"))
        ):
            return False
        try:
            with transaction.atomic():
                row.pk = None
                row.save(force_insert=True)
        except IntegrityError as error:
            refusal = error
        else:
            return True
    assert refusal is not None
    raise refusal
