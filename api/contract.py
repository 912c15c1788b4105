"""Every answer of the API says which contract it speaks: a captive portal's says nothing of the kind."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest
from django.http.response import HttpResponseBase

from yard.tablet_contract import CONTRACT, CONTRACT_HEADER

API = "/api/"
Answer = Callable[[HttpRequest], HttpResponseBase]


def speaks_contract(get_response: Answer) -> Answer:
    """A middleware."""

    def answer(request: HttpRequest) -> HttpResponseBase:
        response = get_response(request)
        if request.path.startswith(API):
            response.headers[CONTRACT_HEADER] = str(CONTRACT)
        return response

    return answer


__all__ = ["speaks_contract"]
