"""The door of the decider's page: which link it is, and what goes out with every answer."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, Final, ParamSpec

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils import timezone, translation
from django.views.decorators.csrf import csrf_exempt

from web.base.addresses import caller_of
from web.base.rates import Rate, rate_of
from web.owner.language import Reader, language_of_stranger, reader_of
from workshop.models import OwnerLink
from workshop.services.links import Kind, LinkRefused, link_find

P = ParamSpec("P")

STATUS: Final[dict[Kind, int]] = {"wrong": 404, "expired": 410, "withdrawn": 410}
TOO_MANY: Final = 429


class HolderRequest(HttpRequest):
    """A request of somebody who holds a link."""

    link: OwnerLink
    reader: Reader


Page = Callable[Concatenate[HolderRequest, P], HttpResponseBase]
Door = Callable[..., HttpResponseBase]


def for_holders(*, counted: bool) -> Callable[[Page[P]], Door]:
    """Let in who holds a live link; show everybody else a page that tells nothing about any boat.

    Args:
        counted: each request counts against the caller's rate. Pictures don't, or a page with many of them could
            not be read; trying addresses always does.
    """

    def around(page: Page[P]) -> Door:
        # The address itself is the key and no cookie is looked at: there is nothing another site could ride on.
        # (With `no-referrer` a browser names no origin either, which Django would take for a forgery.)
        @csrf_exempt
        @wraps(page)
        def door(request: HttpRequest, /, token: str, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
            return sealed(_answer(request, token, page, *args, **kwargs))

        return door

    def _answer(
        request: HttpRequest, token: str, page: Page[P], *args: P.args, **kwargs: P.kwargs
    ) -> HttpResponseBase:
        rate, caller = rate_of("owner_link"), caller_of(request)
        if rate.spent(caller) or (counted and not rate.allows(caller)):
            return too_many(request, rate)
        try:
            link = link_find(token, timezone.now())
        except LinkRefused as refusal:
            if not counted:
                rate.count(caller)
            return closed(request, refusal.kind)
        reader = reader_of(request, link.owner or link.member, link.yard)
        request.link, request.reader = link, reader  # type: ignore[attr-defined]  # which makes it a HolderRequest
        with timezone.override(link.yard.zone), translation.override(reader.language):
            try:
                return page(request, *args, **kwargs)  # type: ignore[arg-type]
            except Http404:
                return closed(request, "wrong")

    return around


def closed(request: HttpRequest, kind: Kind) -> HttpResponse:
    """A page that tells nothing about any boat, in the language of whoever knocks."""
    language = language_of_stranger(request)
    with translation.override(language):
        return render(request, "web/owner/closed.html", {"kind": kind, "tag": language}, status=STATUS[kind])


def too_many(request: HttpRequest, rate: Rate) -> HttpResponse:
    """A page that asks to go slower."""
    language = language_of_stranger(request)
    with translation.override(language):
        response = render(request, "web/owner/too_many.html", {"tag": language}, status=TOO_MANY)
    response["Retry-After"] = str(rate.wait_seconds)
    return response


def sealed(response: HttpResponseBase) -> HttpResponseBase:
    """The address must not leak to whoever a link leads to, to a search engine, or to the phone's next user."""
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex, nofollow"
    response.headers.setdefault("Cache-Control", "no-store")
    return response


__all__ = ["HolderRequest", "closed", "for_holders", "sealed", "too_many"]
