"""Who works at the yard: their roles, the way in for them, and shutting it."""

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
from web.base.forms import YardForm, first_refusal
from web.base.members import MemberRequest, for_managers, row_of
from web.base.overtaken import holding, in_one_go
from web.base.pages import page
from web.office.people_asked import FACTORS, ORDERS, STAYS, PersonRow, asked_of
from yard.models import DeviceToken, Invitation, Member, Role
from yard.refusals import Refused
from yard.selectors import today_at
from yard.services.access import member_close, member_reopen
from yard.services.changes import member_change
from yard.services.invitations import GOOD_FOR, invitation_revoke, invitation_send
from yard.services.second_factor import second_factor_on, second_factor_remove

SHUT_OUT_SHOWN = 10
PEOPLE_A_PAGE: Final = 50
HEAD: Final = (
    "name", "role", "signs_in_as", "email", "at_work", "left_on", "last_sign_in", "second_factor", "own_tablets",
)  # fmt: skip


class InviteForm(YardForm):
    """Whom to invite, and as what."""

    email = forms.EmailField(
        label="Mail address",
        max_length=254,
        error_messages={
            "required": "is missing.",
            "invalid": "is no mail address; give one like name@example.org.",
        },
        widget=forms.EmailInput(attrs={"autocomplete": "off"}),
    )
    name = forms.CharField(
        label="Name", max_length=120, required=False, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    role = forms.ChoiceField(label="Role", choices=[(Role.TECHNICIAN, "technician"), (Role.MANAGER, "manager")])


@require_safe
@for_managers
def people(request: MemberRequest) -> HttpResponse:
    """Who works here; the address narrows and sorts them."""
    return _shown(request)


@require_safe
@for_managers
def spreadsheet(request: MemberRequest) -> HttpResponse:
    """What the address asks for, as CSV."""
    yard = request.member.yard
    today = today_at(yard, timezone.now())
    rows = asked_of(request.GET).rows(yard, today)
    return downloads.spreadsheet(HEAD, (_cells(row) for row in rows), f"people-{today.isoformat()}.csv")


@require_POST
@for_managers
def invite(request: MemberRequest) -> HttpResponse:
    form = InviteForm(request.POST)
    if not form.is_valid():
        return _shown(request, form=form, refused=first_refusal(form))
    try:
        invitation = invitation_send(by=request.member, at=timezone.now(), **form.cleaned_data)
    except Refused as refusal:
        form.refuse(refusal)
        return _shown(request, form=form, refused=refusal)
    messages.success(request, f"An invitation goes to {invitation.email}. It is good for {GOOD_FOR.days} days.")
    return HttpResponseRedirect(reverse("web:people"))


@require_POST
@for_managers
def invitation_back(request: MemberRequest, pk: int) -> HttpResponse:
    invitation = row_of(Invitation.objects.all(), request.member, pk)
    invitation_revoke(invitation=invitation, by=request.member, at=timezone.now())
    messages.success(request, f"The invitation to {invitation.email} opens nothing any more.")
    return HttpResponseRedirect(reverse("web:people"))


@require_safe
@for_managers
def person(request: MemberRequest, pk: int) -> HttpResponse:
    return _one(request, _member(request, pk))


@require_POST
@for_managers
@in_one_go
def role(request: MemberRequest, pk: int) -> HttpResponse:
    """Give a member another role; the last manager stays one."""
    member = _member(request, pk)
    try:
        member_change(
            member=member, changes={"role": request.POST.get("role", "")}, by=request.member, at=timezone.now()
        )
    except Refused as refusal:
        return _one(request, _member(request, pk), refused=refusal)
    messages.success(request, f"{member.name} is a {member.get_role_display()} now.")
    to = "web:season" if member.pk == request.member.pk and not member.is_manager else "web:people"
    return HttpResponseRedirect(reverse(to))


@require_POST
@for_managers
@in_one_go
def close(request: MemberRequest, pk: int) -> HttpResponse:
    """Shut a log-in. One's own is for somebody else to shut: nobody locks themselves out by a slip."""
    member = _member(request, pk)
    try:
        if member.pk == request.member.pk:
            raise Refused("log-in", "is your own", "ask another manager to close it")
        member_close(member=member, by=request.member, at=timezone.now())
    except Refused as refusal:
        return _one(request, member, refused=refusal)
    messages.success(request, f"{member.name} is signed out everywhere and can't sign in any more.")
    return HttpResponseRedirect(reverse("web:person", args=[pk]))


@require_POST
@for_managers
@in_one_go
def reopen(request: MemberRequest, pk: int) -> HttpResponse:
    member = member_reopen(member=_member(request, pk), by=request.member, at=timezone.now())
    messages.success(request, f"{member.name} can sign in again, with the password they had.")
    return HttpResponseRedirect(reverse("web:person", args=[pk]))


@require_POST
@for_managers
@in_one_go
def second_factor_off(request: MemberRequest, pk: int) -> HttpResponse:
    """Take the second factor away from somebody who has lost it. One's own is switched off with a proof."""
    member = _member(request, pk)
    if member.pk == request.member.pk:
        own = Refused("second factor", "is your own", "switch it off on the page of your log-in")
        return _one(request, member, refused=own)
    second_factor_remove(member=member, by=request.member, at=timezone.now())
    messages.success(request, f"{member.name} signs in with the password alone, until they switch one on again.")
    return HttpResponseRedirect(reverse("web:person", args=[pk]))


def _member(request: MemberRequest, pk: int) -> Member:
    return row_of(holding(Member.objects.select_related("user", "yard"), request), request.member, pk)


def _shown(
    request: MemberRequest, *, form: InviteForm | None = None, refused: Refused | None = None
) -> HttpResponse:
    yard, now = request.member.yard, timezone.now()
    today = today_at(yard, now)
    asked = asked_of(request.GET)
    sheet = Paginator(asked.rows(yard, today), PEOPLE_A_PAGE).get_page(request.GET.get("page"))
    invitations = Invitation.objects.of_yard(yard).filter(accepted_at=None, revoked_at=None)
    return page(
        request,
        "people.html",
        {
            "here": "people",
            "asked": asked,
            "sheet": sheet,
            "roles": Role.choices,
            "stays": list(STAYS.items()),
            "factors": list(FACTORS.items()),
            "orders": [(key, told) for key, (told, _) in ORDERS.items()],
            "invitations": invitations.select_related("invited_by").order_by("-created_at", "-pk"),
            "now": now,
            "form": form or InviteForm(),
            "days": GOOD_FOR.days,
        },
        refused=refused,
    )


def _cells(row: PersonRow) -> tuple[str, ...]:
    user = row.user
    return (
        row.name,
        row.get_role_display(),
        user.username,
        user.email,
        "yes" if row.is_here else "",
        "" if row.left_on is None else row.left_on.isoformat(),
        downloads.moment_cell(user.last_login, row.yard),
        "on" if row.second_factor else "off",
        str(row.tablets),
    )


def _one(request: MemberRequest, member: Member, *, refused: Refused | None = None) -> HttpResponse:
    today = today_at(member.yard, timezone.now())
    tokens = DeviceToken.objects.filter(member=member)
    return page(
        request,
        "person.html",
        {
            "here": "people",
            "person": member,
            "open": member.user.is_active and (member.left_on is None or member.left_on > today),
            "roles": Role.choices,
            "second_factor": second_factor_on(member.user),
            "tokens": tokens.filter(revoked_at=None).order_by("-created_at", "-pk"),
            "shut_out": tokens.exclude(revoked_at=None).order_by("-revoked_at", "-pk")[:SHUT_OUT_SHOWN],
        },
        refused=refused,
    )


__all__ = [
    "close", "invitation_back", "invite", "people", "person", "reopen", "role", "second_factor_off", "spreadsheet",
]  # fmt: skip
