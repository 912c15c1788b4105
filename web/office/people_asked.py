"""What is asked of the list of people by its address, the same for the page and the spreadsheet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any, Final, TypeAlias

from django.db.models import Case, Count, F, Q, QuerySet, Value, When
from django.http import QueryDict

from web.base.asking import query_without, text_asked, word_asked
from yard.models import Member, Role, Yard
from yard.selectors import at_work
from yard.services.second_factor import HAS_SECOND_FACTOR
from yard.words import with_words

# A member with `is_here`, `tablets` and `second_factor`.
PersonRow: TypeAlias = Any
STAYS: Final = {"here": "At work", "gone": "No longer here", "all": "Everybody"}
FACTORS: Final = {"on": "With a second factor", "off": "With the password alone"}
ORDERS: Final[dict[str, tuple[str, tuple[Any, ...]]]] = {
    "name": ("by name", ("name", "pk")),
    "role": ("by role", ("role", "name", "pk")),
    "latest": ("the last to sign in first", (F("user__last_login").desc(nulls_last=True), "name", "pk")),
    "silent": (
        "who has not signed in for longest first",
        (F("user__last_login").asc(nulls_first=True), "name", "pk"),
    ),
}
TEXTS: Final = ("name", "user__username", "user__email")
_TABLETS: Final = Count("device_tokens", filter=Q(device_tokens__revoked_at=None, device_tokens__shared=False))


@dataclass(frozen=True, slots=True)
class Asked:
    """What the list is narrowed to and how it is sorted."""

    stay: str
    role: str
    factor: str
    text: str
    order: str
    query: str

    @property
    def narrows(self) -> bool:
        return bool(self.role or self.factor or self.text or self.stay != "here")

    def rows(self, yard: Yard, today: date) -> QuerySet[PersonRow]:
        here = at_work(today)
        rows: QuerySet[Any] = Member.objects.of_yard(yard).select_related("user", "yard")
        if self.stay != "all":
            rows = rows.filter(here if self.stay == "here" else ~here)
        if self.role:
            rows = rows.filter(role=self.role)
        rows = with_words(rows, self.text, TEXTS).annotate(
            is_here=Case(When(here, then=Value(True)), default=Value(False)), second_factor=HAS_SECOND_FACTOR
        )
        if self.factor:
            rows = rows.filter(second_factor=self.factor == "on")
        rows = rows.annotate(tablets=_TABLETS)
        return rows.order_by(*ORDERS[self.order][1])


def asked_of(given: QueryDict) -> Asked:
    """Read the address. A role or an order that there is not narrows nothing."""
    return Asked(
        stay=word_asked(given, "stay", STAYS, "here"),
        role=word_asked(given, "role", Role.values),
        factor=word_asked(given, "factor", FACTORS),
        text=text_asked(given),
        order=word_asked(given, "order", ORDERS, "name"),
        query=query_without(given, "page"),
    )


__all__ = ["FACTORS", "ORDERS", "STAYS", "Asked", "PersonRow", "asked_of"]
