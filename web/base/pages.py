"""Answering with a page of the office, and with what was refused on it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.http import HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone

from web.base.asking import query_without
from web.base.members import MemberRequest
from yard.refusals import Refused
from yard.selectors import today_at

UNPROCESSABLE = 422


def page(
    request: MemberRequest,
    template: str,
    context: Mapping[str, Any],
    *,
    refused: Refused | None = None,
    status: int = 200,
) -> HttpResponse:
    """A page with the yard, its day and the member beside what it shows; with a refusal it says 422."""
    member = request.member
    return render(
        request,
        f"web/office/{template}",
        {
            "yard": member.yard,
            "member": member,
            "today": today_at(member.yard, timezone.now()),
            "refusals": refused.refusals if refused is not None else (),
            **context,
        },
        status=status if refused is None else UNPROCESSABLE,
    )


def back_to_list(request: MemberRequest, name: str, *without: str) -> HttpResponseRedirect:
    """On to a list from a form on it, narrowed and sorted as it was: the form sends its address along."""
    query = query_without(request.GET, *without)
    return HttpResponseRedirect(f"{reverse(name)}?{query}" if query else reverse(name))


__all__ = ["UNPROCESSABLE", "back_to_list", "page"]
