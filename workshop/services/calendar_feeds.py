"""The key of a calendar that subscribes to the due-back book: made and taken back by a manager.

As with the owner's link the address carries an id and a signature over it; nothing that is kept would let anybody
make one. Calendars fetch every few hours for years: that is not written down each time, only when it was last.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import uuid
from datetime import datetime, timedelta
from typing import Final

from django.conf import settings
from django.core import signing
from django.db import transaction
from django.db.models import Q
from django.urls import reverse

from workshop.models import CalendarFeed
from yard.models import Boat, DeedKind, Member, Yard
from yard.refusals import Refused
from yard.services.deeds import deed_note, thing_of

FEED_ROUTE: Final = "web:calendar"
SALT: Final = "workshop.calendar-feed"
USE_NOTED_EVERY: Final = timedelta(hours=1)


@transaction.atomic
def feed_issue(*, by: Member, boat: Boat | None = None, at: datetime) -> CalendarFeed:
    """Make the calendar address of the yard, or of a boat. The one before it opens nothing any more.

    Raises:
        Refused: the boat has left the yard.
    """
    if boat is not None and boat.left_on is not None:
        raise Refused("boat", "has left the yard", "choose a boat that is in its care")
    # Whoever makes one at the same moment waits here, so that the later one is the one that holds.
    Yard.objects.select_for_update(no_key=True).get(pk=by.yard_id)
    CalendarFeed.objects.of_yard(by.yard_id).filter(boat=boat, revoked_at__isnull=True).update(revoked_at=at)
    feed = CalendarFeed(yard_id=by.yard_id, boat=boat, made_by=by, created_at=at)
    feed.save(force_insert=True)
    _note(DeedKind.CALENDAR_MADE, feed, by, at)
    return feed


@transaction.atomic
def feed_revoke(*, feed: CalendarFeed, at: datetime, by: Member | None = None) -> None:
    """Take an address back. Doing it again changes nothing."""
    if CalendarFeed.objects.filter(pk=feed.pk, revoked_at__isnull=True).update(revoked_at=at):
        _note(DeedKind.CALENDAR_REVOKED, feed, by, at)


def _note(kind: DeedKind, feed: CalendarFeed, by: Member | None, at: datetime) -> None:
    told, thing = ("of the whole yard", "") if feed.boat is None else (feed.boat.name, thing_of(feed.boat))
    deed_note(yard=feed.yard_id, kind=kind, by=by, told=told, thing=thing, at=at)


def feed_token(feed: CalendarFeed) -> str:
    """What stands in the address: the id and its signature."""
    return _signer().sign(base64.urlsafe_b64encode(feed.pk.bytes).rstrip(b"=").decode())


def feed_url(feed: CalendarFeed) -> str:
    """The whole address, as it is typed into a calendar."""
    return f"{settings.PUBLIC_URL}{reverse(FEED_ROUTE, args=[feed_token(feed)])}"


def feed_find(token: str) -> CalendarFeed | None:
    """The live feed of a token; None where there is none, or no longer."""
    try:
        name = _signer().unsign(token)
        feed_id = uuid.UUID(bytes=base64.urlsafe_b64decode(name + "=="))
    except (signing.BadSignature, binascii.Error, ValueError):
        return None
    found: CalendarFeed | None = (
        CalendarFeed.objects.filter(pk=feed_id, revoked_at__isnull=True).select_related("yard", "boat").first()
    )
    return found


def feed_fetched(*, feed: CalendarFeed, content: bytes, at: datetime) -> CalendarFeed:
    """Note that the feed was read, once an hour at most, and since when it has read like that."""
    digest = hashlib.sha256(content).hexdigest()
    if feed.digest != digest or feed.changed_at is None:
        feed.digest, feed.changed_at, feed.last_used_at = digest, at, at
        feed.save(update_fields=["digest", "changed_at", "last_used_at"])
    else:
        lately = Q(last_used_at__gt=at - USE_NOTED_EVERY)
        CalendarFeed.objects.filter(pk=feed.pk).exclude(lately).update(last_used_at=at)
    return feed


def _signer() -> signing.Signer:
    return signing.Signer(salt=SALT, sep=".")


__all__ = ["feed_fetched", "feed_find", "feed_issue", "feed_revoke", "feed_token", "feed_url"]
