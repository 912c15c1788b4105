"""A finished surface's history, written by hand on the boat's page: a line added, a wrong one struck."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from web.base.forms import first_refusal
from web.base.members import MemberRequest, for_managers, for_members, row_of
from web.office.boat import boat_of, shown
from web.office.surface_forms import WorkForm
from workshop.models import SurfaceWork
from workshop.services.surface_history import surface_work_add, surface_work_strike
from yard.models import Surface
from yard.refusals import Refused


@require_POST
@for_members
def add(request: MemberRequest, pk: int) -> HttpResponse:
    """Write down what was done in earlier years, or without a job."""
    surface = _surface(request, pk)
    form = WorkForm(surface.pk, request.POST)
    try:
        if not form.is_valid():
            raise first_refusal(form)
        surface_work_add(surface=surface, by=request.member, at=timezone.now(), **form.cleaned_data)
    except Refused as refusal:
        if form.is_valid():
            form.refuse(refusal)
        return shown(request, boat_of(request, surface.boat_id), refused=refusal, work_form=(surface.pk, form))
    return _back(request, surface, f"It stands in the history of {surface.name}; its days are reckoned anew.")


@require_POST
@for_managers
def strike(request: MemberRequest, pk: int, work: int) -> HttpResponse:
    """Strike a line that is wrong; it stays to be read."""
    surface = _surface(request, pk)
    row = row_of(SurfaceWork.objects.filter(surface=surface).select_related("surface"), request.member, work)
    try:
        note = request.POST.get("note", "")
        surface_work_strike(work=row, by=request.member, at=timezone.now(), note=note)
    except Refused as refusal:
        return shown(request, boat_of(request, surface.boat_id), refused=refusal)
    return _back(request, surface, "The line is struck. It stays to be read and counts no more.")


def _surface(request: MemberRequest, pk: int) -> Surface:
    return row_of(Surface.objects.select_related("boat", "yard"), request.member, pk)


def _back(request: MemberRequest, surface: Surface, told: str) -> HttpResponse:
    messages.success(request, told)
    return HttpResponseRedirect(f"{reverse('web:boat', args=[surface.boat_id])}#surface-{surface.pk}")


__all__ = ["add", "strike"]
