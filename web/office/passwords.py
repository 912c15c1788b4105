"""Changing one's own password, and getting a new one by mail."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from django import forms
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST

from web.base.addresses import caller_of
from web.base.forms import YardForm
from web.base.members import MemberRequest, for_members
from web.base.pages import UNPROCESSABLE, page
from web.base.rates import Rate
from web.office.joining import NewPasswordForm, key_refused, key_wrong
from web.owner.gate import sealed
from yard.models import DeviceToken, User
from yard.refusals import Refused
from yard.services.guessing import Guess
from yard.services.passwords import (
    own_address_change,
    password_ask,
    password_change,
    password_key_find,
    password_set_by_key,
)
from yard.services.second_factor import passkeys_of, second_factor_on

# Nobody's letter box is filled by a stranger, and nobody tries one address after the other.
FOR_AN_ADDRESS: Final = Rate("password-mail", 4, 3600)
FOR_A_CALLER: Final = Rate("password-asked", 20, 3600)
NO_ADDRESS: Final = {
    "required": "is missing.",
    "invalid": "is no mail address; give one like name@example.org.",
}


class ForgottenForm(YardForm):
    email = forms.EmailField(
        label="Mail address of your log-in",
        max_length=254,
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
        error_messages=NO_ADDRESS,
    )


class ResetForm(NewPasswordForm):
    """A new password for one that is forgotten, or that somebody else may know."""

    shut_out_tablets = forms.BooleanField(
        label="Shut my own tablets out too",
        required=False,
        help_text="If somebody may know the password. What they had not sent can be saved on them as a file.",
    )


def _password_of_now() -> forms.CharField:
    return forms.CharField(
        label="Password you have now",
        strip=False,
        max_length=4096,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        error_messages={"required": "is missing."},
    )


class OwnAddressForm(YardForm):
    """Where a new password and the weekly mail go."""

    email = forms.EmailField(
        label="Mail address",
        max_length=254,
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
        error_messages=NO_ADDRESS,
    )
    old_password = _password_of_now()


class OwnPasswordForm(NewPasswordForm):
    """A new password beside the one of now: each says which it is."""

    field_order = ["old_password", "password", "again"]

    old_password = _password_of_now()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["password"].label = "New password"
        self.fields["again"].label = "New password again"


@require_http_methods(["GET", "HEAD", "POST"])
def forgotten(request: HttpRequest) -> HttpResponse:
    """Have a link mailed. The answer is the same whether anybody has the address or not."""
    form = ForgottenForm(request.POST) if request.method == "POST" else ForgottenForm()
    told: dict[str, object] = {"form": form}
    status = 200
    if request.method == "POST":
        status = UNPROCESSABLE
        if form.is_valid():
            address = form.cleaned_data["email"].lower()
            if not FOR_A_CALLER.allows(caller_of(request)):
                told["minutes"], status = -(-FOR_A_CALLER.wait_seconds // 60), 429
            else:
                if FOR_AN_ADDRESS.allows(address):
                    password_ask(email=address, at=timezone.now())
                told["asked"], status = address, 200
    return render(request, "web/office/password_forgotten.html", told, status=status)


@csrf_exempt  # the address itself is the key; see `join`
@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest, token: str) -> HttpResponse:
    """Choose the new password by the key of the mail."""
    refusal = key_refused(request)
    if refusal is not None:
        return refusal
    now = timezone.now()
    member = password_key_find(key=token, at=now)
    if member is None:
        return key_wrong(request, "password")
    form = ResetForm(request.POST) if request.method == "POST" else ResetForm()
    if request.method == "POST" and form.is_valid():
        try:
            done = password_set_by_key(
                key=token,
                password=form.cleaned_data["password"],
                shut_out_tablets=form.cleaned_data["shut_out_tablets"],
                at=now,
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            if done is None:  # the key was used in the meantime
                return key_wrong(request, "password")
            messages.success(request, "Your new password holds. Sign in with it now.")
            return sealed(HttpResponseRedirect(reverse("web:sign-in")))  # type: ignore[return-value]
    tablets = DeviceToken.objects.filter(member=member, shared=False, revoked_at=None)
    told = {"form": form, "person": member, "yard": member.yard, "tablets": tablets}
    status = UNPROCESSABLE if form.errors else 200
    return sealed(render(request, "web/office/password_new.html", told, status=status))  # type: ignore[return-value]


@require_http_methods(["GET", "HEAD", "POST"])
@for_members
def log_in(request: MemberRequest) -> HttpResponse:
    """One's own log-in: the password, the mail address and one's own tablets."""
    member = request.member
    form = OwnPasswordForm(request.POST) if request.method == "POST" else OwnPasswordForm()
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        if _proven(
            request,
            form,
            lambda: password_change(
                member=member, old=given["old_password"], password=given["password"], at=timezone.now()
            ),
        ):
            user = User.objects.get(pk=member.user_id)
            update_session_auth_hash(request, user)  # this session goes on, by a new key; others end
            messages.success(request, "Your new password holds. You are signed out everywhere else.")
            return HttpResponseRedirect(reverse("web:log-in"))
    return _own_log_in(request, form=form)


@require_POST
@for_members
def address(request: MemberRequest) -> HttpResponse:
    """Change where one's own mail goes; whoever finds the page open needs the password for it too."""
    form = OwnAddressForm(request.POST, auto_id="address-%s")
    if form.is_valid():
        given = form.cleaned_data
        if _proven(
            request,
            form,
            lambda: own_address_change(
                member=request.member, old=given["old_password"], email=given["email"], at=timezone.now()
            ),
        ):
            messages.success(request, f"Your mail goes to {given['email']} from now on.")
            return HttpResponseRedirect(reverse("web:log-in"))
    return _own_log_in(request, address_form=form)


def _proven(request: MemberRequest, form: YardForm, deed: Callable[[], None]) -> bool:
    """Do what wants the password of now. Guessing it is slowed like signing in."""
    guess = Guess(request.member.user.username, caller_of(request))
    try:
        if guess.wait:
            raise Refused("old_password", "was wrong too often", f"wait {-(-guess.wait // 60)} minutes")
        guess.begin()
        deed()
    except Refused as refused:
        if refused.field != "old_password":
            guess.was_right()
        form.refuse(refused)
        return False
    guess.was_right()
    return True


def _own_log_in(
    request: MemberRequest, *, form: YardForm | None = None, address_form: YardForm | None = None
) -> HttpResponse:
    member = request.member
    shown = address_form or OwnAddressForm(auto_id="address-%s", initial={"email": member.user.email})
    told = {
        "here": "log-in",
        "form": form or OwnPasswordForm(),
        "address_form": shown,
        "tokens": DeviceToken.objects.filter(member=member, shared=False, revoked_at=None),
        "passkeys": passkeys_of(member.user),
        "second_factor": second_factor_on(member.user),
    }
    wrong = (form is not None and form.errors) or shown.errors
    return page(request, "log_in.html", told, status=UNPROCESSABLE if wrong else 200)


__all__ = ["address", "forgotten", "log_in", "new"]
