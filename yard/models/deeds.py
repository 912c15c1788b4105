from __future__ import annotations

from django.db import models

from yard.database_rules import AppendOnly, SameYard
from yard.models.fields import one_of
from yard.models.people import Member
from yard.models.scoping import YardOwned


class DeedKind(models.TextChoices):
    SIGNED_IN = "signed_in", "signed in"
    SIGN_IN_FAILED = "sign_in_failed", "sign-in failed"
    INVITED = "invited", "invited"
    INVITATION_REVOKED = "invitation_revoked", "invitation taken back"
    JOINED = "joined", "joined the yard"
    ROLE_CHANGED = "role_changed", "role changed"
    CLOSED = "closed", "log-in closed"
    REOPENED = "reopened", "log-in opened again"
    PASSWORD_ASKED = "password_asked", "link for a new password sent"
    PASSWORD_SET = "password_set", "password set"
    FACTOR_ADDED = "factor_added", "second factor added"
    FACTOR_REMOVED = "factor_removed", "second factor removed"
    KEY_MADE = "key_made", "device let in"
    KEY_REVOKED = "key_revoked", "device shut out"
    LINK_REISSUED = "link_reissued", "owner's link made anew"
    LINK_REVOKED = "link_revoked", "owner's link taken back"
    CALENDAR_MADE = "calendar_made", "calendar address made"
    CALENDAR_REVOKED = "calendar_revoked", "calendar address taken back"
    PIN_SET = "pin_set", "PIN set"
    NAME_CHANGED = "name_changed", "name changed"
    SETTINGS_CHANGED = "settings_changed", "settings changed"
    TEMPLATE_RENAMED = "template_renamed", "template renamed"
    DRAFT_DROPPED = "draft_dropped", "template's draft thrown away"
    OWNER_CHANGED = "owner_changed", "owner changed"
    BOAT_CHANGED = "boat_changed", "boat changed"
    DRAWING_PUT = "drawing_put", "drawing put in"
    DRAWING_REMOVED = "drawing_removed", "drawing taken away"
    PART_CHANGED = "part_changed", "part changed"
    PART_REMOVED = "part_removed", "part taken off"
    SPOT_CHANGED = "spot_changed", "spot changed"
    SURFACE_CHANGED = "surface_changed", "finished surface changed"
    FLEET_TAKEN_IN = "fleet_taken_in", "fleet taken in"
    EXPORTED = "exported", "exported"


class Deed(YardOwned):
    """Who did what when about coming in, keys, settings, and what is known of boats and owners.

    What else happens at a yard tells of itself. `by` is empty where it was done by nobody who could be told: a
    wrong password for a name, the back room.
    """

    database_rules = (AppendOnly(), SameYard("by"), SameYard("about"))

    kind = models.CharField(max_length=24, choices=DeedKind.choices)
    at = models.DateTimeField()
    by = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    about = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    told = models.CharField(max_length=300, blank=True, help_text="what it was done to, in words of that moment")
    thing = models.CharField(max_length=60, blank=True, help_text="which row it was done to, like boat:12")
    from_address = models.GenericIPAddressField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-id"]
        # The page of deeds reads a yard's latest first.
        indexes = [models.Index(fields=["yard", "-at", "-id"], name="deeds_of_a_yard_latest_first")]
        constraints = [one_of("kind", DeedKind, name="deed_kind_is_known")]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.at:%Y-%m-%d %H:%M}"


__all__ = ["Deed", "DeedKind"]
