"""Who is asking. Every page of the office is one of a member's, and shows what is of the member's yard."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar
from urllib.parse import quote
from uuid import UUID

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.db import models
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.shortcuts import resolve_url
from django.utils import timezone

from yard.models import Member, User, YardOwned
from yard.services.people import may_sign_in

P = ParamSpec("P")
Row = TypeVar("Row", bound=YardOwned)


class MemberRequest(HttpRequest):
    """A request of somebody who works at a yard."""

    member: Member


Page = Callable[Concatenate[MemberRequest, P], HttpResponseBase]
Door = Callable[Concatenate[HttpRequest, P], HttpResponseBase]


def for_members(page: Page[P]) -> Door[P]:
    """Let members in; send strangers to the sign-in, and tell a log-in without a yard that it has none."""

    @wraps(page)
    def door(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        if not isinstance(request.user, User):
            here = quote(request.get_full_path() if request.method in ("GET", "HEAD") else "/")
            sign_in = f"{resolve_url(settings.LOGIN_URL)}?next={here}"
            if "HX-Request" in request.headers:  # a list was to be narrowed in place: the whole page goes there
                return HttpResponse(headers={"HX-Redirect": sign_in})
            return HttpResponseRedirect(sign_in)
        member = Member.objects.filter(user=request.user).select_related("yard", "user").first()
        if member is None or not may_sign_in(member, at=timezone.now()):
            raise PermissionDenied("This log-in belongs to no yard, or no longer. A manager of the yard can help.")
        request.member = member  # type: ignore[attr-defined]  # which makes it a MemberRequest
        with timezone.override(member.yard.zone):
            response = page(request, *args, **kwargs)  # type: ignore[arg-type]
        response.headers.setdefault("Cache-Control", "private, no-store")
        return response

    return door


def for_managers(page: Page[P]) -> Door[P]:
    """Let managers in; tell a technician who could do it."""

    @wraps(page)
    def managers_page(request: MemberRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        if not request.member.is_manager:
            raise PermissionDenied("This is for managers of the yard. Ask one of them.")
        return page(request, *args, **kwargs)

    return for_members(managers_page)


def row_of(rows: models.QuerySet[Row], member: Member, key: int | UUID) -> Row:
    """The row of the address, of the member's yard, or 404: what another yard has is not there."""
    found = rows.filter(yard=member.yard_id, pk=key).first()
    if found is None:
        raise Http404
    return found


__all__ = ["MemberRequest", "for_managers", "for_members", "row_of"]
