"""What is forgotten at night: work that was done long ago, and sessions that have run out.

Work that gave up stays until somebody has seen to it.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Final

from django.contrib.sessions.models import Session
from django.db.models import Q

from yard.models import OutboxRow
from yard.outbox.handlers import handler
from yard.outbox.nightly import every_night

FORGET_DONE: Final = "yard.forget_done_work"
# Long enough to look back over a month's mails and reports when an owner asks; common practice, no source.
KEPT: Final = timedelta(days=60)
# A night's share, so that the first one after a long spring holds no lock for long.
AT_MOST: Final = 20_000


@handler(FORGET_DONE)
def forget_done_work(yard_id: int) -> Callable[[datetime], None]:
    """Drop the yard's rows that were done before `KEPT`, and with them what belongs to no yard."""

    def finish(now: datetime) -> None:
        ours = OutboxRow.objects.filter(Q(yard_id=yard_id) | Q(yard=None), done_at__lt=now - KEPT)
        OutboxRow.objects.filter(pk__in=list(ours.order_by("pk").values_list("pk", flat=True)[:AT_MOST])).delete()
        Session.objects.filter(expire_date__lt=now).delete()

    return finish


every_night(FORGET_DONE)
