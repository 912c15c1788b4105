from __future__ import annotations

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.db.models import Q

from yard.database_rules import SameYard
from yard.models.fields import one_of
from yard.models.scoping import YardOwned


class User(AbstractUser):
    """Somebody who can sign in. What they may do is said by their membership of a yard."""


class Role(models.TextChoices):
    MANAGER = "manager", "manager"
    TECHNICIAN = "technician", "technician"


class Member(YardOwned):
    """A manager or technician of a yard. One log-in belongs to one yard."""

    user = models.OneToOneField(User, on_delete=models.PROTECT, related_name="member")
    role = models.CharField(max_length=20, choices=Role.choices)
    name = models.CharField(max_length=120)
    left_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [one_of("role", Role, name="member_role_is_known")]

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
    """A tablet's key. Only its digest is kept; the key itself is shown once."""

    database_rules = (SameYard("member"),)

    member = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="device_tokens")
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


__all__ = ["DeviceToken", "Member", "Owner", "Role", "User"]
