"""Whether a log-in has a second factor, and taking it away from somebody who has lost it."""

from __future__ import annotations

from datetime import datetime

from allauth.mfa.models import Authenticator
from allauth.mfa.webauthn.internal.auth import WebAuthn
from django.db import transaction
from django.db.models import Exists, OuterRef

from yard.models import DeedKind, Member, User
from yard.services.deeds import deed_note

FACTORS = ("totp", "webauthn")
# Annotates members.
HAS_SECOND_FACTOR = Exists(Authenticator.objects.filter(user=OuterRef("user"), type__in=FACTORS))


def second_factor_on(user: User) -> bool:
    """Whether the password alone does not let them in."""
    return bool(Authenticator.objects.filter(user=user, type__in=FACTORS).exists())


def second_factor_code_right(user: User, code: str) -> bool:
    """Whether a code of an app or a spare code is right; it is used up by that."""
    rows = Authenticator.objects.filter(user=user).exclude(type=Authenticator.Type.WEBAUTHN)
    return any(row.wrap().validate_code(code) for row in rows)


def passkeys_of(user: User) -> list[WebAuthn]:
    """Passkeys and keys of a log-in, the oldest first, each with its `name` and whether it `is_passwordless`."""
    rows = Authenticator.objects.filter(user=user, type=Authenticator.Type.WEBAUTHN).order_by("pk")
    return [row.wrap() for row in rows]


@transaction.atomic
def second_factor_remove(*, member: Member, by: Member, at: datetime) -> bool:
    """Take every second factor away from a member who has lost theirs; the password alone lets them in then.

    Returns:
        Whether there was one. Doing it again changes nothing.
    """
    gone, _ = Authenticator.objects.filter(user=member.user_id).delete()
    if gone:
        deed_note(yard=member.yard_id, kind=DeedKind.FACTOR_REMOVED, by=by, about=member, told=member.name, at=at)
    return bool(gone)


__all__ = [
    "HAS_SECOND_FACTOR",
    "passkeys_of",
    "second_factor_code_right",
    "second_factor_on",
    "second_factor_remove",
]
