"""Where the office judged otherwise than the rules: how often, which way, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpResponse, QueryDict
from django.utils import timezone
from django.views.decorators.http import require_safe

from inspections.judgement.overruled import Direction
from inspections.judgement.vocabulary import Condition, Priority
from inspections.models import Overruling
from inspections.selectors.overrulings import (
    ORDERS,
    Narrowed,
    direction_said,
    overrulings_narrowed,
    overrulings_report,
)
from web.base import downloads
from web.base.asking import query_without, row_asked, text_asked, word_asked
from web.base.members import MemberRequest, for_managers
from web.base.pages import page
from workshop.services.quote_words import place_of
from yard.models import Boat, Member, Yard
from yard.selectors import today_at

LINES_A_PAGE: Final = 50
HEAD: Final = (
    "boat", "place", "condition", "severity", "likelihood", "rules", "priority_by_rules", "due_back_by_rules",
    "priority", "due_back_on", "direction", "reason", "by", "said_at", "withdrawn_at",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Asked:
    """What the list is narrowed to and how it is sorted."""

    to: Narrowed
    order: str
    query: str

    @property
    def narrows(self) -> bool:
        return self.to != Narrowed()

    def rows(self, yard: Yard) -> QuerySet[Overruling]:
        return overrulings_narrowed(yard, self.to).order_by(*ORDERS[self.order][1])


@dataclass(frozen=True, slots=True)
class Known:
    """By what the list can be narrowed: what stands in it."""

    boats: Sequence[Boat]
    people: Sequence[Member]
    versions: Sequence[str]


@require_safe
@for_managers
def overrulings(request: MemberRequest) -> HttpResponse:
    """The counts, and below them one by one; the address narrows and sorts these."""
    yard = request.member.yard
    known = _known(yard)
    asked = _asked(request.GET, known)
    sheet = Paginator(asked.rows(yard), LINES_A_PAGE).get_page(request.GET.get("page"))
    return page(
        request,
        "overrulings.html",
        {
            "here": "settings",
            "versions": overrulings_report(yard),
            "asked": asked,
            "sheet": sheet,
            "lines": [(row, _place(row), direction_said(row).label) for row in sheet],
            "boats": [(boat.pk, boat.name) for boat in known.boats],
            "people": [(person.pk, person.name) for person in known.people],
            "rules": [(version, version) for version in known.versions],
            "directions": [(each.value, each.label) for each in Direction],
            "conditions": [(each.value, each.label) for each in Condition],
            "orders": [(key, told) for key, (told, _) in ORDERS.items()],
        },
    )


@require_safe
@for_managers
def spreadsheet(request: MemberRequest) -> HttpResponse:
    """What the address asks for, as CSV."""
    yard = request.member.yard
    rows = _asked(request.GET, _known(yard)).rows(yard)
    name = f"judged-otherwise-{today_at(yard, timezone.now()).isoformat()}.csv"
    return downloads.spreadsheet(HEAD, (_cells(row, yard) for row in rows), name)


def _cells(row: Overruling, yard: Yard) -> tuple[str, ...]:
    judged = row.assessment
    return (
        row.finding.boat.name,
        _place(row),
        judged.get_condition_display(),
        str(judged.severity),
        judged.probability_level,
        judged.rules_version,
        Priority(judged.priority).label,
        judged.due_back_on.isoformat(),
        Priority(row.priority).label,
        row.due_back_on.isoformat(),
        direction_said(row).label,
        row.reason,
        row.by.name,
        downloads.moment_cell(row.made_at, yard),
        downloads.moment_cell(row.withdrawn_at, yard),
    )


def _place(row: Overruling) -> str:
    finding = row.finding
    return place_of(finding.component, finding.entry.elsewhere, finding.spot)


def _asked(given: QueryDict, known: Known) -> Asked:
    """Read the address. A boat, a person or a word that there is not narrows nothing."""
    return Asked(
        to=Narrowed(
            boat=row_asked(given, "boat", known.boats),
            by=row_asked(given, "by", known.people),
            direction=word_asked(given, "direction", {each.value for each in Direction}),
            condition=word_asked(given, "condition", {each.value for each in Condition}),
            version=word_asked(given, "rules", known.versions),
            text=text_asked(given),
        ),
        order=word_asked(given, "order", ORDERS, "newest"),
        query=query_without(given, "page"),
    )


def _known(yard: Yard) -> Known:
    said = Overruling.objects.of_yard(yard).order_by()
    boats = Boat.objects.of_yard(yard).filter(pk__in=said.values("finding__boat"))
    people = Member.objects.of_yard(yard).filter(pk__in=said.values("by"))
    versions = said.values_list("assessment__rules_version", flat=True).distinct()
    return Known(list(boats.order_by("name", "pk")), list(people.order_by("name", "pk")), sorted(versions))


__all__ = ["overrulings", "spreadsheet"]
