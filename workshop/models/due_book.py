"""Who is told of the due-back book besides its page: a calendar that subscribes to it, a member by mail."""

from __future__ import annotations

import uuid

from django.db import models
from django.db.models import Q

from yard.database_rules import SameYard
from yard.models import Boat, Member, YardOwned


class CalendarFeed(YardOwned):
    """The key to the yard's due-back days, or one boat's, for calendars. The address carries the id, signed."""

    database_rules = (SameYard("boat"), SameYard("made_by"))

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    # empty for all boats of the yard
    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, null=True, blank=True, related_name="calendar_feeds")
    made_by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)
    # of what was fetched last, and since when it has read like that
    digest = models.CharField(max_length=64, blank=True)
    changed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["boat"],
                condition=Q(revoked_at__isnull=True, boat__isnull=False),
                name="one_live_calendar_per_boat",
            ),
            models.UniqueConstraint(
                fields=["yard"],
                condition=Q(revoked_at__isnull=True, boat__isnull=True),
                name="one_live_calendar_per_yard",
            ),
            models.CheckConstraint(
                condition=Q(digest="", changed_at__isnull=True) | (~Q(digest="") & Q(changed_at__isnull=False)),
                name="calendar_says_since_when",
            ),
        ]

    def __str__(self) -> str:
        return f"calendar of {self.boat or self.yard}"


class DigestChoice(YardOwned):
    """A member who wants the weekly mail of what is due. It is taken away when they want it no more."""

    database_rules = (SameYard("member"),)

    member = models.OneToOneField(Member, on_delete=models.CASCADE, related_name="digest_choice")
    chosen_at = models.DateTimeField()

    class Meta:
        ordering = ["-chosen_at"]

    def __str__(self) -> str:
        return f"weekly mail for {self.member}"


__all__ = ["CalendarFeed", "DigestChoice"]
