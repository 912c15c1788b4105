from __future__ import annotations

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.db.models import F, Q
from django.utils.crypto import salted_hmac

from yard.database_rules import SameYard
from yard.models.fields import one_of
from yard.models.scoping import YardOwned


class User(AbstractUser):
    """Somebody who can sign in. What they may do is said by their membership of a yard."""

    # Goes up when every session of theirs must end; nought stands for how sessions were signed before.
    sessions_ended = models.PositiveIntegerField(default=0, editable=False)

    def _get_session_auth_hash(self, secret: str | None = None) -> str:
        """What a session is held against at each request: it ends with the password, and when it is ended."""
        plain = str(super()._get_session_auth_hash(secret))  # type: ignore[misc]  # not in the stubs
        if not self.sessions_ended:
            return plain
        return salted_hmac("yard.User.sessions", f"{plain}:{self.sessions_ended}", algorithm="sha256").hexdigest()


class Role(models.TextChoices):
    MANAGER = "manager", "manager"
    TECHNICIAN = "technician", "technician"


class Member(YardOwned):
    """A manager or technician of a yard. One log-in belongs to one yard."""

    user = models.OneToOneField(User, on_delete=models.PROTECT, related_name="member")
    role = models.CharField(max_length=20, choices=Role.choices)
    name = models.CharField(max_length=120)
    left_on = models.DateField(null=True, blank=True)
    # Of the PIN by which they pick their name on a shared tablet (`yard/services/pins.py`), in base 64.
    pin_salt = models.CharField(max_length=24, blank=True)
    pin_hash = models.CharField(max_length=44, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            one_of("role", Role, name="member_role_is_known"),
            models.CheckConstraint(
                condition=Q(pin_salt="", pin_hash="") | (~Q(pin_salt="") & ~Q(pin_hash="")),
                name="member_pin_has_salt_and_hash",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_manager(self) -> bool:
        return self.role == Role.MANAGER


class Owner(YardOwned):
    """Whose boat it is: gets the report and says yes or no."""

    name = models.CharField(max_length=120)
    email = models.EmailField()
    phone = models.CharField(max_length=40, blank=True)
    locale = models.CharField(max_length=16, default="en_GB")

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["yard", "email"], name="one_owner_per_address"),
            models.CheckConstraint(condition=~Q(email=""), name="owner_has_an_address"),
        ]

    def __str__(self) -> str:
        return self.name


class DeviceToken(YardOwned):
    """A tablet's key. Only its digest is kept; the key itself is shown once.

    A shared one was let in by a device code: it speaks for whoever of the yard works with it, with the rights of a
    technician, and `member` is who made the code.
    """

    database_rules = (SameYard("member"),)

    member = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="device_tokens")
    shared = models.BooleanField(default=False)
    device_name = models.CharField(max_length=80)
    digest = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField()
    last_used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            models.CheckConstraint(condition=Q(digest__regex=r"^[0-9a-f]{64}$"), name="device_token_is_a_digest"),
        ]

    def __str__(self) -> str:
        return self.device_name


class DeviceCode(YardOwned):
    """What is typed into a tablet to let it in: for a short while, for one tablet. Only its digest is kept."""

    database_rules = (SameYard("made_by"), SameYard("token"))

    made_by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    device_name = models.CharField(max_length=80, blank=True)
    digest = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    token = models.OneToOneField(DeviceToken, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            models.CheckConstraint(condition=Q(digest__regex=r"^[0-9a-f]{64}$"), name="device_code_is_a_digest"),
            models.CheckConstraint(
                condition=Q(expires_at__gt=F("created_at")), name="device_code_is_good_for_a_time"
            ),
            models.CheckConstraint(
                condition=Q(used_at__isnull=True, token__isnull=True)
                | Q(used_at__isnull=False, token__isnull=False),
                name="used_device_code_names_its_token",
            ),
            models.CheckConstraint(
                condition=Q(used_at__isnull=True) | Q(revoked_at__isnull=True),
                name="device_code_is_used_or_revoked",
            ),
        ]

    def __str__(self) -> str:
        return self.device_name or f"code of {self.created_at:%Y-%m-%d %H:%M}"


class Invitation(YardOwned):
    """A key to a log-in that is yet to be made, mailed, for a few days and one person. Its digest alone is kept."""

    database_rules = (SameYard("invited_by"), SameYard("member"))

    email = models.EmailField()
    name = models.CharField(max_length=120, blank=True)
    role = models.CharField(max_length=20, choices=Role.choices)
    digest = models.CharField(max_length=64, unique=True)
    invited_by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    accepted_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    # who came of it
    member = models.OneToOneField(
        Member, on_delete=models.PROTECT, null=True, blank=True, related_name="invitation"
    )

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            one_of("role", Role, name="invitation_role_is_known"),
            models.CheckConstraint(condition=Q(digest__regex=r"^[0-9a-f]{64}$"), name="invitation_is_a_digest"),
            models.CheckConstraint(
                condition=Q(expires_at__gt=F("created_at")), name="invitation_is_good_for_a_time"
            ),
            models.CheckConstraint(
                condition=Q(accepted_at__isnull=True, member__isnull=True)
                | Q(accepted_at__isnull=False, member__isnull=False),
                name="accepted_invitation_names_its_member",
            ),
            models.CheckConstraint(
                condition=Q(accepted_at__isnull=True) | Q(revoked_at__isnull=True),
                name="invitation_is_accepted_or_revoked",
            ),
            models.UniqueConstraint(
                fields=["yard", "email"],
                condition=Q(accepted_at__isnull=True, revoked_at__isnull=True),
                name="one_open_invitation_per_address",
            ),
        ]

    def __str__(self) -> str:
        return self.name or self.email


__all__ = ["DeviceCode", "DeviceToken", "Invitation", "Member", "Owner", "Role", "User"]
