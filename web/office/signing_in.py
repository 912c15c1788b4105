"""Signing in by name and password, slowly for whoever guesses."""

from __future__ import annotations

from typing import Any, Final

from allauth.account.internal.flows.login import perform_password_login
from allauth.account.models import Login
from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from web.base.addresses import address_of, caller_of
from yard.services.guessing import Guess
from yard.services.signing_in import sign_in_failure_note

TOO_MANY: Final = 429


class SignInForm(AuthenticationForm):
    """Name and password."""

    error_messages = {
        "invalid_login": "This name and password don't belong together. Both mind capital letters.",
        "inactive": "This log-in is shut. A manager of the yard can help.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "Name"
        for name in ("username", "password"):
            self.fields[name].error_messages["required"] = "is missing."


class SignIn(LoginView):
    """The way in. After too many slips even the right password has to wait."""

    template_name = "web/office/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        name, password = request.POST.get("username", ""), request.POST.get("password", "")
        if not (name.strip() and password):
            return super().post(request, *args, **kwargs)
        guess = Guess(name, caller_of(request))
        wait = guess.wait
        if wait:
            return self._must_wait(wait)
        guess.begin()
        response = super().post(request, *args, **kwargs)
        if request.user.is_authenticated:
            guess.was_right()
        elif response.status_code < 400:  # the password is right, and the second factor is wanted
            guess.take_back()
        return response

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """The password is right; whoever has a second factor is asked for it before they are in."""
        user = form.get_user()
        login = Login(user=user, redirect_url=self.get_success_url())
        answer: HttpResponse = perform_password_login(self.request, {"username": user.get_username()}, login)
        return answer

    def form_invalid(self, form: forms.Form) -> HttpResponse:
        if form.cleaned_data.get("username") and form.cleaned_data.get("password"):
            sign_in_failure_note(
                username=form.cleaned_data["username"],
                why="wrong password",
                from_address=address_of(self.request),
                at=timezone.now(),
            )
        response = super().form_invalid(form)  # type: ignore[arg-type]
        response.status_code = 422
        return response

    def _must_wait(self, wait: int) -> HttpResponse:
        response = self._empty(TOO_MANY, minutes=-(-wait // 60))
        response["Retry-After"] = str(wait)
        return response

    def _empty(self, status: int, **told: Any) -> HttpResponse:
        """The page with nothing filled in, and what else it tells."""
        response = self.render_to_response(self.get_context_data(form=self.get_form_class()(), **told))
        response.status_code = status
        return response


sign_in = SignIn.as_view()
sign_out = LogoutView.as_view(http_method_names=["post", "options"])

__all__ = ["TOO_MANY", "SignIn", "sign_in", "sign_out"]
