"""The page that an invitation leads to. The address is the key; whoever has it makes their own log-in."""

from __future__ import annotations

from typing import Final

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from web.base.addresses import caller_of
from web.base.forms import YardForm
from web.base.rates import Rate
from web.owner.gate import sealed
from yard.models import User
from yard.refusals import Refused
from yard.services.invitations import invitation_accept, invitation_find

# Keys can't be guessed; whoever tries all the same is slowed down.
WRONG_KEYS: Final = Rate("mailed-key", 20, 15 * 60)


class NewPasswordForm(YardForm):
    """A password, typed twice."""

    password = forms.CharField(
        label="Password",
        strip=False,
        max_length=4096,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="At least 8 characters, not figures alone, none of the most used ones. Several words are good.",
        error_messages={"required": "is missing."},
    )
    again = forms.CharField(
        label="Password again",
        strip=False,
        max_length=4096,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        error_messages={"required": "is missing."},
    )

    def clean_again(self) -> str:
        again: str = self.cleaned_data["again"]
        if "password" in self.cleaned_data and again != self.cleaned_data["password"]:
            raise forms.ValidationError("is not the same; type both once more.")
        return again


class JoinForm(NewPasswordForm):
    """Who they are, and how they will sign in."""

    field_order = ["name", "username", "password", "again"]

    name = forms.CharField(
        label="Your name",
        max_length=120,
        help_text="As colleagues see it.",
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        error_messages={"required": "is missing."},
    )
    username = forms.CharField(
        label="Name to sign in with",
        max_length=150,
        help_text="Letters, figures and @ . + - _, without blanks. Your mail address will do.",
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
        error_messages={"required": "is missing."},
    )


# The address itself is the key and no cookie is looked at: there is nothing another site could ride on. (With
# `no-referrer` a browser names no origin either, which Django would take for a forgery.)
@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
def join(request: HttpRequest, token: str) -> HttpResponse:
    """Show the form; by POST, make the log-in and lead on to the sign-in."""
    refusal = key_refused(request)
    if refusal is not None:
        return refusal
    now = timezone.now()
    invitation = invitation_find(key=token, at=now)
    if invitation is None:
        return key_wrong(request, "invitation")
    known = User.objects.filter(username__iexact=invitation.email).exists()
    first = {"name": invitation.name, "username": "" if known else invitation.email}
    form = JoinForm(request.POST) if request.method == "POST" else JoinForm(initial=first)
    if request.method == "POST" and form.is_valid():
        given = {name: form.cleaned_data[name] for name in ("username", "name", "password")}
        try:
            member = invitation_accept(key=token, at=now, **given)
        except Refused as refused:
            form.refuse(refused)
        else:
            if member is None:  # somebody was quicker
                return key_wrong(request, "invitation")
            messages.success(request, f"Your log-in is made, {member.name}. Sign in with it now.")
            return sealed(HttpResponseRedirect(reverse("web:sign-in")))  # type: ignore[return-value]
    status = 422 if form.errors else 200
    told = {"form": form, "invitation": invitation, "yard": invitation.yard}
    return sealed(render(request, "web/office/join.html", told, status=status))  # type: ignore[return-value]


def key_refused(request: HttpRequest) -> HttpResponse | None:
    """The answer to a caller who has tried too many keys; None to everybody else."""
    if not WRONG_KEYS.spent(caller_of(request)):
        return None
    minutes = -(-WRONG_KEYS.wait_seconds // 60)
    response = render(request, "web/office/key_wrong.html", {"minutes": minutes}, status=429)
    response["Retry-After"] = str(WRONG_KEYS.wait_seconds)
    return sealed(response)  # type: ignore[return-value]


def key_wrong(request: HttpRequest, what: str) -> HttpResponse:
    """One answer for a key that is wrong, used, taken back or too old."""
    WRONG_KEYS.count(caller_of(request))
    return sealed(render(request, "web/office/key_wrong.html", {"what": what}, status=404))  # type: ignore[return-value]


__all__ = ["NewPasswordForm", "join", "key_refused", "key_wrong"]
