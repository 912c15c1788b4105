"""Finished surfaces of a boat, entered and changed by hand: what is stripped and coated in one go."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from web.base.members import MemberRequest, for_managers, row_of
from web.base.overtaken import holding, in_one_go, overtaken
from web.base.pages import UNPROCESSABLE, page
from web.office.boat import boat_of
from web.office.surface_forms import SurfaceForm
from workshop.services.surfaces import surface_change, surface_create
from yard.models import Boat, Surface
from yard.refusals import Refused
from yard.services.deeds import thing_of


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def add(request: MemberRequest, pk: int) -> HttpResponse:
    """Enter a surface with the parts that it covers."""
    boat = boat_of(request, pk)
    form = SurfaceForm(boat, request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        try:
            surface = surface_create(boat=boat, at=timezone.now(), **form.cleaned_data)
        except Refused as refusal:
            form.refuse(refusal)
        else:
            return _back(request, surface, f"{surface.name} is entered. Now write down what was done to it.")
    return _form(request, boat, form)


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
@in_one_go
def change(request: MemberRequest, pk: int) -> HttpResponse:
    """Change what is known of a surface; its history stays."""
    held = _surface(request, pk)
    form = SurfaceForm(held.boat, request.POST if request.method == "POST" else None, initial=SurfaceForm.of(held))
    if form.is_bound and form.is_valid() and not overtaken(form, yard=held.yard, thing=thing_of(held)):
        changes = form.changed
        components = changes.pop("components", None)
        try:
            surface = surface_change(
                surface=held, changes=changes, components=components, by=request.member, at=timezone.now()
            )
        except Refused as refusal:
            form.refuse(refusal)
        else:
            return _back(request, surface, f"{surface.name} is changed; its days are reckoned anew.")
    return _form(request, held.boat, form, _surface(request, pk))


def _surface(request: MemberRequest, pk: int) -> Surface:
    rows = Surface.objects.select_related("boat__yard", "yard").prefetch_related("components")
    return row_of(holding(rows, request), request.member, pk)


def _form(request: MemberRequest, boat: Boat, form: SurfaceForm, surface: Surface | None = None) -> HttpResponse:
    context = {"here": "boats", "boat": boat, "surface": surface, "form": form}
    return page(request, "surface_form.html", context, status=UNPROCESSABLE if form.errors else 200)


def _back(request: MemberRequest, surface: Surface, told: str) -> HttpResponse:
    messages.success(request, told)
    return HttpResponseRedirect(f"{reverse('web:boat', args=[surface.boat_id])}#surface-{surface.pk}")


__all__ = ["add", "change"]
