"""What looks at the table itself, so that no row depends on news that may have got lost."""

from datetime import datetime, timedelta

from django.conf import settings

from yard.models import OutboxRow
from yard.outbox.nightly import nightly_rows_write
from yard.outbox.telling import tell

AT_ONCE = 500


def sweep(*, now: datetime) -> int:
    """Tell the workers about every row that is due and in nobody's hands, and write the rows of the coming night.

    A row that has only just become due is left to the news that is on its way. This news expires with the next
    sweep: behind a long queue the same row is not told again and again.

    Returns:
        How many rows were told about.
    """
    nightly_rows_write(now=now)
    pause = timedelta(seconds=settings.OUTBOX_SWEEP_SECONDS)
    overdue = OutboxRow.objects.due(now).filter(not_before__lte=now - pause / 2)
    return tell(
        overdue.values_list("pk", flat=True)[:AT_ONCE], expires_seconds=max(settings.OUTBOX_SWEEP_SECONDS, 1.0)
    )
