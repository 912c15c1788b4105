"""Pages for what is not there, may not be done, or broke. For its own addresses the API answers itself."""

from __future__ import annotations

from collections.abc import Callable
from http import HTTPMethod, HTTPStatus

from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.http.response import HttpResponseBase
from django.shortcuts import render

Answer = Callable[[HttpRequest], HttpResponseBase]


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    return render(request, "web/base/error.html", {"kind": "bad-request"}, status=400)


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    """A refusal whose words are meant for people tells them."""
    return render(request, "web/base/error.html", {"kind": "not-allowed", "told": str(exception)}, status=403)


def forged(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form came back without its proof: the page was open too long, or another site sent it."""
    return render(request, "web/base/error.html", {"kind": "forged"}, status=403)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    return render(request, "web/base/error.html", {"kind": "not-found"}, status=404)


def broken(request: HttpRequest) -> HttpResponse:
    """Drawn without anything that may be what broke."""
    return render(request, "web/base/error.html", {"kind": "broken"}, status=500)


def tells_no_page(
    get_response: Callable[[HttpRequest], HttpResponseBase],
) -> Callable[[HttpRequest], HttpResponseBase]:
    """A middleware. What only takes a form answers a browser that opens its address, as a restored tab does, with
    nothing at all: say what is amiss instead."""

    def answer(request: HttpRequest) -> HttpResponseBase:
        response = get_response(request)
        if request.method != HTTPMethod.GET or not isinstance(response, HttpResponseNotAllowed) or response.content:
            return response
        told = render(request, "web/base/error.html", {"kind": "no-page"}, status=HTTPStatus.METHOD_NOT_ALLOWED)
        told.headers["Allow"] = response.headers["Allow"]
        return told

    return answer


__all__ = ["bad_request", "broken", "forged", "not_allowed", "not_found", "tells_no_page"]
