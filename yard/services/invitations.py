"""Inviting somebody to the yard: a link by mail, good for a few days and once, of which only a digest is kept."""

from __future__ import annotations

import secrets
from datetime import datetime, timedelta
from typing import Final

from django.conf import settings
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse

from yard.locale_format import date_text
from yard.models import DeedKind, Invitation, Member, Role, Yard
from yard.post import mail_write
from yard.refusals import Refused
from yard.services.checks import Sheet, choice_check, email_check, text_check
from yard.services.deeds import deed_note
from yard.services.people import digest_of, may_sign_in, member_create, members_of_address

GOOD_FOR: Final = timedelta(days=7)
PAGE_ROUTE: Final = "web:join"


@transaction.atomic
def invitation_send(*, by: Member, email: str, role: str, name: str = "", at: datetime) -> Invitation:
    """Invite somebody by mail. An open invitation of that address is taken back by it.

    Raises:
        Refused: what was given makes no sense, or somebody at work here has the address already.
    """
    sheet = Sheet()
    invitation = Invitation(
        yard=by.yard,
        email=sheet.read(lambda: email_check(email).lower(), ""),
        name=sheet.read(lambda: text_check(name, field="name", longest=120, blank=True), ""),
        role=sheet.read(lambda: choice_check(role, Role.values, field="role"), ""),
        invited_by=by,
        created_at=at,
        expires_at=at + GOOD_FOR,
    )
    sheet.close()
    # Of two who invite at once, the second waits here and takes the first one's back.
    Yard.objects.select_for_update(no_key=True).get(pk=by.yard_id)
    here = members_of_address(invitation.email).filter(yard=by.yard_id).first()
    if here is not None:
        raise Refused("email", f"is that of {here.name}, who has a log-in", "invite somebody else, or open theirs")
    earlier = Invitation.objects.of_yard(by.yard).filter(email=invitation.email, accepted_at=None, revoked_at=None)
    earlier.update(revoked_at=at)
    key = secrets.token_urlsafe(32)
    invitation.digest = digest_of(key)
    invitation.save(force_insert=True)
    told = {
        "tag": "en-GB",
        "yard": by.yard.name,
        "name": invitation.name,
        "by": by.name,
        "role": Role(invitation.role).label,
        "until": date_text(invitation.expires_at.astimezone(by.yard.zone).date(), by.yard.locale, "long"),
        "url": f"{settings.PUBLIC_URL}{reverse(PAGE_ROUTE, args=[key])}",
    }
    mail_write(
        yard=by.yard,
        key=f"invitation:{invitation.pk}",
        to_address=invitation.email,
        subject=f"Your log-in at {by.yard.name}"[:200],
        text=render_to_string("yard/mail/invitation.txt", told),
        html=render_to_string("yard/mail/invitation.html", told),
        holds_key=True,
        at=at,
    )
    whom = f"{invitation.name} <{invitation.email}>" if invitation.name else invitation.email
    deed_note(yard=by.yard_id, kind=DeedKind.INVITED, by=by, told=f"{whom} as {invitation.role}", at=at)
    return invitation


def invitation_find(*, key: str, at: datetime) -> Invitation | None:
    """The open invitation of a key. None when it is wrong, used, taken back or has run out: which is not told.

    None too once whoever sent it has left or is no manager any more. It is looked up by a digest of the whole key,
    so how long that takes says nothing about the key.
    """
    open_ones = Invitation.objects.filter(accepted_at=None, revoked_at=None, expires_at__gt=at)
    rows = open_ones.select_related("yard", "invited_by__user", "invited_by__yard")
    found: Invitation | None = rows.filter(digest=digest_of(key)).first()
    if found is None or not (found.invited_by.is_manager and may_sign_in(found.invited_by, at=at)):
        return None
    return found


@transaction.atomic
def invitation_accept(*, key: str, username: str, name: str, password: str, at: datetime) -> Member | None:
    """Make the log-in that was offered. None where the key is no good (any more).

    Raises:
        Refused: what was given makes no log-in; the invitation is still open then.
    """
    found = invitation_find(key=key, at=at)
    if found is None:
        return None
    # Of two who press at once, the second waits here and finds the key used.
    held = Invitation.objects.select_for_update(of=("self",), no_key=True).get(pk=found.pk)
    if held.accepted_at is not None or held.revoked_at is not None:
        return None
    member = member_create(
        yard=found.yard, username=username, password=password, name=name, role=held.role, email=held.email
    )
    held.accepted_at, held.member = at, member
    held.save(update_fields=["accepted_at", "member"])
    told = f"{member.name} as {member.role}, invited by {found.invited_by.name}"
    deed_note(yard=member.yard_id, kind=DeedKind.JOINED, by=member, about=member, told=told, at=at)
    return member


@transaction.atomic
def invitation_revoke(*, invitation: Invitation, by: Member, at: datetime) -> None:
    """Take an invitation back that nobody has accepted. Doing it again changes nothing."""
    still_open = Invitation.objects.filter(pk=invitation.pk, accepted_at=None, revoked_at=None)
    if still_open.update(revoked_at=at):
        deed_note(yard=by.yard_id, kind=DeedKind.INVITATION_REVOKED, by=by, told=invitation.email, at=at)


__all__ = ["GOOD_FOR", "invitation_accept", "invitation_find", "invitation_revoke", "invitation_send"]
