"""Shutting a member out for good, letting them in again, and ending what is open in their name."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction
from django.db.models import F

from yard.models import DeedKind, DeviceCode, DeviceToken, Invitation, Member, User
from yard.services.changes import manager_may_go
from yard.services.deeds import deed_note
from yard.services.people import device_token_revoke


def sessions_end(user: User) -> None:
    """End every session of theirs, on whatever machine."""
    User.objects.filter(pk=user.pk).update(sessions_ended=F("sessions_ended") + 1)
    user.refresh_from_db(fields=["sessions_ended"])


@transaction.atomic
def own_tablets_shut_out(*, member: Member, by: Member, at: datetime) -> int:
    """Shut out the tablets that speak for a member, and take back the codes that would let in more of them.

    Returns:
        How many tablets were shut out. Shared ones work on: they are the yard's.
    """
    tokens = list(DeviceToken.objects.filter(member=member, shared=False, revoked_at=None))
    for token in tokens:
        device_token_revoke(token=token, by=by, at=at)
    DeviceCode.objects.filter(made_by=member, used_at=None, revoked_at=None).update(revoked_at=at)
    return len(tokens)


@transaction.atomic
def member_close(*, member: Member, by: Member, at: datetime) -> Member:
    """Shut a log-in: its sessions end, its own tablets are shut out, their unused codes and invitations taken back.

    A shared tablet works on: it is the yard's. Doing it again changes nothing.

    Raises:
        Refused: the only manager, or who decides on a boat.
    """
    held = _held(member)
    if not held.user.is_active:
        return held
    if held.is_manager and held.left_on is None:
        manager_may_go(held, field="member")
    held.user.is_active = False
    held.user.save(update_fields=["is_active"])
    sessions_end(held.user)
    own_tablets_shut_out(member=held, by=by, at=at)
    Invitation.objects.filter(invited_by=held, accepted_at=None, revoked_at=None).update(revoked_at=at)
    deed_note(yard=held.yard_id, kind=DeedKind.CLOSED, by=by, about=held, told=held.name, at=at)
    return held


@transaction.atomic
def member_reopen(*, member: Member, by: Member, at: datetime) -> Member:
    """Open a log-in that was shut, or whose day of leaving has come. Their password is the one they had.

    Sessions and tablets that ended with it stay ended. Doing it again changes nothing.
    """
    held = _held(member)
    if held.user.is_active and held.left_on is None:
        return held
    held.user.is_active, held.left_on = True, None
    held.user.save(update_fields=["is_active"])
    held.save(update_fields=["left_on"])
    sessions_end(held.user)
    deed_note(yard=held.yard_id, kind=DeedKind.REOPENED, by=by, about=held, told=held.name, at=at)
    return held


def _held(member: Member) -> Member:
    found: Member = Member.objects.select_for_update(of=("self",)).select_related("user", "yard").get(pk=member.pk)
    return found


__all__ = ["member_close", "member_reopen", "own_tablets_shut_out", "sessions_end"]
