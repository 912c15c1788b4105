"""The keys that deciders hold: which are out, how often each was opened, and when last."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from django.db.models import Count, F, Max, Min, Q, QuerySet

from workshop.models import OwnerLink
from yard.models import Boat, Yard
from yard.words import with_words

STATES: Final = {"live": "that open", "expired": "that ran out", "revoked": "that were taken back", "": "all"}
ORDERS: Final = {
    "newest": ("the newest first", ("-created_at", "pk")),
    "boat": ("by boat", ("boat__name", "boat", "-created_at", "pk")),
    "opened": ("the last opened first", (F("last_opened").desc(nulls_last=True), "-created_at", "pk")),
    "expiry": ("the first to run out first", ("expires_at", "pk")),
}
TEXTS: Final = ("boat__name", "owner__name", "member__name", "mail__to_address")


def owner_links_of(
    yard: Yard, *, now: datetime, state: str = "", boat: Boat | None = None, text: str = "", order: str = "newest"
) -> QuerySet[OwnerLink]:
    """Links of a yard with `opened`, `first_opened` and `last_opened`, and with all that is told of them.

    Args:
        state: a key of `STATES`.
        text: each of its words stands in the boat's name, or in the name or address of whom it was sent to.
        order: a key of `ORDERS`.
    """
    links: QuerySet[OwnerLink] = OwnerLink.objects.of_yard(yard)
    if boat is not None:
        links = links.filter(boat=boat)
    if state == "live":
        links = links.filter(revoked_at=None, expires_at__gt=now)
    elif state == "expired":
        links = links.filter(revoked_at=None, expires_at__lte=now)
    elif state == "revoked":
        links = links.filter(~Q(revoked_at=None))
    return (
        with_words(links, text, TEXTS)
        .select_related("boat", "quote", "owner", "member", "mail")
        # what was sent is of no interest here, and long
        .defer("quote__content", "mail__text", "mail__html")
        .annotate(
            opened=Count("openings"),
            first_opened=Min("openings__opened_at"),
            last_opened=Max("openings__opened_at"),
        )
        .order_by(*ORDERS[order][1])
    )


__all__ = ["ORDERS", "STATES", "owner_links_of"]
