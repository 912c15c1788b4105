"""What allauth asks of a house: who is calling, where a sign-in leads, and how secrets are kept."""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.internal.flows.login import get_authentication_records
from allauth.account.internal.stagekit import clear_login
from allauth.mfa.adapter import DefaultMFAAdapter
from cryptography.fernet import Fernet, MultiFernet
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import resolve_url
from django.utils import timezone

from web.base.addresses import address_of, caller_of
from yard.models import Member, User
from yard.services.guessing import Guess
from yard.services.people import may_sign_in
from yard.services.signing_in import sign_in_failure_note, sign_in_note


class AccountAdapter(DefaultAccountAdapter):  # type: ignore[misc]  # it comes without types
    """Signing in, and nothing else: log-ins are made by invitation."""

    error_messages = DefaultAccountAdapter.error_messages | {
        "too_many_login_attempts": "was wrong too often; wait five minutes, then try again.",
        "rate_limited": "was wrong too often; wait five minutes, then try again.",
        "incorrect_password": "is not the one you have now; type it again.",
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False

    def get_client_ip(self, request: HttpRequest) -> str:
        return caller_of(request)

    def get_login_redirect_url(self, request: HttpRequest) -> str:
        return resolve_url(settings.LOGIN_REDIRECT_URL)

    def respond_user_inactive(self, request: HttpRequest, user: User) -> HttpResponse:
        messages.error(request, "This log-in is shut. A manager of the yard can help.")
        return HttpResponseRedirect(resolve_url(settings.LOGIN_URL))

    def add_message(
        self, request: HttpRequest, level: int, message_template: str | None = None, *args: Any, **more: Any
    ) -> None:
        """That one is signed in is plain from the page."""
        if message_template != "account/messages/logged_in.txt":
            super().add_message(request, level, message_template, *args, **more)

    def pre_login(self, request: HttpRequest, user: User, **more: Any) -> HttpResponse | None:
        """Whose log-in is shut is told so at the door, whatever they showed there."""
        member: Member | None = getattr(user, "member", None)
        now = timezone.now()
        if user.is_active and (member is None or may_sign_in(member, at=now)):
            return None
        clear_login(request)
        sign_in_failure_note(
            username=user.username, why="the log-in is shut", from_address=address_of(request), at=now
        )
        return self.respond_user_inactive(request, user)

    def post_login(self, request: HttpRequest, user: User, **more: Any) -> HttpResponse:
        used = dict.fromkeys(_way(record) for record in get_authentication_records(request, user))
        how = " and ".join(way for way in used if way)
        sign_in_note(user=user, how=f"by {how}", from_address=address_of(request), at=timezone.now())
        Guess(user.username, caller_of(request)).is_in()
        answer: HttpResponse = super().post_login(request, user, **more)
        return answer


def _way(record: dict[str, Any]) -> str:
    """What was shown at the door, as allauth has noted it."""
    if record["method"] == "mfa":
        return "passkey" if record.get("passwordless") else "second factor"
    return "password" if record["method"] == "password" else ""


class SecondFactorAdapter(DefaultMFAAdapter):  # type: ignore[misc]  # it comes without types
    """Secrets of second factors are kept encrypted by a key made from the service's own."""

    error_messages = DefaultMFAAdapter.error_messages | {
        "incorrect_code": "is wrong, used already or too old; take the one that is shown now."
    }

    def get_totp_label(self, user: User) -> str:
        return user.username

    def get_totp_issuer(self) -> str:
        return "Faying"

    def get_public_key_credential_rp_entity(self) -> dict[str, str]:
        site: dict[str, str] = super().get_public_key_credential_rp_entity()
        return site | {"name": "Faying"}

    def get_public_key_credential_user_entity(self, user: User) -> dict[str, Any]:
        """What phone or computer shows where there are passkeys of several people."""
        told: dict[str, Any] = super().get_public_key_credential_user_entity(user)
        member: Member | None = getattr(user, "member", None)
        return told | {"name": user.username, "display_name": user.username if member is None else member.name}

    def encrypt(self, text: str) -> str:
        return _box(settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS).encrypt(text.encode()).decode()

    def decrypt(self, encrypted_text: str) -> str:
        return _box(settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS).decrypt(encrypted_text.encode()).decode()


@cache
def _box(*secrets: str) -> MultiFernet:
    """Made by the first secret, opened by any: an old key of the service still opens what it closed."""
    keys = (hashlib.sha256(b"web.second_factor:" + secret.encode()).digest() for secret in secrets)
    return MultiFernet([Fernet(base64.urlsafe_b64encode(key)) for key in keys])


__all__ = ["AccountAdapter", "SecondFactorAdapter"]
