"""Where a spot is on the plan, set by hand: by pressing there, or by figures."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Final
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from web.base.forms import YardForm
from web.base.members import MemberRequest, for_members, row_of
from web.base.overtaken import holding, in_one_go, overtaken
from web.base.pages import UNPROCESSABLE, page
from web.office.job_forms import DecimalField
from web.office.place_marks import plan_to_press
from yard.models import PlanLevel, Spot
from yard.refusals import Refused
from yard.services.changes import spot_change
from yard.services.deeds import thing_of

TENTHS: Final = Decimal(10)
_BEYOND: Final = "is not on the plan; give 0 to 100."


def _share(label: str, help_text: str) -> DecimalField:
    return DecimalField(
        label=label,
        required=False,
        min_value=0,
        max_value=100,
        help_text=help_text,
        error_messages={"invalid": "is no figure; give one like 41.5.", "min_value": _BEYOND, "max_value": _BEYOND},
    )


class PlaceForm(YardForm):
    """Shares of the plan in per cent, which are kept in thousandths."""

    remembers_shown = True
    # Half of the one's place and half of the other's is no place.
    one_thing = (frozenset({"level", "plan_x", "plan_y"}),)

    name = forms.CharField(label="Name of the spot", max_length=120, required=False)
    level = forms.ChoiceField(label="On which plan", choices=PlanLevel.choices)
    plan_x = _share("How far aft, %", "0 at the stem, 100 at the stern. Empty: not placed.")
    plan_y = _share("How far to starboard, %", "0 at the port side, 50 on the centreline.")

    @property
    def changes(self) -> dict[str, Any]:
        changed = self.changed
        for name in {"plan_x", "plan_y"} & set(changed):
            changed[name] = None if changed[name] is None else round(changed[name] * TENTHS)
        return changed

    @staticmethod
    def of(spot: Spot) -> dict[str, Any]:
        return {
            "name": spot.name,
            "level": spot.level,
            "plan_x": None if spot.plan_x is None else Decimal(spot.plan_x) / TENTHS,
            "plan_y": None if spot.plan_y is None else Decimal(spot.plan_y) / TENTHS,
        }


@require_http_methods(["GET", "HEAD", "POST"])
@for_members
@in_one_go
def place(request: MemberRequest, pk: UUID) -> HttpResponse:
    """Press where it is, or type it; what was recorded there stays as it is."""
    rows = Spot.objects.select_related("component__boat", "component__boat__drawing", "yard")
    held = row_of(holding(rows, request), request.member, pk)
    form = PlaceForm(request.POST if request.method == "POST" else None, initial=PlaceForm.of(held))
    if form.is_bound and form.is_valid() and not overtaken(form, yard=held.yard, thing=thing_of(held)):
        try:
            spot_change(spot=held, changes=form.changes, by=request.member, at=timezone.now())
        except Refused as refusal:
            form.refuse(refusal)
            held = row_of(rows, request.member, pk)
        else:
            messages.success(request, f"{held.name} is where you put it.")
            return HttpResponseRedirect(reverse("web:spot", args=[held.pk]))
    boat = held.component.boat
    context = {"here": "boats", "spot": held, "boat": boat, "form": form, "plan": plan_to_press(boat, held)}
    return page(request, "spot_place.html", context, status=UNPROCESSABLE if form.errors else 200)


__all__ = ["place"]
