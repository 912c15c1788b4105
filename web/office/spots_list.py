"""Every spot that was ever marked in one list, with what stands for it today."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.core.paginator import Paginator
from django.db.models import Exists, OuterRef, QuerySet
from django.http import HttpResponse, QueryDict
from django.utils import timezone
from django.views.decorators.http import require_safe

from inspections.models import Finding
from web.base import downloads
from web.base.asking import query_without, row_asked, text_asked, word_asked
from web.base.members import MemberRequest, for_members
from web.base.pages import page
from workshop.report.words import tag_text
from workshop.services.standing import Standing, standing_of
from yard.models import Boat, Component, Spot, Yard
from yard.selectors import boats_named, today_at
from yard.words import with_words

LINES_A_PAGE: Final = 100
LINES_AT_ONCE: Final = 500
HEAD: Final = (
    "boat", "part", "spot", "tag", "marked_on", "state", "condition", "priority", "due_back_on",
)  # fmt: skip
STANDS: Final = {"open": "with something open", "quiet": "with nothing open"}
ORDERS: Final[dict[str, tuple[str, tuple[str, ...]]]] = {
    "boat": ("by boat", ("component__boat__name", "component__boat", "component__name", "component", "name", "pk")),
    "name": ("by spot", ("name", "component__boat__name", "pk")),
    "newest": ("marked last first", ("-created_at", "pk")),
    "tag": ("by tag", ("tag", "pk")),
}
TEXTS: Final = ("name", "tag", "component__name", "component__position", "component__boat__name")


@dataclass(frozen=True, slots=True)
class SpotTold:
    """A spot with the newest finding there that is somebody's business, and what stands for that."""

    spot: Spot
    finding: Finding | None
    standing: Standing | None


@dataclass(frozen=True, slots=True)
class Asked:
    """What the list is narrowed to and how it is sorted."""

    boat: Boat | None
    part: Component | None
    stands: str
    text: str
    order: str
    query: str

    @property
    def narrows(self) -> bool:
        return bool(self.boat or self.part or self.stands or self.text)

    def rows(self, yard: Yard) -> QuerySet[Any]:
        rows: QuerySet[Any] = Spot.objects.of_yard(yard)
        if self.part is not None:
            rows = rows.filter(component=self.part)
        elif self.boat is not None:
            rows = rows.filter(component__boat=self.boat)
        if self.stands:
            there = Exists(Finding.objects.filter(spot=OuterRef("pk"), state__in=Finding.LASTING))
            rows = rows.filter(there if self.stands == "open" else ~there)
        rows = with_words(rows, self.text, TEXTS).select_related("component__boat")
        return rows.order_by(*ORDERS[self.order][1])


@require_safe
@for_members
def spots(request: MemberRequest) -> HttpResponse:
    """The list; the address narrows and sorts it."""
    yard = request.member.yard
    boats = boats_named(yard, Spot, "component__boat")
    asked = asked_of(request.GET, yard, boats)
    sheet = Paginator(asked.rows(yard), LINES_A_PAGE).get_page(request.GET.get("page"))
    return page(
        request,
        "spots_list.html",
        {
            "here": "boats",
            "asked": asked,
            "sheet": sheet,
            "lines": spots_told(yard, sheet),
            "boats": [(boat.pk, boat.name) for boat in boats],
            "stands": list(STANDS.items()),
            "orders": [(key, told) for key, (told, _) in ORDERS.items()],
        },
    )


@require_safe
@for_members
def spreadsheet(request: MemberRequest) -> HttpResponse:
    """What the address asks for, as CSV."""
    yard = request.member.yard
    rows = asked_of(request.GET, yard, boats_named(yard, Spot, "component__boat")).rows(yard)

    def lines() -> Iterable[SpotTold]:
        for start in range(0, rows.count(), LINES_AT_ONCE):
            yield from spots_told(yard, rows[start : start + LINES_AT_ONCE])

    name = f"spots-{today_at(yard, timezone.now()).isoformat()}.csv"
    return downloads.spreadsheet(HEAD, (_cells(line, yard) for line in lines()), name)


def spots_told(yard: Yard, rows: Iterable[Spot]) -> list[SpotTold]:
    """The spots in their order with what stands for each, in a fixed number of queries."""
    held = list(rows)
    lasting = Finding.objects.of_yard(yard).filter(spot__in=[spot.pk for spot in held], state__in=Finding.LASTING)
    newest = {finding.spot_id: finding for finding in lasting.order_by("found_at", "pk")}
    standing = standing_of(newest.values())
    found = [(spot, newest.get(spot.pk)) for spot in held]
    return [SpotTold(spot, one, standing.get(one.pk) if one is not None else None) for spot, one in found]


def _cells(line: SpotTold, yard: Yard) -> tuple[str, ...]:
    spot, finding, standing = line.spot, line.finding, line.standing
    return (
        spot.component.boat.name,
        str(spot.component),
        spot.name,
        tag_text(spot.tag),
        downloads.day_cell(spot.created_at, yard),
        "" if finding is None else finding.get_state_display(),
        "" if standing is None else standing.assessment.get_condition_display(),
        "" if standing is None else standing.priority.label,
        "" if standing is None else standing.due_back_on.isoformat(),
    )


def asked_of(given: QueryDict, yard: Yard, boats: Sequence[Boat]) -> Asked:
    """Read the address. A boat, one of her parts, or an order that there is not narrows nothing."""
    boat = row_asked(given, "boat", boats)
    hers = Component.objects.of_yard(yard).filter(boat=boat) if boat is not None and given.get("part") else ()
    return Asked(
        boat=boat,
        part=row_asked(given, "part", hers),
        stands=word_asked(given, "stands", STANDS),
        text=text_asked(given),
        order=word_asked(given, "order", ORDERS, "boat"),
        query=query_without(given, "page"),
    )


__all__ = ["SpotTold", "asked_of", "spots", "spots_told", "spreadsheet"]
