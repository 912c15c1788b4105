"""When a decider is reminded of a quote that is about to run out."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import Final

from workshop.models import Quote
from yard.outbox import enqueue

REMIND: Final = "workshop.remind_decider"

# Common practice, no source: late enough not to nag, early enough to ask back and to be answered.
DAYS_BEFORE: Final = 5
# A quote that is shorter than this between its sending and its reminder is fresh in mind.
DAYS_AFTER_SENDING: Final = 3
# Nobody gets two mails that want the same of them within this. Common practice, no source.
DAYS_BETWEEN: Final = 3
# By the yard's clock; nobody is woken.
HOUR: Final = time(9, 0)


def reminder_moment(quote: Quote, sent_at: datetime) -> datetime | None:
    """The morning of the reminder, in the yard's zone. None where the quote runs too short for one."""
    zone = quote.yard.zone
    day = quote.valid_until - timedelta(days=DAYS_BEFORE)
    if day < sent_at.astimezone(zone).date() + timedelta(days=DAYS_AFTER_SENDING):
        return None
    return datetime.combine(day, HOUR, tzinfo=zone)


def reminder_ask(*, quote: Quote, at: datetime) -> None:
    """Ask for the reminder of a quote that is being sent. Whether there is need of it is seen when it is due."""
    moment = reminder_moment(quote, at)
    if moment is None:
        return
    enqueue(
        task=REMIND,
        arguments={"quote_id": quote.pk},
        key=f"{REMIND}:{quote.pk}",
        yard=quote.yard,
        at=at,
        not_before=moment,
    )


__all__ = ["DAYS_AFTER_SENDING", "DAYS_BEFORE", "DAYS_BETWEEN", "REMIND", "reminder_ask", "reminder_moment"]
