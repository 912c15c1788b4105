"""The due-back book as a calendar (RFC 5545): an all-day event for each place that somebody must be back at.

An event is the same from year to year as long as it stands for the same finding, entry or surface: another day or
purpose is a revision of it (RFC 5545, 3.8.4.7 and 3.8.7.4). What has left the book is sent as cancelled for a time,
so that a calendar which keeps what it has once read takes it out. What only rests (the part was taken off, the boat
has left, a later inspection has looked already) is left out until it is closed or comes back.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final
from urllib.parse import urlsplit

from django.conf import settings
from icalendar import Calendar, Event

from inspections.models import DueBack
from inspections.selectors.due_backs import (
    due_back_book,
    due_back_lately_ended,
    due_back_narrowed,
    with_earlier_lines,
)
from workshop.models import CalendarFeed
from workshop.services.due_words import LINE_READS, book_line, line_url
from yard.selectors import today_at

PRODUCT: Final = "-//Faying//Due-back book//EN"
CANCELLED_FOR: Final = timedelta(days=90)
# How often a calendar may well ask; most have a rhythm of their own.
REFRESH: Final = timedelta(hours=6)


def calendar_text(feed: CalendarFeed, *, at: datetime) -> bytes:
    """The calendar that a feed opens, as it is at this moment. The same book gives the same text."""
    name = f"Due back, {feed.boat.name if feed.boat is not None else feed.yard.name}"
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", name)  # RFC 7986, 5.1
    calendar.add("x-wr-calname", name)  # for calendars that are older than that
    calendar.add("refresh-interval", REFRESH, parameters={"VALUE": "DURATION"})  # RFC 7986, 5.7
    standing = due_back_book(feed.yard_id, boat=feed.boat)
    # A day's grain: within a day a calendar that asks twice is answered the same.
    since = datetime.combine(today_at(feed.yard, at), datetime.min.time(), tzinfo=feed.yard.zone) - CANCELLED_FOR
    ended = due_back_lately_ended(feed.yard_id, since=since)
    for lines in (standing, ended):
        told = with_earlier_lines(due_back_narrowed(lines, boat=feed.boat)).select_related(*LINE_READS)
        for line in told:
            calendar.add_component(_event(line))
    text: bytes = calendar.to_ical()
    return text


def _event(line: DueBack) -> Event:
    told = book_line(line, line.due_on)
    cancelled = line.ended_at is not None
    revised = line.ended_at or line.set_at
    event = Event()
    event.add("uid", _uid(line))
    # Without METHOD both say when the event was last revised (RFC 5545, 3.8.7.2 and 3.8.7.3).
    event.add("dtstamp", revised)
    event.add("last-modified", revised)
    event.add("sequence", 2 * getattr(line, "earlier_lines", 0) + cancelled)
    event.add("dtstart", line.due_on)
    event.add("dtend", line.due_on + timedelta(days=1))  # the day after its last one (RFC 5545, 3.6.1)
    event.add("summary", f"{told.boat}: {told.kind}, {told.place}")
    event.add("description", "\n".join(part for part in (*told.questions, line.reason) if part))
    event.add("categories", [told.kind])
    event.add("url", line_url(line))
    event.add("transp", "TRANSPARENT")  # a day by which something is due keeps nobody busy
    event.add("status", "CANCELLED" if cancelled else "CONFIRMED")
    return event


def _uid(line: DueBack) -> str:
    about = next(
        f"{name}-{key}"
        for name, key in (("finding", line.finding_id), ("entry", line.entry_id), ("surface", line.surface_id))
        if key is not None
    )
    return f"due-back-{about}@{urlsplit(settings.PUBLIC_URL).hostname or 'localhost'}"


__all__ = ["calendar_text"]
