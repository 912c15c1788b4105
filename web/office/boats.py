"""The boats of the yard: narrowed, sorted, in pages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from django.core.paginator import Paginator
from django.db.models import Count, F, Min, QuerySet
from django.http import HttpResponse, QueryDict
from django.utils import timezone
from django.views.decorators.http import require_safe

from inspections.selectors.due_backs import due_back_book
from web.base import downloads
from web.base.asking import query_without, text_asked, word_asked
from web.base.members import MemberRequest, for_members
from web.base.pages import page
from yard.models import Boat, Build, Member, Owner, Yard
from yard.selectors import boats_narrowed, today_at

LINES_A_PAGE: Final = 100
HEAD: Final = (
    "boat", "build", "material", "length_mm", "beam_mm", "built", "decides", "decides_for", "due_back_on",
    "places_due", "left_on",
)  # fmt: skip
STAYS: Final = {"here": ("In the yard's care", False), "left": ("Left the yard", True), "all": ("Both", None)}
# By the due-back day they are sorted here: what the book says of a boat is no field of hers.
ORDERS: Final = {
    "name": ("by name", ("name", "pk")),
    "due": ("the earliest due-back day first", ("name", "pk")),
    "longest": ("the longest first", ("-loa_mm", "name", "pk")),
    "oldest": ("the oldest first", (F("year").asc(nulls_last=True), "name", "pk")),
    "build": ("by build", ("build", "name", "pk")),
}


@dataclass(frozen=True, slots=True)
class BoatLine:
    """A boat with her earliest due-back day and the number of her places in the book."""

    boat: Boat
    due_back_on: date | None
    places: int


@dataclass(frozen=True, slots=True)
class Asked:
    """What the list is narrowed to and how it is sorted. `decider` is like owner-3 or manager-5."""

    text: str
    build: str
    decider: str
    stay: str
    order: str
    query: str

    @property
    def narrows(self) -> bool:
        return bool(self.text or self.build or self.decider or self.stay != "here")


@require_safe
@for_members
def boats(request: MemberRequest) -> HttpResponse:
    """The boats that the address narrows to, with who decides on each and what is due."""
    yard = request.member.yard
    deciders = _deciders(yard)
    asked = asked_of(request.GET, deciders)
    rows = _lines(yard, asked, deciders)
    sheet = Paginator(rows, LINES_A_PAGE).get_page(request.GET.get("page"))
    return page(
        request,
        "boats.html",
        {
            "here": "boats",
            "asked": asked,
            "sheet": sheet,
            "any": bool(rows) or Boat.objects.of_yard(yard).exists(),
            "builds": Build.choices,
            "deciders": [(key, who.name) for key, who in deciders.items()],
            "stays": [(key, told) for key, (told, _) in STAYS.items()],
            "orders": [(key, told) for key, (told, _) in ORDERS.items()],
        },
    )


@require_safe
@for_members
def spreadsheet(request: MemberRequest) -> HttpResponse:
    """What the page shows, all its sheets, as CSV; for whoever may read the page."""
    yard = request.member.yard
    deciders = _deciders(yard)
    rows = _lines(yard, asked_of(request.GET, deciders), deciders)
    name = f"boats-{today_at(yard, timezone.now()).isoformat()}.csv"
    return downloads.spreadsheet(HEAD, (_cells(line) for line in rows), name)


def _lines(yard: Yard, asked: Asked, deciders: Mapping[str, Owner | Member]) -> list[BoatLine]:
    due = {
        row["boat"]: row
        for row in due_back_book(yard).order_by().values("boat").annotate(first=Min("due_on"), places=Count("pk"))
    }
    rows = [
        BoatLine(boat, due[boat.pk]["first"], due[boat.pk]["places"]) if boat.pk in due else BoatLine(boat, None, 0)
        for boat in boats_asked(yard, asked, deciders).select_related("decider_owner", "decider_member")
    ]
    if asked.order == "due":
        rows.sort(key=lambda line: line.due_back_on or date.max)
    return rows


def _cells(line: BoatLine) -> tuple[str, ...]:
    boat = line.boat
    return (
        boat.name,
        boat.get_build_display(),
        boat.material,
        str(boat.loa_mm),
        str(boat.beam_mm),
        "" if boat.year is None else str(boat.year),
        boat.decider.name,
        "the yard itself" if boat.decider_member_id else "",
        "" if line.due_back_on is None else line.due_back_on.isoformat(),
        str(line.places),
        "" if boat.left_on is None else boat.left_on.isoformat(),
    )


def boats_asked(yard: Yard, asked: Asked, deciders: Mapping[str, Owner | Member]) -> QuerySet[Boat]:
    """The boats that are asked for, sorted."""
    narrowed = boats_narrowed(
        Boat.objects.of_yard(yard),
        text=asked.text,
        build=asked.build,
        decider=deciders.get(asked.decider),
        left=STAYS[asked.stay][1],
    )
    return narrowed.order_by(*ORDERS[asked.order][1])


def boats_of_address(request: MemberRequest) -> QuerySet[Boat]:
    """The same as the page shows, all its pages."""
    yard = request.member.yard
    deciders = _deciders(yard)
    return boats_asked(yard, asked_of(request.GET, deciders), deciders)


def asked_of(given: QueryDict, deciders: Mapping[str, Owner | Member]) -> Asked:
    """Read the address. A word that there is not narrows nothing."""
    return Asked(
        text=text_asked(given),
        build=word_asked(given, "build", Build.values),
        decider=word_asked(given, "decider", deciders),
        stay=word_asked(given, "stay", STAYS, "here"),
        order=word_asked(given, "order", ORDERS, "name"),
        query=query_without(given, "page"),
    )


def _deciders(yard: Yard) -> dict[str, Owner | Member]:
    """Everybody who decides on a boat, by what the address calls them."""
    owners = Owner.objects.of_yard(yard).filter(decides_on__isnull=False).distinct()
    members = Member.objects.of_yard(yard).filter(decides_on__isnull=False).distinct()
    found: list[tuple[str, Owner | Member]] = [(f"owner-{owner.pk}", owner) for owner in owners]
    found += [(f"manager-{member.pk}", member) for member in members]
    return dict(sorted(found, key=lambda each: (each[1].name.casefold(), each[0])))


__all__ = ["asked_of", "boats", "boats_asked", "boats_of_address", "spreadsheet"]
