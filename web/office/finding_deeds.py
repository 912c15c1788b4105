"""What a manager does with one finding on its page, besides judging otherwise."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inspections.models import Finding
from inspections.services.acknowledging import findings_acknowledge
from inspections.services.joining import finding_unjoin
from inspections.services.second_look_asks import asks_not_answered, second_look_ask, second_look_withdraw
from web.base.members import MemberRequest, for_managers
from web.office.finding import finding_of, finding_shown
from yard.refusals import Refused


@require_POST
@for_managers
def seen(request: MemberRequest, pk: UUID) -> HttpResponse:
    """Note that the office has dealt with it."""
    held = finding_of(request, pk)
    findings_acknowledge(findings=[held], by=request.member, at=timezone.now())
    return _done(request, held, "Noted as seen.")


@require_POST
@for_managers
def second_look(request: MemberRequest, pk: UUID) -> HttpResponse:
    """Ask the technician back."""
    held = finding_of(request, pk)
    try:
        second_look_ask(finding=held, note=request.POST.get("note", ""), by=request.member, at=timezone.now())
    except Refused as refusal:
        return finding_shown(request, held, refused=refusal)
    return _done(request, held, "Asked back. It stands on the tablet once it has fetched the boat.")


@require_POST
@for_managers
def second_look_back(request: MemberRequest, pk: UUID) -> HttpResponse:
    """Take that back."""
    held = finding_of(request, pk)
    ask = asks_not_answered([held.pk]).get(held.pk)
    if ask is not None:
        try:
            second_look_withdraw(ask=ask, by=request.member, at=timezone.now())
        except Refused as refusal:
            return finding_shown(request, held, refused=refusal)
    return _done(request, held, "Taken back: nobody is asked to look again.")


@require_POST
@for_managers
def part(request: MemberRequest, pk: UUID) -> HttpResponse:
    """Let a finding that was joined to another stand alone again."""
    held = finding_of(request, pk)
    join = held.joins.filter(undone_at=None).first()
    if join is not None:
        try:
            finding_unjoin(join=join, by=request.member, at=timezone.now())
        except Refused as refusal:
            return finding_shown(request, held, refused=refusal)
    return _done(request, held, "Parted: the finding stands alone again.")


def _done(request: MemberRequest, held: Finding, told: str) -> HttpResponse:
    messages.success(request, told)
    return HttpResponseRedirect(reverse("web:finding", args=[held.pk]))


__all__ = ["part", "second_look", "second_look_back", "seen"]
