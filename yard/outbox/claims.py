"""Who works on a row: a claim is an UPDATE that names the lease it saw, so that of two workers one wins."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

import structlog
from django.conf import settings
from django.utils import timezone

from yard.models import OutboxRow

log = structlog.get_logger(__name__)

CANDIDATES = 16


@dataclass(frozen=True, slots=True)
class Claim:
    """The right to work on a row until `lease_until`, and what the row said when it was given."""

    row_id: int
    task: str
    arguments: Mapping[str, Any]
    attempt: int
    times_asked: int
    lease_until: datetime


def claim(row_id: int, *, now: datetime | None = None) -> Claim | None:
    """Claim this row. None when it is done, not due, or somebody else's."""
    moment = now or timezone.now()
    row = OutboxRow.objects.due(moment).filter(pk=row_id).first()
    return None if row is None else _claim(row, moment)


def claim_next(*, now: datetime | None = None) -> Claim | None:
    """Claim the row that has been due longest. None when nothing is."""
    moment = now or timezone.now()
    while rows := list(OutboxRow.objects.due(moment)[:CANDIDATES]):
        for row in rows:
            taken = _claim(row, moment)
            if taken is not None:
                return taken
        # All of them went to others, or had been tried too often: look again.
    return None


def _claim(row: OutboxRow, now: datetime) -> Claim | None:
    as_seen = OutboxRow.objects.open().filter(pk=row.pk, lease_until=row.lease_until, attempts=row.attempts)
    if row.attempts >= settings.OUTBOX_MAX_ATTEMPTS:
        # The last try left no word: its worker was killed. Work that kills its worker must not go round for ever.
        reason = row.last_error or f"{row.attempts} tries ended without a word; the worker was killed each time"
        if as_seen.update(failed_at=now, lease_until=None, last_error=reason):
            log.error("outbox_row_failed", outbox_row=row.pk, task=row.task, attempts=row.attempts, reason=reason)
        return None
    lease_until = now + timedelta(seconds=settings.OUTBOX_LEASE_SECONDS)
    if not as_seen.update(lease_until=lease_until, attempts=row.attempts + 1):
        return None
    return Claim(
        row_id=row.pk,
        task=row.task,
        arguments=row.arguments,
        attempt=row.attempts + 1,
        times_asked=row.times_asked,
        lease_until=lease_until,
    )
