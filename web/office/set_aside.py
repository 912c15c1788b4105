"""Entries that could not be placed any more: they wait here to be given a place, or to be let go with a reason."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from inspections.models import Check, Inspection, SetAside
from inspections.services.set_aside import set_aside_dismiss, set_aside_place
from web.base import downloads
from web.base.members import MemberRequest, for_managers, row_of
from web.base.pages import page
from web.office.set_aside_asked import ORDERS, SHOWS, asked_of
from web.office.set_aside_told import Told, told_of
from yard.models import Component, Yard
from yard.refusals import Refused
from yard.selectors import boats_named, members_named, today_at

LINES_A_PAGE: Final = 50
LINES_AT_ONCE: Final = 500
HEAD: Final = (
    "boat", "place", "what", "facts", "why_set_aside", "who", "received_at", "settled_how", "settled_by",
    "settled_at",
)  # fmt: skip


@require_safe
@for_managers
def set_aside(request: MemberRequest) -> HttpResponse:
    """What waits, or was dealt with; the address narrows and sorts it."""
    yard = request.member.yard
    boats, authors = boats_named(yard, SetAside), members_named(yard, SetAside, "author")
    asked = asked_of(request.GET, boats, authors)
    sheet = Paginator(asked.rows(yard), LINES_A_PAGE).get_page(request.GET.get("page"))
    return page(
        request,
        "set_aside.html",
        {
            "here": "findings",
            "asked": asked,
            "sheet": sheet,
            "lines": told_of(yard, sheet),
            "settled": asked.show == "settled",
            "shows": [
                (key, told, SetAside.objects.of_yard(yard).filter(fits).count())
                for key, (told, fits) in SHOWS.items()
            ],
            "boats": [(boat.pk, boat.name) for boat in boats],
            "authors": [(author.pk, author.name) for author in authors],
            "orders": [(key, told) for key, (told, _) in ORDERS.items()],
        },
    )


@require_safe
@for_managers
def spreadsheet(request: MemberRequest) -> HttpResponse:
    """What the address asks for, as CSV."""
    yard = request.member.yard
    rows = asked_of(request.GET, boats_named(yard, SetAside), members_named(yard, SetAside, "author")).rows(yard)

    def lines() -> Iterable[Told]:
        for start in range(0, rows.count(), LINES_AT_ONCE):
            yield from told_of(yard, rows[start : start + LINES_AT_ONCE])

    today = today_at(yard, timezone.now())
    return downloads.spreadsheet(
        HEAD, (_cells(line, yard) for line in lines()), f"set-aside-{today.isoformat()}.csv"
    )


def _cells(line: Told, yard: Yard) -> tuple[str, ...]:
    row = line.row
    return (
        "" if row.boat is None else row.boat.name,
        line.place,
        line.what,
        "; ".join(f"{name}: {value}" for name, value in line.facts),
        row.why,
        row.author.name,
        downloads.moment_cell(row.received_at, yard),
        row.settled_how,
        "" if row.settled_by is None else row.settled_by.name,
        downloads.moment_cell(row.settled_at, yard),
    )


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def one(request: MemberRequest, pk: int) -> HttpResponse:
    """One entry in words, with the places that it may be given."""
    row = row_of(SetAside.objects.select_related("author", "boat", "settled_by"), request.member, pk)
    if request.method != "POST":
        return _shown(request, row)
    try:
        told = _settle(request, row)
    except Refused as refusal:
        return _shown(request, row, refused=refusal)
    messages.success(request, told)
    return HttpResponseRedirect(reverse("web:set-aside"))


def _settle(request: MemberRequest, row: SetAside) -> str:
    """Place it or let it go, and say what was done."""
    given, now = request.POST, timezone.now()
    if given.get("how") != "place":
        set_aside_dismiss(set_aside=row, reason=given.get("reason", ""), by=request.member, at=now)
        return "The entry is let go; its words are kept with the reason."
    inspection = _inspection(row, given.get("inspection", ""))
    if inspection is None:
        raise Refused("inspection", "is none of this boat", "open one on the boat's page first")
    kind, _, key = given.get("place", "").partition(":")
    number = _whole(key)
    check = inspection.checks.filter(pk=number).first() if kind == "check" else None
    parts = Component.objects.of_yard(row.yard_id).filter(boat=row.boat_id)
    part = parts.filter(pk=number).first() if kind == "component" else None
    set_aside_place(set_aside=row, inspection=inspection, by=request.member, at=now, check=check, component=part)
    return "The entry has its place."


def _inspection(row: SetAside, key: str) -> Inspection | None:
    """The one of the boat that is named; otherwise the open one, or the newest."""
    rows = Inspection.objects.of_yard(row.yard_id).filter(boat=row.boat_id).select_related("yard", "boat")
    held = list(rows.order_by("-season_year"))
    named = next((each for each in held if str(each.pk) == key), None)
    return named or next((each for each in held if each.closed_at is None), next(iter(held), None))


def _shown(request: MemberRequest, row: SetAside, *, refused: Refused | None = None) -> HttpResponse:
    yard = request.member.yard
    (told,) = told_of(yard, [row])
    given = request.POST or request.GET
    inspection = _inspection(row, given.get("inspection", ""))
    checks = (
        list(inspection.checks.select_related("component").order_by("component", "position", "pk"))
        if inspection is not None
        else []
    )
    parts = Component.objects.of_yard(yard).filter(boat=row.boat_id, removed_on__isnull=True)
    return page(
        request,
        "set_aside_one.html",
        {
            "here": "findings",
            "row": row,
            "told": told,
            "inspection": inspection,
            "inspections": list(Inspection.objects.of_yard(yard).filter(boat=row.boat_id).order_by("-season_year")),
            "checks": [(f"check:{check.pk}", f"{check.component}: {check.prompt}") for check in checks],
            "parts": [(f"component:{part.pk}", str(part)) for part in parts],
            "chosen": request.POST.get("place") or _likely(told, checks),
            "reason": request.POST.get("reason", ""),
        },
        refused=refused,
    )


def _likely(told: Told, checks: list[Check]) -> str:
    """The same question in the inspection that is chosen; otherwise the part, beside the list."""
    asked = told.check
    if asked is not None:
        for check in checks:
            if (check.component_id, check.key) == (asked.component_id, asked.key):
                return f"check:{check.pk}"
    return f"component:{told.component.pk}" if told.component is not None else ""


def _whole(text: str) -> int:
    """A key as a form sends it; 0, which no row has, for anything else."""
    return int(text) if len(text) < 19 and text.isascii() and text.isdigit() else 0


__all__ = ["one", "set_aside"]
