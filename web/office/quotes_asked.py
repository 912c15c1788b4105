"""What is asked of the list of quotes by its address, the same for the page and the spreadsheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet
from django.http import QueryDict

from web.base.asking import query_without
from workshop.models.quotes import QuoteState
from workshop.selectors.quotes import ORDERS, SHOWS, Narrowed, quotes_narrowed
from yard.models import Boat


@dataclass(frozen=True, slots=True)
class Asked:
    """What the list is narrowed to and how it is sorted.

    Args:
        query: the address without its page.
        rest: the same without what is shown, for the ways from one tab to the next.
    """

    by: Narrowed
    order: str
    query: str
    rest: str

    @property
    def narrows(self) -> bool:
        return bool(self.by.boat or self.by.state or self.by.season_year)

    def rows(self, counted: QuerySet[Any], today: date) -> QuerySet[Any]:
        return quotes_narrowed(counted, self.by, today).order_by(*ORDERS[self.order][1])


def asked_of(given: QueryDict, boats: Sequence[Boat], years: Sequence[int]) -> Asked:
    """Read the address. A boat, a word or an order that there is not narrows nothing."""
    show, order, state = (given.get(name, "") for name in ("show", "order", "state"))
    return Asked(
        by=Narrowed(
            show=show if show in SHOWS else "all",
            boat=next((boat for boat in boats if str(boat.pk) == given.get("boat")), None),
            state=state if state in QuoteState.values else "",
            season_year=next((year for year in years if str(year) == given.get("season")), None),
        ),
        order=order if order in ORDERS else "newest",
        query=query_without(given, "page"),
        rest=query_without(given, "page", "show"),
    )


__all__ = ["Asked", "asked_of"]
