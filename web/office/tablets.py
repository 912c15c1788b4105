"""The yard's tablets: letting one in by a code, shutting one out, and the PINs of those who share them."""

from __future__ import annotations

from typing import Final

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from web.base import downloads
from web.base.forms import YardForm
from web.base.members import MemberRequest, for_managers, row_of
from web.base.pages import back_to_list, page
from web.office.tablets_asked import KINDS, ORDERS, STATES, asked_of
from yard.models import DeviceCode, DeviceToken, Member, Yard
from yard.refusals import Refused
from yard.selectors import members_at_work, members_named, today_at
from yard.services.device_codes import GOOD_FOR, device_code_make, device_code_revoke
from yard.services.people import device_token_revoke
from yard.services.pins import member_pin_set

TABLETS_A_PAGE: Final = 50
HEAD: Final = ("tablet", "kind", "member", "let_in_at", "last_heard_of_at", "shut_out_at")


class CodeForm(YardForm):
    """What the new tablet is called."""

    device_name = forms.CharField(
        label="Name of the tablet", max_length=80, required=False, help_text="Such as: tablet 2, orange case."
    )


class PinForm(YardForm):
    pin = forms.CharField(
        label="New PIN",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "size": 6}),
        error_messages={"required": "is missing; give 4 to 6 digits."},
    )


@require_safe
@for_managers
def tablets(request: MemberRequest) -> HttpResponse:
    """The way in for a tablet, and those that are in; the address narrows and sorts these."""
    return _shown(request)


@require_safe
@for_managers
def spreadsheet(request: MemberRequest) -> HttpResponse:
    """The tablets that the address asks for, as CSV."""
    yard = request.member.yard
    rows = asked_of(request.GET, members_named(yard, DeviceToken, "member")).rows(yard)
    name = f"tablets-{today_at(yard, timezone.now()).isoformat()}.csv"
    return downloads.spreadsheet(HEAD, (_cells(token, yard) for token in rows), name)


@require_POST
@for_managers
def make_code(request: MemberRequest) -> HttpResponse:
    """The code is on this answer and nowhere else; so it is no redirect."""
    form = CodeForm(request.POST)
    name = form.cleaned_data["device_name"] if form.is_valid() else request.POST.get("device_name", "")
    try:
        row, code = device_code_make(by=request.member, device_name=name, at=timezone.now())
    except Refused as refusal:
        return _shown(request, refused=refusal)
    return _shown(request, made=row, code=code)


@require_POST
@for_managers
def revoke(request: MemberRequest, pk: int) -> HttpResponse:
    """Shut a tablet out."""
    token = row_of(DeviceToken.objects.all(), request.member, pk)
    device_token_revoke(token=token, by=request.member, at=timezone.now())
    told = f"{token.device_name} is shut out. What it had not sent can be saved on it as a file and loaded here."
    messages.success(request, told)
    return back_to_list(request, "web:tablets")


@require_POST
@for_managers
def revoke_code(request: MemberRequest, pk: int) -> HttpResponse:
    device_code_revoke(code=row_of(DeviceCode.objects.all(), request.member, pk), at=timezone.now())
    messages.success(request, "The code lets nobody in any more.")
    return HttpResponseRedirect(reverse("web:tablets"))


@require_POST
@for_managers
def pin(request: MemberRequest, pk: int) -> HttpResponse:
    """Set the PIN of somebody who has forgotten theirs."""
    member = row_of(Member.objects.all(), request.member, pk)
    try:
        member_pin_set(member=member, pin=request.POST.get("pin", "").strip(), by=request.member, at=timezone.now())
    except Refused as refusal:
        return _shown(request, refused=refusal)
    messages.success(request, f"{member.name} has a new PIN.")
    return HttpResponseRedirect(reverse("web:tablets"))


def _cells(token: DeviceToken, yard: Yard) -> tuple[str, ...]:
    return (
        token.device_name,
        "shared" if token.shared else "own",
        token.member.name,
        downloads.moment_cell(token.created_at, yard),
        downloads.moment_cell(token.last_used_at, yard),
        downloads.moment_cell(token.revoked_at, yard),
    )


def _shown(
    request: MemberRequest,
    *,
    made: DeviceCode | None = None,
    code: str = "",
    refused: Refused | None = None,
) -> HttpResponse:
    yard, now = request.member.yard, timezone.now()
    people = members_named(yard, DeviceToken, "member")
    asked = asked_of(request.GET, people)
    good = DeviceCode.objects.of_yard(yard).filter(used_at=None, revoked_at=None, expires_at__gt=now)
    good = good.select_related("made_by").order_by("-created_at", "-pk")
    return page(
        request,
        "tablets.html",
        {
            "here": "tablets",
            "made": made,
            "code": code,
            "minutes": GOOD_FOR.seconds // 60,
            "address": request.build_absolute_uri(reverse("web:tablet")),
            "form": CodeForm(),
            "codes": [row for row in good if made is None or row.pk != made.pk],
            "asked": asked,
            "sheet": Paginator(asked.rows(yard), TABLETS_A_PAGE).get_page(request.GET.get("page")),
            "states": list(STATES.items()),
            "kinds": list(KINDS.items()),
            "members": [(person.pk, person.name) for person in people],
            "orders": [(key, told) for key, (told, _) in ORDERS.items()],
            "people": [(person, PinForm(auto_id=f"pin-{person.pk}-%s")) for person in members_at_work(yard, now)],
        },
        refused=refused,
    )


__all__ = ["make_code", "pin", "revoke", "revoke_code", "spreadsheet", "tablets"]
