"""Noting who came in, and who was not let in by a name that somebody has."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from yard.models import Deed, DeedKind, Member, User
from yard.services.deeds import deed_note


@transaction.atomic
def sign_in_note(*, user: User, how: str, from_address: str | None, at: datetime) -> Deed | None:
    """Note that somebody signed in. None for a log-in without a yard: there is nobody to tell.

    Args:
        how: by what they were known, such as: password and code.
    """
    member = Member.objects.filter(user=user).first()
    if member is None:
        return None
    return deed_note(
        yard=member.yard_id, kind=DeedKind.SIGNED_IN, by=member, told=how, from_address=from_address, at=at
    )


@transaction.atomic
def sign_in_failure_note(*, username: str, why: str, from_address: str | None, at: datetime) -> Deed | None:
    """Note for the yard whose member has the name that somebody else, or they, were not let in by it."""
    member = Member.objects.filter(user__username__iexact=username.strip()).order_by("pk").first()
    if member is None:
        return None
    return deed_note(
        yard=member.yard_id, kind=DeedKind.SIGN_IN_FAILED, about=member, told=why, from_address=from_address, at=at
    )


__all__ = ["sign_in_failure_note", "sign_in_note"]
