"""Reminding a decider by hand, from the quote's page."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from web.base.members import MemberRequest, for_managers
from web.office.quote import held_quote, shown
from workshop.services.reminders_by_hand import reminder_send
from yard.refusals import Refused


@require_POST
@for_managers
def remind(request: MemberRequest, pk: int) -> HttpResponse:
    """Mail a reminder now, or say why not and when the last one went."""
    held, now = held_quote(request, pk), timezone.now()
    try:
        mail = reminder_send(quote=held, by=request.member, at=now)
    except Refused as refusal:
        return shown(request, held, refused=refusal)
    if mail.created_at == now:
        messages.success(request, f"A reminder is on its way to {held.boat.decider.name}.")
    else:  # a second click
        messages.info(request, "Today's reminder was written before; nothing more was sent.")
    return HttpResponseRedirect(reverse("web:quote", args=[held.pk]))


__all__ = ["remind"]
