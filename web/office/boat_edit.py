"""Taking a boat into the yard's care, and changing what is known of her."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from web.base.members import MemberRequest, for_managers
from web.base.overtaken import in_one_go, overtaken
from web.base.pages import UNPROCESSABLE, page
from web.office.boat import boat_of
from web.office.boat_forms import BoatForm, NewBoatForm
from yard.refusals import Refused
from yard.services.boats import boat_change
from yard.services.deeds import thing_of
from yard.services.fleet import boat_take_in


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def new(request: MemberRequest) -> HttpResponse:
    """A boat with her owner, in one form; it leads on to her parts."""
    yard = request.member.yard
    form = NewBoatForm(yard, request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        try:
            boat = boat_take_in(yard=yard, owner=form.whose, decider=form.cleaned_data["decider"], **form.hull)
        except Refused as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, f"{boat.name} is in the yard's care. Now say which parts she has.")
            return HttpResponseRedirect(reverse("web:parts-add", args=[boat.pk]))
    status = UNPROCESSABLE if form.errors else 200
    return page(request, "boat_new.html", {"here": "boats", "form": form}, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
@in_one_go
def change(request: MemberRequest, pk: int) -> HttpResponse:
    """What is known of a boat, with whose she is and who decides."""
    boat = boat_of(request, pk, held=True)
    form = BoatForm(boat, request.POST if request.method == "POST" else None, initial=BoatForm.of(boat))
    if form.is_bound and form.is_valid() and not overtaken(form, yard=boat.yard, thing=thing_of(boat)):
        try:
            boat_change(boat=boat, by=request.member, at=timezone.now(), **form.changes)
        except Refused as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, "What is known of her is changed.")
            return HttpResponseRedirect(reverse("web:boat", args=[boat.pk]))
    status = UNPROCESSABLE if form.errors else 200
    return page(request, "boat_change.html", {"here": "boats", "boat": boat, "form": form}, status=status)


__all__ = ["change", "new"]
