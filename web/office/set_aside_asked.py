"""What is asked of the entries set aside by the address, the same for the page and the spreadsheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import Q, QuerySet
from django.http import QueryDict

from inspections.models import SetAside
from web.base.asking import query_without, row_asked, text_asked, word_asked
from yard.models import Boat, Member, Yard
from yard.words import with_words

SHOWS: Final = {
    "waiting": ("Waiting", Q(settled_at__isnull=True)),
    "settled": ("Dealt with", Q(settled_at__isnull=False)),
}
ORDERS: Final[dict[str, tuple[str, tuple[str, ...]]]] = {
    "oldest": ("the oldest first", ("received_at", "pk")),
    "newest": ("the newest first", ("-received_at", "-pk")),
    "settled": ("the last dealt with first", ("-settled_at", "-received_at", "-pk")),
    "boat": ("by boat", ("boat__name", "boat", "received_at", "pk")),
    "why": ("by why", ("why", "received_at", "pk")),
}
# What a technician wrote stands in what the tablet sent.
TEXTS: Final = ("boat__name", "author__name", "why", "settled_how", "sent__note", "sent__elsewhere")


@dataclass(frozen=True, slots=True)
class Asked:
    """What the list is narrowed to and how it is sorted. `rest` is the address without what is shown."""

    show: str
    boat: Boat | None
    author: Member | None
    text: str
    order: str
    query: str
    rest: str

    @property
    def narrows(self) -> bool:
        return bool(self.boat or self.author or self.text)

    def rows(self, yard: Yard) -> QuerySet[SetAside]:
        every: QuerySet[SetAside] = SetAside.objects.of_yard(yard)
        narrowed: dict[str, Any] = {"boat": self.boat, "author": self.author}
        rows = every.filter(SHOWS[self.show][1], **{name: row for name, row in narrowed.items() if row is not None})
        rows = with_words(rows, self.text, TEXTS).select_related("author", "boat", "settled_by")
        return rows.order_by(*ORDERS[self.order][1])


def asked_of(given: QueryDict, boats: Sequence[Boat], authors: Sequence[Member]) -> Asked:
    """Read the address. A boat, a person or an order that there is not narrows nothing."""
    show = word_asked(given, "show", SHOWS, "waiting")
    return Asked(
        show=show,
        boat=row_asked(given, "boat", boats),
        author=row_asked(given, "author", authors),
        text=text_asked(given),
        order=word_asked(given, "order", ORDERS, "oldest" if show == "waiting" else "settled"),
        query=query_without(given, "page"),
        rest=query_without(given, "page", "show", "order"),
    )


__all__ = ["ORDERS", "SHOWS", "Asked", "asked_of"]
