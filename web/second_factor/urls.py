"""Addresses of allauth's views, by the names that it looks for; what is not offered has none."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from allauth.account.views import reauthenticate
from allauth.mfa.base import views as base
from allauth.mfa.recovery_codes import views as recovery
from allauth.mfa.totp import views as totp
from allauth.mfa.webauthn import views as webauthn
from django.http import HttpRequest, HttpResponseBase
from django.urls import path
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from web.base.members import for_members
from web.office.signing_in import sign_in
from web.second_factor.passkey_alone import sign_in_by_passkey

View = Callable[..., HttpResponseBase]


def _members(view: View, *methods: str) -> View:
    """A page of one's own log-in: for members, by GET and the methods that are named."""
    return require_http_methods(["GET", "HEAD", *methods])(for_members(_plain(view)))


def _plain(view: View) -> View:
    @wraps(view)
    def shown(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        return view(request, *args, **kwargs)

    return shown


own = "log-in/second-factor/"
urlpatterns = [
    path("sign-in/", sign_in, name="account_login"),
    path(
        "sign-in/second-factor/",
        require_http_methods(["GET", "HEAD", "POST"])(never_cache(base.authenticate)),
        name="mfa_authenticate",
    ),
    path("sign-in/passkey/", sign_in_by_passkey, name="mfa_login_webauthn"),
    path("log-in/confirm/", _members(reauthenticate, "POST"), name="account_reauthenticate"),
    path("log-in/confirm/code/", _members(base.reauthenticate, "POST"), name="mfa_reauthenticate"),
    path(
        "log-in/confirm/key/",
        _members(webauthn.reauthenticate_webauthn, "POST"),
        name="mfa_reauthenticate_webauthn",
    ),
    path(own, _members(base.index), name="mfa_index"),
    path(f"{own}app/", _members(totp.activate_totp, "POST"), name="mfa_activate_totp"),
    path(f"{own}app/off/", _members(totp.deactivate_totp, "POST"), name="mfa_deactivate_totp"),
    path(f"{own}keys/", _members(webauthn.add_webauthn, "POST"), name="mfa_add_webauthn"),
    path(f"{own}keys/<int:pk>/remove/", _members(webauthn.remove_webauthn, "POST"), name="mfa_remove_webauthn"),
    path(f"{own}spare-codes/", _members(recovery.view_recovery_codes), name="mfa_view_recovery_codes"),
    path(
        f"{own}spare-codes/new/",
        _members(recovery.generate_recovery_codes, "POST"),
        name="mfa_generate_recovery_codes",
    ),
    path(own, _members(base.index), name="mfa_list_webauthn"),
]
