"""Signing in by a passkey alone. It is two factors in one: the thing, and the finger, face or PIN that it asks for.

A key can't be guessed, and whose it says it is is the caller's word: a refused one counts against the address
alone, so that nobody can make a colleague wait with it. Whoever waits for slips of the password waits here too.
"""

from __future__ import annotations

from typing import Any, Final

from allauth.account.models import Login
from allauth.mfa.models import Authenticator
from allauth.mfa.webauthn.forms import LoginWebAuthnForm
from allauth.mfa.webauthn.internal.auth import begin_authentication, extract_user_from_response
from allauth.mfa.webauthn.internal.flows import perform_passwordless_login
from django.conf import settings
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.shortcuts import resolve_url
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from web.base.addresses import address_of, caller_of
from web.base.pages import UNPROCESSABLE
from web.base.rates import Rate
from web.office.signing_in import TOO_MANY, SignIn
from yard.services.guessing import Guess
from yard.services.signing_in import sign_in_failure_note

# Each challenge is kept in a session, of somebody who is nobody yet.
CHALLENGES: Final = Rate("passkey-challenges", 120, 3600)


class PasskeyForm(LoginWebAuthnForm):  # type: ignore[misc]  # it comes without types
    """What a browser gave. What is nothing of the kind is refused like a passkey that nobody has."""

    claimed = ""  # the name of whose it says it is, which anybody can say

    def clean_credential(self) -> Authenticator:
        try:
            self.claimed = extract_user_from_response(self.cleaned_data["credential"]).get_username()
            return super().clean_credential()
        except (AttributeError, LookupError, TypeError, ValueError) as broken:
            raise ValidationError("is no passkey") from broken


class SignInByPasskey(SignIn):
    """GET hands a challenge to our script, POST takes what the passkey made of it."""

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if request.headers.get("Accept") != "application/json":
            return HttpResponseRedirect(resolve_url(settings.LOGIN_URL))
        if not CHALLENGES.allows(caller_of(request)):
            return JsonResponse({}, status=TOO_MANY, headers={"Retry-After": str(CHALLENGES.wait_seconds)})
        return JsonResponse(begin_authentication(user=None))

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        caller = caller_of(request)
        guess = Guess("", caller)
        if guess.wait:
            return self._must_wait(guess.wait)
        form = PasskeyForm(data=request.POST)
        if not form.is_valid():
            guess.begin()
            sign_in_failure_note(
                username=form.claimed, why="unknown passkey", from_address=address_of(request), at=timezone.now()
            )
            return self._empty(UNPROCESSABLE, passkey_unknown=True)
        passkey: Authenticator = form.cleaned_data["credential"]
        wait = Guess(passkey.user.get_username(), caller).wait
        if wait:
            return self._must_wait(wait)
        login = Login(user=passkey.user, redirect_url=self.get_success_url())
        answer: HttpResponse = perform_passwordless_login(request, passkey, login)
        return answer


sign_in_by_passkey = require_http_methods(["GET", "HEAD", "POST"])(SignInByPasskey.as_view())

__all__ = ["sign_in_by_passkey"]
