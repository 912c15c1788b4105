"""What the worker does for this floor. Each is safe to repeat: it looks first whether there is anything to do."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from uuid import UUID

from django.utils import timezone

from inspections.selectors.rules import rules_of
from inspections.services.asking import ASSESS, PREPARE_PHOTO, REJUDGE_BATCH, REJUDGE_YARD, ask_for_batches
from inspections.services.assessments import (
    Batch,
    assess_entry,
    batches_to_rejudge,
    entries_to_rejudge,
    rejudge_batch,
    rejudge_entries,
)
from inspections.services.photos import photo_prepare
from inspections.services.rechecks import learned_rates
from yard.models import Yard
from yard.outbox import every_night, handler
from yard.selectors import today_at

Finish = Callable[[datetime], None]
Key = tuple[int, str]


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

    What is more than one batch is asked for batch by batch: no piece of work takes so long that its lease runs out
    or that others wait for its locks, and several workers share a large yard.
    """
    yard = Yard.objects.get(pk=yard_id)
    # Read once, before the batches ask for it side by side.
    learned_rates(yard=yard, today=today_at(yard, timezone.now()), rules=rules_of(yard))
    batches = list(batches_to_rejudge(yard=yard))
    if len(batches) == 1:
        return _rejudge(yard, batches[0])

    def finish(now: datetime) -> None:
        ask_for_batches([(batch.first, batch.last) for batch in batches], yard=yard, at=now)

    return finish


@handler(REJUDGE_BATCH)
def rejudge_one_batch(yard_id: int, first: Key, last: Key) -> Finish:
    """Judge a stretch of a yard's entries again."""
    batch = Batch((first[0], UUID(first[1])), (last[0], UUID(last[1])))
    return _rejudge(Yard.objects.get(pk=yard_id), batch)


def _rejudge(yard: Yard, batch: Batch) -> Finish:
    """Judging takes a while: that is done before the transaction, which then only looks once more at what was found
    to have changed. Where the transaction lives in another day, it judges all of the batch by itself.
    """
    before = timezone.now()
    changed = entries_to_rejudge(yard=yard, batch=batch, at=before)

    def finish(now: datetime) -> None:
        if today_at(yard, now) == today_at(yard, before):
            rejudge_entries(yard=yard, entry_ids=changed, at=now)
        else:
            rejudge_batch(yard=yard, batch=batch, at=now)

    return finish


every_night(REJUDGE_YARD)
