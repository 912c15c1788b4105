"""How a decider reaches a quote, and whether they are reminded of it."""

from __future__ import annotations

import uuid

from django.db import models
from django.db.models import Q

from workshop.models.quotes import Quote
from yard.database_rules import AppendOnly, SameYard
from yard.models import Boat, Mail, Member, Owner, YardOwned


class OwnerLink(YardOwned):
    """The key to one quote of one boat. The address carries the id, signed; no secret is kept."""

    database_rules = (
        SameYard("boat"),
        SameYard("quote"),
        SameYard("owner"),
        SameYard("member"),
        SameYard("mail"),
    )

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, related_name="owner_links")
    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="owner_links")
    owner = models.ForeignKey(Owner, on_delete=models.PROTECT, null=True, blank=True, related_name="links")
    member = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="links")
    mail = models.ForeignKey(Mail, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["quote"], condition=Q(revoked_at__isnull=True), name="one_live_link_per_quote"
            ),
            models.CheckConstraint(
                condition=Q(owner__isnull=False, member__isnull=True) | Q(owner__isnull=True, member__isnull=False),
                name="owner_link_is_somebodys",
            ),
            models.CheckConstraint(
                condition=Q(expires_at__gt=models.F("created_at")), name="owner_link_expires_later"
            ),
        ]

    def __str__(self) -> str:
        return f"link for {self.quote}"


class LinkOpening(YardOwned):
    """Somebody, or a mail scanner, opened a link. That changes nothing but this log."""

    database_rules = (AppendOnly(), SameYard("link"))

    link = models.ForeignKey(OwnerLink, on_delete=models.PROTECT, related_name="openings")
    opened_at = models.DateTimeField()
    from_address = models.GenericIPAddressField(null=True, blank=True)
    user_agent = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-opened_at"]

    def __str__(self) -> str:
        return f"{self.opened_at:%Y-%m-%d %H:%M}"


class ReminderStop(YardOwned):
    """A decider who wants no reminders. It is taken away when they want them again."""

    database_rules = (SameYard("owner"), SameYard("member"))

    owner = models.OneToOneField(
        Owner, on_delete=models.CASCADE, null=True, blank=True, related_name="reminder_stop"
    )
    member = models.OneToOneField(
        Member, on_delete=models.CASCADE, null=True, blank=True, related_name="reminder_stop"
    )
    stopped_at = models.DateTimeField()

    class Meta:
        ordering = ["-stopped_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(owner__isnull=False, member__isnull=True) | Q(owner__isnull=True, member__isnull=False),
                name="reminder_stop_is_somebodys",
            ),
        ]

    def __str__(self) -> str:
        return f"no reminders for {self.owner or self.member}"


__all__ = ["LinkOpening", "OwnerLink", "ReminderStop"]
