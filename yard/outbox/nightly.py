"""Work that each night brings: for every yard a row, due in the night of its own time zone.

The sweep writes the rows, not the work of the night before: a night that failed does not end the chain.
"""

from datetime import datetime, time, timedelta

from django.db import transaction

from yard.models import OutboxRow, Yard
from yard.outbox.asking import Ask, enqueue_many

AFTER_MIDNIGHT = time(1, 30)

_nightly: list[str] = []


def every_night(task: str) -> None:
    """Have this work done for each yard each night; its handler gets `yard_id`."""
    if task not in _nightly:
        _nightly.append(task)


def nightly_key(task: str, yard: Yard, night: datetime) -> str:
    return f"{task}:{yard.pk}:{night.date().isoformat()}"


def nightly_rows_write(*, now: datetime) -> int:
    """Write the rows of the coming night for every yard that has none yet.

    Returns:
        How many were written.
    """
    if not _nightly:
        return 0
    wanted: dict[str, tuple[Yard, Ask]] = {}
    for yard in Yard.objects.all():
        night = coming_night(yard, now)
        for task in _nightly:
            key = nightly_key(task, yard, night)
            wanted[key] = (yard, Ask(task=task, key=key, arguments={"yard_id": yard.pk}, not_before=night))
    there = set(OutboxRow.objects.filter(key__in=wanted).values_list("key", flat=True))
    written = 0
    for key, (yard, ask) in wanted.items():
        if key not in there:
            with transaction.atomic():
                written += len(enqueue_many([ask], yard=yard, at=now))
    return written


def coming_night(yard: Yard, now: datetime) -> datetime:
    """Half past one of the next morning by the yard's clock.

    In the night when the clock is put on, a time that doesn't exist is read by the offset before it: the work is
    done half an hour into the new time.
    """
    local = now.astimezone(yard.zone)
    tonight = datetime.combine(local.date(), AFTER_MIDNIGHT, tzinfo=yard.zone)
    return (
        tonight
        if tonight > now
        else datetime.combine(local.date() + timedelta(days=1), AFTER_MIDNIGHT, tzinfo=yard.zone)
    )
