"""The owners: to whom reports and links go."""

from __future__ import annotations

from typing import Final

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpResponse, HttpResponseRedirect, QueryDict
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from web.base import downloads
from web.base.asking import text_asked
from web.base.members import MemberRequest, for_managers, row_of
from web.base.overtaken import holding, in_one_go, overtaken
from web.base.pages import UNPROCESSABLE, page
from web.office.boat_forms import OwnerForm
from yard.models import Owner, Yard
from yard.refusals import Refused
from yard.services.changes import owner_change
from yard.services.deeds import thing_of
from yard.words import with_words

LINES_A_PAGE: Final = 100
HEAD: Final = ("name", "email", "phone", "language", "boats")
ORDERS: Final = {"name": ("by name", ("name", "pk")), "newest": ("entered last first", ("-pk",))}


@require_safe
@for_managers
def owners(request: MemberRequest) -> HttpResponse:
    """All of them with their boats; `text` narrows the list."""
    order = request.GET.get("order", "")
    rows = _asked_for(request.member.yard, request.GET)
    return page(
        request,
        "owners.html",
        {
            "here": "boats",
            "sheet": Paginator(rows, LINES_A_PAGE).get_page(request.GET.get("page")),
            "text": text_asked(request.GET),
            "order": order if order in ORDERS else "name",
            "orders": [(key, told) for key, (told, _) in ORDERS.items()],
            "query": request.GET.urlencode(),
        },
    )


@require_safe
@for_managers
def spreadsheet(request: MemberRequest) -> HttpResponse:
    """What the list shows, for a spreadsheet."""
    cells = (
        (owner.name, owner.email, owner.phone, owner.locale, "; ".join(boat.name for boat in owner.boats.all()))
        for owner in _asked_for(request.member.yard, request.GET)
    )
    return downloads.spreadsheet(HEAD, cells, "owners.csv")


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
@in_one_go
def owner(request: MemberRequest, pk: int) -> HttpResponse:
    """What is known of one owner."""
    held = _owner_of(request, pk)
    shown = {name: getattr(held, name) for name in OwnerForm.base_fields}
    form = OwnerForm(request.POST if request.method == "POST" else None, initial=shown)
    if form.is_bound and form.is_valid() and not overtaken(form, yard=held.yard, thing=thing_of(held)):
        try:
            owner_change(owner=held, changes=form.changed, by=request.member, at=timezone.now())
        except Refused as refusal:
            form.refuse(refusal)
            held = _owner_of(request, pk)
        else:
            messages.success(request, f"{held.name} is changed. Quotes that were sent stay as they were.")
            return HttpResponseRedirect(reverse("web:owners"))
    status = UNPROCESSABLE if form.errors else 200
    context = {"here": "boats", "owner": held, "boats": list(held.boats.all()), "form": form}
    return page(request, "owner.html", context, status=status)


def _owner_of(request: MemberRequest, pk: int) -> Owner:
    return row_of(holding(Owner.objects.select_related("yard"), request), request.member, pk)


def _asked_for(yard: Yard, given: QueryDict) -> QuerySet[Owner]:
    every: QuerySet[Owner] = Owner.objects.of_yard(yard).prefetch_related("boats")
    rows = with_words(every, text_asked(given), ("name", "email", "boats__name"), to_several=True)
    return rows.order_by(*ORDERS.get(given.get("order", ""), ORDERS["name"])[1])


__all__ = ["owner", "owners", "spreadsheet"]
