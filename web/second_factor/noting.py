"""Deeds of the second factor, told by allauth's signals."""

from __future__ import annotations

from typing import Any

from allauth.mfa.models import Authenticator
from allauth.mfa.signals import (
    authentication_failed,
    authenticator_added,
    authenticator_removed,
    authenticator_reset,
)
from django.http import HttpRequest
from django.utils import timezone

from web.base.addresses import address_of
from yard.models import DeedKind, Member, User
from yard.services.deeds import deed_note
from yard.services.signing_in import sign_in_failure_note

TOLD = {"totp": "codes of an app", "webauthn": "a passkey or key", "recovery_codes": "spare codes"}


def _note(kind: DeedKind, request: HttpRequest, user: User, authenticator: Authenticator) -> None:
    member = Member.objects.filter(user=user).first()
    if member is not None:
        told = TOLD.get(authenticator.type, authenticator.type)
        deed_note(
            yard=member.yard_id,
            kind=kind,
            by=member,
            about=member,
            told=told,
            from_address=address_of(request),
            at=timezone.now(),
        )


def added(*, request: HttpRequest, user: User, authenticator: Authenticator, **_: Any) -> None:
    _note(DeedKind.FACTOR_ADDED, request, user, authenticator)


def removed(*, request: HttpRequest, user: User, authenticator: Authenticator, **_: Any) -> None:
    _note(DeedKind.FACTOR_REMOVED, request, user, authenticator)


def failed(*, request: HttpRequest, user: User, **_: Any) -> None:
    sign_in_failure_note(
        username=user.username, why="wrong second factor", from_address=address_of(request), at=timezone.now()
    )


def connect() -> None:
    authenticator_added.connect(added, dispatch_uid="web.second_factor.added")
    authenticator_reset.connect(added, dispatch_uid="web.second_factor.reset")
    authenticator_removed.connect(removed, dispatch_uid="web.second_factor.removed")
    authentication_failed.connect(failed, dispatch_uid="web.second_factor.failed")


__all__ = ["connect"]
