"""What is asked of the list of tablets by its address, the same for the page and the spreadsheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import F, QuerySet
from django.http import QueryDict

from web.base.asking import query_without, row_asked, text_asked, word_asked
from yard.models import DeviceToken, Member, Yard
from yard.words import with_words

STATES: Final = {"in": "Let in", "out": "Shut out", "all": "Both"}
KINDS: Final = {"shared": "Shared", "own": "Somebody's own"}
ORDERS: Final[dict[str, tuple[str, tuple[Any, ...]]]] = {
    "newest": ("let in last first", ("-created_at", "-pk")),
    "heard": ("heard of last first", (F("last_used_at").desc(nulls_last=True), "-created_at", "-pk")),
    "silent": ("not heard of for longest first", (F("last_used_at").asc(nulls_first=True), "created_at", "pk")),
    "out": ("shut out last first", (F("revoked_at").desc(nulls_last=True), "-created_at", "-pk")),
    "name": ("by name", ("device_name", "-created_at", "-pk")),
}
TEXTS: Final = ("device_name", "member__name")


@dataclass(frozen=True, slots=True)
class Asked:
    """What the list is narrowed to and how it is sorted."""

    state: str
    kind: str
    person: Member | None
    text: str
    order: str
    query: str

    @property
    def narrows(self) -> bool:
        return bool(self.kind or self.person or self.text or self.state != "in")

    def rows(self, yard: Yard) -> QuerySet[DeviceToken]:
        rows: QuerySet[DeviceToken] = DeviceToken.objects.of_yard(yard).select_related("member")
        if self.state != "all":
            rows = rows.filter(revoked_at__isnull=self.state == "in")
        if self.kind:
            rows = rows.filter(shared=self.kind == "shared")
        if self.person is not None:
            rows = rows.filter(member=self.person)
        return with_words(rows, self.text, TEXTS).order_by(*ORDERS[self.order][1])


def asked_of(given: QueryDict, people: Sequence[Member]) -> Asked:
    """Read the address. A state, a person or an order that there is not narrows nothing."""
    return Asked(
        state=word_asked(given, "state", STATES, "in"),
        kind=word_asked(given, "kind", KINDS),
        person=row_asked(given, "person", people),
        text=text_asked(given),
        order=word_asked(given, "order", ORDERS, "newest"),
        query=query_without(given, "page"),
    )


__all__ = ["KINDS", "ORDERS", "STATES", "Asked", "asked_of"]
