"""Every part of the yard's boats in one list: of one boat, of one kind, or by words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.core.paginator import Paginator
from django.db.models import Count, Q, QuerySet
from django.http import HttpResponse, QueryDict
from django.utils import timezone
from django.views.decorators.http import require_safe

from web.base import downloads
from web.base.asking import query_without, row_asked, text_asked, word_asked
from web.base.members import MemberRequest, for_members
from web.base.pages import page
from yard.models import Boat, Component, ComponentClass, Yard
from yard.selectors import boats_named, today_at
from yard.words import with_words

LINES_A_PAGE: Final = 100
HEAD: Final = ("boat", "part", "position", "class", "kind", "group", "wood", "finish", "spots", "taken_off_on")
STAYS: Final = {
    "here": ("On boats in the yard's care", Q(removed_on__isnull=True, boat__left_on__isnull=True)),
    "off": ("Taken off", Q(removed_on__isnull=False)),
    "all": ("All", Q()),
}
ORDERS: Final[dict[str, tuple[str, tuple[str, ...]]]] = {
    "boat": ("by boat", ("boat__name", "boat", "name", "position", "pk")),
    "name": ("by part", ("name", "boat__name", "position", "pk")),
    "kind": ("by kind", ("component_class__name", "boat__name", "name", "position", "pk")),
    "spots": ("the most spots first", ("-spot_count", "boat__name", "name", "position", "pk")),
}
TEXTS: Final = ("name", "position", "species", "finish", "component_class__name", "boat__name")


@dataclass(frozen=True, slots=True)
class Asked:
    """What the list is narrowed to and how it is sorted."""

    boat: Boat | None
    kind: ComponentClass | None
    stay: str
    text: str
    order: str
    query: str

    @property
    def narrows(self) -> bool:
        return bool(self.boat or self.kind or self.text or self.stay != "here")

    def rows(self, yard: Yard) -> QuerySet[Any]:
        rows: QuerySet[Any] = Component.objects.of_yard(yard).filter(STAYS[self.stay][1])
        asked = {"boat": self.boat, "component_class": self.kind}
        rows = rows.filter(**{name: row for name, row in asked.items() if row is not None})
        rows = with_words(rows, self.text, TEXTS).annotate(spot_count=Count("spots"))
        rows = rows.select_related("boat", "component_class")
        return rows.order_by(*ORDERS[self.order][1])


@require_safe
@for_members
def parts(request: MemberRequest) -> HttpResponse:
    """The list; the address narrows and sorts it."""
    yard = request.member.yard
    boats, kinds = boats_named(yard, Component), _kinds(yard)
    asked = asked_of(request.GET, boats, kinds)
    return page(
        request,
        "parts_list.html",
        {
            "here": "boats",
            "asked": asked,
            "sheet": Paginator(asked.rows(yard), LINES_A_PAGE).get_page(request.GET.get("page")),
            "boats": [(boat.pk, boat.name) for boat in boats],
            "kinds": [(kind.pk, kind.name) for kind in kinds],
            "stays": [(key, told) for key, (told, _) in STAYS.items()],
            "orders": [(key, told) for key, (told, _) in ORDERS.items()],
        },
    )


@require_safe
@for_members
def spreadsheet(request: MemberRequest) -> HttpResponse:
    """What the address asks for, as CSV."""
    yard = request.member.yard
    rows = asked_of(request.GET, boats_named(yard, Component), _kinds(yard)).rows(yard)
    name = f"parts-{today_at(yard, timezone.now()).isoformat()}.csv"
    return downloads.spreadsheet(HEAD, (_cells(part) for part in rows), name)


def _cells(part: Any) -> tuple[str, ...]:
    kind = part.component_class
    return (
        part.boat.name,
        part.name,
        part.position,
        kind.code,
        kind.name,
        kind.group,
        part.species,
        part.finish,
        str(part.spot_count),
        "" if part.removed_on is None else part.removed_on.isoformat(),
    )


def asked_of(given: QueryDict, boats: Sequence[Boat], kinds: Sequence[ComponentClass]) -> Asked:
    """Read the address. A boat, a kind or an order that there is not narrows nothing."""
    return Asked(
        boat=row_asked(given, "boat", boats),
        kind=row_asked(given, "kind", kinds),
        stay=word_asked(given, "stay", STAYS, "here"),
        text=text_asked(given),
        order=word_asked(given, "order", ORDERS, "boat"),
        query=query_without(given, "page"),
    )


def _kinds(yard: Yard) -> list[ComponentClass]:
    fitted = Component.objects.of_yard(yard).order_by().values("component_class")
    return list(ComponentClass.objects.of_yard(yard).filter(pk__in=fitted).order_by("name", "pk"))


__all__ = ["asked_of", "parts", "spreadsheet"]
