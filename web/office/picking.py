"""The picking list of a week: what is to be fetched for its approved jobs."""

from __future__ import annotations

from django.http import HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from web.base.members import MemberRequest, for_members
from web.base.pages import page
from workshop.report.picking_list import picking_view
from workshop.selectors.picking import picking_list
from yard.refusals import Refused
from yard.selectors import today_at
from yard.weeks import Week, week_of, week_read


@require_safe
@for_members
def picking(request: MemberRequest) -> HttpResponse:
    """This week's list, or that of the `week` that is asked for."""
    yard = request.member.yard
    today = today_at(yard, timezone.now())
    asked = request.GET.get("week", "")
    week = week_read(asked) if asked else week_of(today)
    refused = None
    if week is None:
        refused = Refused("week", "is no week", "give one by ISO 8601, like 2027-W15")
        week = week_of(today)
    view = picking_view(picking_list(yard, week, on_date=today), yard, on_date=today)
    return page(
        request,
        "picking.html",
        {
            "here": "picking",
            "sheet": view,
            "told": week.told_from(today),
            "before": _week_away(week, -7),
            "after": _week_away(week, 7),
        },
        refused=refused,
    )


def _week_away(week: Week, days: int) -> str:
    """The code of a week before or after; nothing at the ends of the calendar."""
    try:
        return week.away(days).code
    except OverflowError:
        return ""


__all__ = ["picking"]
