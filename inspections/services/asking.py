"""What this floor asks the worker for, each under a key of its own: asked twice is done once."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from yard.models import Yard
from yard.outbox import Ask, enqueue, enqueue_many

ASSESS = "inspections.assess"
PREPARE_PHOTO = "inspections.prepare_photo"
REJUDGE_YARD = "inspections.rejudge_yard"
REJUDGE_BATCH = "inspections.rejudge_batch"
# The floor above is named by words only.
PROPOSE_JOBS = "workshop.propose_jobs"


def ask_for_assessment(entry_ids: Iterable[UUID], *, yard: Yard, at: datetime) -> None:
    """Have these entries (findings and places not seen) judged."""
    asks = [
        Ask(task=ASSESS, key=f"assess:{entry_id}", arguments={"entry_id": str(entry_id)}) for entry_id in entry_ids
    ]
    if asks:
        enqueue_many(asks, yard=yard, at=at)


def ask_to_rejudge(yard: Yard, *, at: datetime) -> None:
    """Have a yard judged again, because something that judgements are reckoned from has changed."""
    enqueue(task=REJUDGE_YARD, key=f"rejudge:{yard.pk}", arguments={"yard_id": yard.pk}, yard=yard, at=at)


def ask_for_batches(
    batches: Iterable[tuple[tuple[int, UUID], tuple[int, UUID]]], *, yard: Yard, at: datetime
) -> None:
    """Have stretches of a yard's entries judged again, each from one inspection and entry to another."""
    asks = [
        Ask(
            task=REJUDGE_BATCH,
            key=f"rejudge:{yard.pk}:{first_entry}:{last_entry}",
            arguments={
                "yard_id": yard.pk,
                "first": [first, str(first_entry)],
                "last": [last, str(last_entry)],
            },
        )
        for (first, first_entry), (last, last_entry) in batches
    ]
    if asks:
        enqueue_many(asks, yard=yard, at=at)


def ask_for_jobs(inspection_ids: Iterable[int], *, yard: Yard, at: datetime) -> None:
    """Have the workshop look again at what these inspections need done."""
    asks = [
        Ask(
            task=PROPOSE_JOBS,
            key=f"propose:{inspection_id}",
            arguments={"inspection_id": inspection_id},
        )
        for inspection_id in inspection_ids
    ]
    if asks:
        enqueue_many(asks, yard=yard, at=at)


def ask_for_photo(photo_id: int, *, yard: Yard, at: datetime) -> None:
    """Have the small sizes of a photo made."""
    enqueue(task=PREPARE_PHOTO, key=f"prepare_photo:{photo_id}", arguments={"photo_id": photo_id}, yard=yard, at=at)


__all__ = [
    "ASSESS",
    "PREPARE_PHOTO",
    "PROPOSE_JOBS",
    "REJUDGE_BATCH",
    "REJUDGE_YARD",
    "ask_for_assessment",
    "ask_for_batches",
    "ask_for_jobs",
    "ask_for_photo",
    "ask_to_rejudge",
]
