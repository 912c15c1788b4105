"""Signing in by name and password, slowly for whoever guesses."""

from __future__ import annotations

from typing import Any, Final

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse

from web.base.addresses import caller_of
from web.base.rates import Rate

# Five slips for one name from one address; thirty for any names from one address: then a pause.
FOR_A_NAME: Final = Rate("sign-in-name", 5, 15 * 60)
FOR_AN_ADDRESS: Final = Rate("sign-in-address", 30, 15 * 60)
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
        if FOR_A_NAME.spent(self._name_and_caller()) or FOR_AN_ADDRESS.spent(caller_of(request)):
            minutes = -(-FOR_A_NAME.wait_seconds // 60)
            response = self.render_to_response(self.get_context_data(form=self.get_form_class()(), minutes=minutes))
            response.status_code = TOO_MANY
            response["Retry-After"] = str(FOR_A_NAME.wait_seconds)
            return response
        return super().post(request, *args, **kwargs)

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        FOR_A_NAME.forget(self._name_and_caller())
        return super().form_valid(form)

    def form_invalid(self, form: forms.Form) -> HttpResponse:
        if form.cleaned_data.get("username") and form.cleaned_data.get("password"):
            FOR_A_NAME.count(self._name_and_caller())
            FOR_AN_ADDRESS.count(caller_of(self.request))
        response = super().form_invalid(form)  # type: ignore[arg-type]
        response.status_code = 422
        return response

    def _name_and_caller(self) -> str:
        return f"{self.request.POST.get('username', '').strip().lower()} {caller_of(self.request)}"


sign_in = SignIn.as_view()
sign_out = LogoutView.as_view(http_method_names=["post", "options"])

__all__ = ["sign_in", "sign_out"]
