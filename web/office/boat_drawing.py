"""The yard's own drawing of a boat: chosen, replaced and taken away on her page."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inspections.services.drawings import drawing_put, drawing_remove
from web.base.forms import first_refusal
from web.base.members import MemberRequest, for_managers
from web.office.boat import DrawingForm, boat_of, shown
from yard.refusals import Refused


@require_POST
@for_managers
def put(request: MemberRequest, pk: int) -> HttpResponse:
    """Take in a drawing in the place of the one before."""
    boat = boat_of(request, pk)
    form = DrawingForm(request.POST, request.FILES)
    try:
        if not form.is_valid():
            raise first_refusal(form)
        drawing_put(boat=boat, data=_read(form.cleaned_data["drawing"]), by=request.member, at=timezone.now())
    except Refused as refusal:
        return shown(request, boat, refused=refusal, drawing_asked=True)
    messages.success(request, "The drawing is in. Look whether the pins lie where they should.")
    return HttpResponseRedirect(f"{reverse('web:boat', args=[boat.pk])}#plan")


@require_POST
@for_managers
def remove(request: MemberRequest, pk: int) -> HttpResponse:
    boat = boat_of(request, pk)
    drawing_remove(boat=boat, by=request.member, at=timezone.now())
    messages.success(request, "The drawing is taken away. Plans are drawn from length and beam again.")
    return HttpResponseRedirect(f"{reverse('web:boat', args=[boat.pk])}#plan")


def _read(file: Any) -> bytes:
    """What was uploaded, as far as it may be; what is larger is refused without being read whole."""
    data: bytes = file.read(settings.PHOTO_MAX_BYTES + 1)
    return data


__all__ = ["put", "remove"]
