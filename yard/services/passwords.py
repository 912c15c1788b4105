"""A new password: chosen by whoever knows the old one, or by whoever reads the mail of the log-in's address."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import Final
from uuid import uuid4

from django.conf import settings
from django.contrib.auth.tokens import default_token_generator
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.encoding import force_bytes, force_str
from django.utils.http import urlsafe_base64_decode, urlsafe_base64_encode

from yard.models import DeedKind, Member, User
from yard.outbox import enqueue, handler
from yard.post import mail_write
from yard.refusals import Refused
from yard.services.access import own_tablets_shut_out
from yard.services.checks import email_check
from yard.services.deeds import deed_note
from yard.services.people import may_sign_in, members_of_address, password_check

MAIL: Final = "yard.mail_new_password"
PAGE_ROUTE: Final = "web:password-new"


@transaction.atomic
def password_ask(*, email: str, at: datetime) -> None:
    """Have a link for a new password mailed to whoever has a log-in with this address.

    It does the same work whether anybody has or not: who works here is not found out by asking, nor by timing.

    Raises:
        Refused: it is no mail address.
    """
    address = email_check(email).lower()
    enqueue(task=MAIL, arguments={"email": address}, key=f"{MAIL}:{uuid4()}", yard=None, at=at)


@handler(MAIL)
def mail_new_password(*, email: str) -> Callable[[datetime], None] | None:
    """Write the mails: one for each log-in that has the address, in their yard's name."""
    members = list(members_of_address(email).order_by("pk"))
    return partial(_write, members) if members else None


def _write(members: list[Member], now: datetime) -> None:
    for member in members:
        if may_sign_in(member, at=now):
            _mail(member, now)


def _mail(member: Member, now: datetime) -> None:
    user = member.user
    told = {
        "tag": "en-GB",
        "yard": member.yard.name,
        "name": member.name,
        "username": user.username,
        "hours": settings.PASSWORD_RESET_TIMEOUT // 3600,
        "url": f"{settings.PUBLIC_URL}{reverse(PAGE_ROUTE, args=[password_key(user)])}",
    }
    mail_write(
        yard=member.yard,
        key=f"password:{member.pk}:{uuid4()}",
        to_address=user.email,
        subject=f"A new password for {member.yard.name}"[:200],
        text=render_to_string("yard/mail/password.txt", told),
        html=render_to_string("yard/mail/password.html", told),
        holds_key=True,
        at=now,
    )
    deed_note(yard=member.yard_id, kind=DeedKind.PASSWORD_ASKED, about=member, told=user.email, at=now)


def password_key(user: User) -> str:
    """What stands in the address by which a new password is chosen: who, and a signature that is good once."""
    return f"{urlsafe_base64_encode(force_bytes(user.pk))}.{default_token_generator.make_token(user)}"


def password_key_find(*, key: str, at: datetime) -> Member | None:
    """Whose password the key of the mail may set; None where it is wrong, used or too old.

    The key is signed over the password and the last sign-in, so it is good until either changes: once.
    """
    name, _, token = key.partition(".")
    try:
        user_id = int(force_str(urlsafe_base64_decode(name)))
    except (ValueError, OverflowError):
        return None
    if user_id >= 2**63:
        return None
    found: Member | None = Member.objects.filter(user=user_id).select_related("user", "yard").first()
    if found is None or not default_token_generator.check_token(found.user, token):
        return None
    return found if may_sign_in(found, at=at) else None


@transaction.atomic
def password_set_by_key(*, key: str, password: str, at: datetime, shut_out_tablets: bool = False) -> Member | None:
    """Set the password of the log-in that the key is for; every session of theirs ends. None where it is no good.

    Args:
        shut_out_tablets: their own tablets are shut out as well, whose keys a new password leaves as they are.

    Raises:
        Refused: the password won't do; the key is still good then.
    """
    found = password_key_find(key=key, at=at)
    if found is None:
        return None
    # Of two who press at once, the second waits here, and its key is used.
    user = User.objects.select_for_update().get(pk=found.user_id)
    if not default_token_generator.check_token(user, key.partition(".")[2]):
        return None
    how = f"{found.name}, by the link of the mail"
    if shut_out_tablets:
        number = own_tablets_shut_out(member=found, by=found, at=at)
        how += f"; {number} own tablet{'s' if number != 1 else ''} shut out"
    _set(user, found, password, at, how)
    return found


@transaction.atomic
def password_change(*, member: Member, old: str, password: str, at: datetime) -> None:
    """Change one's own password. Other sessions of theirs end.

    Raises:
        Refused: the old one is wrong, or the new one won't do.
    """
    user = User.objects.select_for_update().get(pk=member.user_id)
    if not user.check_password(old):
        raise Refused("old_password", "is not the one you have now", "type it again, or have a link mailed to you")
    _set(user, member, password, at, member.name)


@transaction.atomic
def own_address_change(*, member: Member, old: str, email: str, at: datetime) -> None:
    """Change the mail address of one's own log-in: a new password and the weekly mail go there.

    Raises:
        Refused: the password is wrong, or that is no address.
    """
    user = User.objects.select_for_update().get(pk=member.user_id)
    if not user.check_password(old):
        raise Refused("old_password", "is not the one you have now", "type it again")
    address = email_check(email)
    if address == user.email:
        return
    told = f"{member.name}: mail address {user.email or 'none'} to {address}"
    user.email = address
    user.save(update_fields=["email"])
    deed_note(yard=member.yard_id, kind=DeedKind.NAME_CHANGED, by=member, about=member, told=told, at=at)


def _set(user: User, member: Member, password: str, at: datetime, how: str) -> None:
    password_check(password, user)
    user.set_password(password)
    user.save(update_fields=["password"])
    deed_note(yard=member.yard_id, kind=DeedKind.PASSWORD_SET, by=member, about=member, told=how, at=at)


__all__ = [
    "own_address_change",
    "password_ask",
    "password_change",
    "password_key",
    "password_key_find",
    "password_set_by_key",
]
