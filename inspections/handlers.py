"""What the worker does for this floor. Each is safe to repeat: it looks first whether there is anything to do."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from uuid import UUID

from django.utils import timezone

from inspections.services.asking import ASSESS, PREPARE_PHOTO, REJUDGE_YARD
from inspections.services.assessments import (
    assess_entry,
    entries_to_rejudge,
    rejudge_entries,
    rejudge_yard,
)
from inspections.services.photos import photo_prepare
from yard.models import Yard
from yard.outbox import every_night, handler
from yard.selectors import today_at

Finish = Callable[[datetime], None]


@handler(ASSESS)
def assess(entry_id: str) -> Finish:
    """Judge an entry. It is quick and must see what it locks, so all of it is done in the transaction."""

    def finish(now: datetime) -> None:
        assess_entry(entry_id=UUID(entry_id), at=now)

    return finish


@handler(PREPARE_PHOTO)
def prepare_photo(photo_id: int) -> Finish | None:
    """Make the small sizes of a photo outside the transaction; the row tells of them when they are there."""
    return photo_prepare(photo_id)


@handler(REJUDGE_YARD)
def rejudge(yard_id: int) -> Finish:
    """Judge a yard again. The sweep writes the row of each night, by the yard's own clock.

    A large yard takes a while to judge: that is done before the transaction, which then only looks once more at
    what was found to have changed. Where the transaction lives in another day, it judges all by itself.
    """
    yard = Yard.objects.get(pk=yard_id)
    before = timezone.now()
    changed = entries_to_rejudge(yard=yard, at=before)

    def finish(now: datetime) -> None:
        if today_at(yard, now) == today_at(yard, before):
            rejudge_entries(yard=yard, entry_ids=changed, at=now)
        else:
            rejudge_yard(yard=yard, at=now)

    return finish


every_night(REJUDGE_YARD)
