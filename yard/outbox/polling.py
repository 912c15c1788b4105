"""The worker of the set-up without a broker: looks at the table, works, looks again."""

from __future__ import annotations

import time
from collections.abc import Callable

import structlog
from django.conf import settings
from django.db import Error, close_old_connections
from django.utils import timezone

from yard.outbox.claims import claim_next
from yard.outbox.nightly import nightly_rows_write
from yard.outbox.running import run_claimed

log = structlog.get_logger(__name__)

DATABASE_AWAY_SECONDS = 1.0


def poll(*, told_to_end: Callable[[], bool], pause: Callable[[float], None] = time.sleep) -> int:
    """Work on what is due, one row after the other, until told to end. A row that was begun is finished first.

    Returns:
        How many rows were worked on.
    """
    worked = 0
    next_look_at_the_night = 0.0
    while not told_to_end():
        try:
            if time.monotonic() >= next_look_at_the_night:
                nightly_rows_write(now=timezone.now())
                next_look_at_the_night = time.monotonic() + settings.OUTBOX_SWEEP_SECONDS
            claimed = claim_next()
            if claimed is None:
                pause(settings.OUTBOX_POLL_SECONDS)
                continue
            worked += 1
            run_claimed(claimed)
        except Error as error:  # the database is away: whatever was begun is tried again after its lease
            log.warning("outbox_database_away", error=f"{type(error).__name__}: {error}")
            close_old_connections()
            pause(DATABASE_AWAY_SECONDS)
    return worked
