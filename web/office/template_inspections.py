"""Which inspections ask by which version of a template."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Final

from django.core.paginator import Paginator
from django.db.models import F, QuerySet
from django.http import HttpResponse
from django.views.decorators.http import require_safe

from inspections.models import Inspection, Template
from inspections.selectors.templates import inspections_by, version_uses, versions_asked
from web.base import downloads
from web.base.members import MemberRequest, for_members
from web.base.pages import page
from web.office.template_rows import template_of

INSPECTIONS_A_PAGE: Final = 100
HEAD: Final = ("boat", "season", "versions", "opened_on", "closed_on")
STANDS: Final = {"open": "open", "closed": "closed"}
ORDERS: Final = {
    "open": ("open ones first", (F("closed_at").desc(nulls_first=True), "-season_year", "boat__name", "pk")),
    "boat": ("by boat", ("boat__name", "-season_year", "pk")),
    "season": ("the latest spring first", ("-season_year", "boat__name", "pk")),
}


@require_safe
@for_members
def inspections(request: MemberRequest, pk: int) -> HttpResponse:
    """The list; the address narrows and sorts it."""
    held = template_of(request, pk)
    uses = version_uses(held)
    rows, asked = _asked(request, held, [use.version.number for use in uses])
    sheet = Paginator(rows, INSPECTIONS_A_PAGE).get_page(request.GET.get("page"))
    return page(
        request,
        "template_inspections.html",
        {
            "here": "templates",
            "template": held,
            "uses": uses,
            "asked": asked,
            "stands": list(STANDS.items()),
            "orders": [(key, told) for key, (told, _) in ORDERS.items()],
            "query": request.GET.urlencode(),
            "sheet": sheet,
            "lines": _lines(held, sheet),
        },
    )


@require_safe
@for_members
def spreadsheet(request: MemberRequest, pk: int) -> HttpResponse:
    """What the address asks for, as CSV."""
    held = template_of(request, pk)
    rows, _ = _asked(request, held, [use.version.number for use in version_uses(held)])
    zone = held.yard.zone
    cells = (
        (
            one.boat.name,
            str(one.season_year),
            " ".join(map(str, numbers)),
            one.opened_at.astimezone(zone).date().isoformat(),
            "" if one.closed_at is None else one.closed_at.astimezone(zone).date().isoformat(),
        )
        for one, numbers in _lines(held, list(rows))
    )
    return downloads.spreadsheet(HEAD, cells, "inspections.csv")


def _asked(
    request: MemberRequest, held: Template, numbers: Sequence[int]
) -> tuple[QuerySet[Inspection], dict[str, Any]]:
    """The inspections that the address asks for, and what was understood of it."""
    number = next((each for each in numbers if str(each) == request.GET.get("version")), None)
    stands, order = request.GET.get("stands", ""), request.GET.get("order", "")
    order = order if order in ORDERS else "open"
    rows = inspections_by(held, number)
    if stands in STANDS:
        rows = rows.filter(closed_at__isnull=stands == "open")
    asked: dict[str, Any] = {
        "version": number,
        "stands": stands,
        "order": order,
        "narrows": number is not None or stands in STANDS,
    }
    return rows.order_by(*ORDERS[order][1]), asked


def _lines(held: Template, rows: Iterable[Inspection]) -> list[tuple[Inspection, list[int]]]:
    shown = list(rows)
    numbers = versions_asked(held, shown)
    return [(one, numbers.get(one.pk, [])) for one in shown]


__all__ = ["inspections", "spreadsheet"]
