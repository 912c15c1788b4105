"""The boats of the yard."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Min
from django.http import HttpResponse
from django.views.decorators.http import require_safe

from inspections.selectors.due_backs import due_back_book
from web.base.members import MemberRequest, for_members
from web.base.pages import page
from yard.models import Boat


@dataclass(frozen=True, slots=True)
class BoatLine:
    """A boat with her earliest due-back day and the number of her places in the book."""

    boat: Boat
    due_back_on: date | None
    places: int


@require_safe
@for_members
def boats(request: MemberRequest) -> HttpResponse:
    """Every boat with who decides on her; those that left stand below."""
    yard = request.member.yard
    due = {
        row["boat"]: row
        for row in due_back_book(yard).order_by().values("boat").annotate(first=Min("due_on"), places=Count("pk"))
    }
    rows = [
        BoatLine(boat, due[boat.pk]["first"], due[boat.pk]["places"]) if boat.pk in due else BoatLine(boat, None, 0)
        for boat in Boat.objects.of_yard(yard).select_related("decider_owner", "decider_member").order_by("name")
    ]
    return page(
        request,
        "boats.html",
        {
            "here": "boats",
            "lines": [line for line in rows if line.boat.left_on is None],
            "gone": [line.boat for line in rows if line.boat.left_on is not None],
        },
    )


__all__ = ["boats"]
