"""Who works at a yard, whose boats they are, and which tablets may speak for whom."""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime, timedelta

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction

from yard.locale_format import locale_check
from yard.models import DeedKind, DeviceToken, Member, Owner, Role, User, Yard
from yard.refusals import Refused, RefusedMany
from yard.services.checks import Sheet, choice_check, email_check, text_check
from yard.services.deeds import deed_note

# A token notes when it was last used, but not at every request: that would be a write for each read.
USE_NOTED_EVERY = timedelta(minutes=5)


def member_create(*, yard: Yard, username: str, password: str, name: str, role: str, email: str = "") -> Member:
    """Give somebody a log-in and a role at this yard."""
    sheet = Sheet()
    user = User(
        username=sheet.read(lambda: username_check(username), ""),
        email=sheet.read(lambda: email_check(email, blank=True), ""),
    )
    member = Member(
        yard=yard,
        user=user,
        name=sheet.read(lambda: text_check(name, field="name", longest=120), ""),
        role=sheet.read(lambda: choice_check(role, Role.values, field="role"), ""),
    )
    sheet.read(lambda: password_check(password, user), None)
    sheet.close()
    user.set_password(password)
    try:
        with transaction.atomic():
            user.save()
            member.user = user
            member.save()
    except IntegrityError as error:
        raise username_taken(user.username) from error
    return member


def owner_create(*, yard: Yard, name: str, email: str, phone: str = "", locale: str = "en_GB") -> Owner:
    """Enter an owner. The address is where reports and links go, so each belongs to one owner."""
    sheet = Sheet()
    owner = Owner(
        yard=yard,
        name=sheet.read(lambda: text_check(name, field="name", longest=120), ""),
        email=sheet.read(lambda: email_check(email), ""),
        phone=sheet.read(lambda: text_check(phone, field="phone", longest=40, blank=True), ""),
        locale=sheet.read(lambda: str(locale_check(locale)), "en_GB"),
    )
    sheet.close()
    taken = Refused("email", "belongs to another owner of this yard", "take that owner, or another address")
    if Owner.objects.of_yard(yard).filter(email__iexact=owner.email).exists():
        raise taken
    try:
        with transaction.atomic():
            owner.save()
    except IntegrityError as error:
        raise taken from error
    return owner


@transaction.atomic
def device_token_issue(
    *, member: Member, device_name: str, at: datetime, shared: bool = False, from_address: str | None = None
) -> tuple[DeviceToken, str]:
    """Make a key for a tablet. The key itself is handed out here and never again; only its digest is kept.

    Args:
        shared: it speaks for whoever of the yard works with it, and not for the member.
    """
    name = text_check(device_name, field="device_name", longest=80)
    if not may_sign_in(member, at=at):
        raise Refused("member", "no longer works at this yard", "ask a manager for a log-in")
    secret = secrets.token_urlsafe(32)
    token = DeviceToken.objects.create(
        yard=member.yard,
        member=member,
        device_name=name,
        digest=digest_of(secret),
        created_at=at,
        shared=shared,
    )
    deed_note(yard=member.yard_id, kind=DeedKind.KEY_MADE, by=member, told=name, from_address=from_address, at=at)
    return token, secret


def device_token_find(*, secret: str, at: datetime) -> DeviceToken | None:
    """The token of this key with member, user and yard. None when it is unknown, revoked, or its member left.

    A shared one is the yard's: it works on when the one who let it in has left.
    """
    token: DeviceToken | None = (
        DeviceToken.objects.filter(digest=digest_of(secret), revoked_at__isnull=True)
        .select_related("member__user", "member__yard")
        .first()
    )
    if token is None or not (token.shared or may_sign_in(token.member, at=at)):
        return None
    if token.last_used_at is None or at - token.last_used_at >= USE_NOTED_EVERY:
        token.last_used_at = at
        token.save(update_fields=["last_used_at"])
    return token


def device_token_was_revoked(*, secret: str) -> bool:
    """Whether this is the key of a tablet that was shut out."""
    return DeviceToken.objects.filter(digest=digest_of(secret), revoked_at__isnull=False).exists()


@transaction.atomic
def device_token_revoke(*, token: DeviceToken, at: datetime, by: Member | None = None) -> DeviceToken:
    """Shut a tablet out. Doing it again changes nothing."""
    if DeviceToken.objects.filter(pk=token.pk, revoked_at__isnull=True).update(revoked_at=at):
        deed_note(yard=token.yard_id, kind=DeedKind.KEY_REVOKED, by=by, told=token.device_name, at=at)
    token.refresh_from_db()
    return token


def may_sign_in(member: Member, *, at: datetime) -> bool:
    """Whether the member still works at the yard on that day and their log-in is open."""
    today = at.astimezone(member.yard.zone).date()
    return member.user.is_active and (member.left_on is None or today < member.left_on)


def members_of_address(email: str) -> models.QuerySet[Member]:
    """Whose log-in has this mail address and is open: one person may have one at each of several yards."""
    return Member.objects.filter(user__email__iexact=email, user__is_active=True).select_related("user", "yard")


def digest_of(secret: str) -> str:
    """What is kept of a key. The keys are long and random, so a plain digest can't be guessed back."""
    return hashlib.sha256(secret.encode("utf-8", errors="surrogatepass")).hexdigest()


def username_check(username: object) -> str:
    text = text_check(username, field="username", longest=150)
    try:
        User.username_validator(text)
    except ValidationError as error:
        raise Refused(
            "username", f"can't be used: {text!r}", "use letters, digits and @ . + - _ only, without blanks"
        ) from error
    if User.objects.filter(username__iexact=text).exists():
        raise username_taken(text)
    return text


def username_taken(username: str) -> Refused:
    return Refused("username", f"is taken: {username!r}", "choose another one")


def password_check(password: object, user: User) -> None:
    if not isinstance(password, str):
        raise Refused("password", "is not text", "send it as text")
    try:
        validate_password(password, user)
    except ValidationError as error:
        raise RefusedMany(
            Refused("password", message.rstrip("."), "choose a longer one of several words")
            for message in error.messages
        ) from error
