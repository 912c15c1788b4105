"""What is asked of the due-back book by its address, the same for the page, the spreadsheet and the paper."""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date
from typing import Final

from django.db.models import QuerySet
from django.http import QueryDict

from inspections.judgement.vocabulary import DueBackKind
from inspections.models import DueBack
from inspections.selectors.due_backs import due_back_narrowed
from web.base.asking import day_asked, query_without, text_asked
from workshop.services.due_words import LINE_READS
from yard.models import Boat
from yard.refusals import Refused

ORDERS: Final = {
    "day": ("the earliest day first", ("due_on", "pk")),
    "latest": ("the latest day first", ("-due_on", "-pk")),
    "boat": ("by boat", ("boat__name", "boat", "due_on", "pk")),
    "kind": ("by what for", ("kind", "due_on", "pk")),
}
_MONTH: Final = re.compile(r"(\d{4})-(\d{2})", re.ASCII)


@dataclass(frozen=True, slots=True)
class Asked:
    """What the book is narrowed to and how it is sorted. What is not understood is told in `refused`."""

    boat: Boat | None
    kind: str
    overdue: bool
    until: date | None
    month: date | None
    text: str
    order: str
    query: str
    refused: Refused | None

    @property
    def narrows(self) -> bool:
        return bool(self.boat or self.kind or self.overdue or self.until or self.month or self.text)

    def lines(self, book: QuerySet[DueBack], today: date) -> QuerySet[DueBack]:
        """The lines that are asked for, sorted, read with all that is told of them."""
        narrowed = due_back_narrowed(
            book,
            boat=self.boat,
            kind=self.kind,
            before=today if self.overdue else None,
            until=self.until,
            text=self.text,
        )
        if self.month is not None:
            narrowed = due_back_narrowed(narrowed, since=self.month, until=month_end(self.month))
        return narrowed.select_related(*LINE_READS).order_by(*ORDERS[self.order][1])

    @property
    def told(self) -> str:
        """By what the book is narrowed besides the days, for the head of a sheet."""
        kind = f"to {DueBackKind(self.kind).label}" if self.kind else ""
        text = f"with \u201c{self.text}\u201d" if self.text else ""
        return ", ".join(part for part in (self.boat.name if self.boat else "", kind, text) if part)


def asked_of(given: QueryDict, boats: list[Boat]) -> Asked:
    """Read the address. A boat, a purpose or an order that there is not narrows nothing."""
    kind, order = given.get("kind", ""), given.get("order", "")
    refusals = []
    until = day_asked(given, "until")
    if given.get("until") and until is None:
        refusals.append(Refused("until", "is no day", "give one like 2027-05-01"))
    month = month_read(given.get("month", ""))
    if given.get("month") and month is None:
        refusals.append(Refused("month", "is no month", "give one like 2027-05"))
    return Asked(
        boat=next((boat for boat in boats if str(boat.pk) == given.get("boat")), None),
        kind=kind if kind in list(DueBackKind) else "",
        overdue=given.get("overdue") == "yes",
        until=until,
        month=month,
        text=text_asked(given),
        order=order if order in ORDERS else "day",
        query=query_without(given, "page"),
        refused=refusals[0] if refusals else None,
    )


def month_read(text: str) -> date | None:
    """The first day of a month like 2027-05; None where it is none."""
    found = _MONTH.fullmatch(text)
    try:
        return None if found is None else date(int(found[1]), int(found[2]), 1)
    except ValueError:
        return None


def month_end(first: date) -> date:
    return first.replace(day=monthrange(first.year, first.month)[1])


__all__ = ["ORDERS", "Asked", "asked_of", "month_end", "month_read"]
