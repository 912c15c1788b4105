"""Owners' links in one list: who holds the key to which quote, and whether it was used."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpResponse, QueryDict
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from web.base import downloads
from web.base.asking import query_without, row_asked, text_asked, word_asked
from web.base.members import MemberRequest, for_managers, row_of
from web.base.pages import back_to_list, page
from workshop.models import OwnerLink
from workshop.selectors.owner_links import ORDERS, STATES, owner_links_of
from workshop.services.links import link_revoke
from yard.models import Boat, Yard
from yard.selectors import boats_named, today_at

LINKS_A_PAGE: Final = 50
HEAD: Final = (
    "boat", "quote", "quote_state", "sent_to", "address", "mailed_at", "times_opened", "first_opened_at",
    "last_opened_at", "opens_until", "taken_back_at",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Asked:
    """What the list is narrowed to and how it is sorted."""

    state: str
    boat: Boat | None
    text: str
    order: str
    query: str

    @property
    def narrows(self) -> bool:
        return bool(self.boat or self.text or self.state != "live")

    def links(self, yard: Yard, now: datetime) -> QuerySet[Any]:
        return owner_links_of(yard, now=now, state=self.state, boat=self.boat, text=self.text, order=self.order)


@require_safe
@for_managers
def owner_links(request: MemberRequest) -> HttpResponse:
    """The address narrows and sorts the list; a word there that is unknown narrows nothing."""
    yard, now = request.member.yard, timezone.now()
    boats = boats_named(yard, OwnerLink)
    asked = _asked(request.GET, boats)
    return page(
        request,
        "owner_links.html",
        {
            "here": "people",
            "now": now,
            "asked": asked,
            "sheet": Paginator(asked.links(yard, now), LINKS_A_PAGE).get_page(request.GET.get("page")),
            "boats": [(boat.pk, boat.name) for boat in boats],
            "states": list(STATES.items()),
            "orders": [(key, told) for key, (told, _) in ORDERS.items()],
        },
    )


@require_safe
@for_managers
def spreadsheet(request: MemberRequest) -> HttpResponse:
    """What the address asks for, as CSV; the keys themselves are not among it."""
    yard, now = request.member.yard, timezone.now()
    links = _asked(request.GET, boats_named(yard, OwnerLink)).links(yard, now)
    name = f"owners-links-{today_at(yard, now).isoformat()}.csv"
    return downloads.spreadsheet(HEAD, (_cells(link, yard) for link in links), name)


def _cells(link: Any, yard: Yard) -> tuple[str, ...]:
    holder, mail = link.owner or link.member, link.mail
    return (
        link.boat.name,
        str(link.quote.number),
        link.quote.get_state_display(),
        holder.name,
        "" if mail is None else mail.to_address,
        "" if mail is None else downloads.moment_cell(mail.sent_at, yard),
        str(link.opened),
        downloads.moment_cell(link.first_opened, yard),
        downloads.moment_cell(link.last_opened, yard),
        downloads.moment_cell(link.expires_at, yard),
        downloads.moment_cell(link.revoked_at, yard),
    )


def _asked(given: QueryDict, boats: list[Boat]) -> Asked:
    return Asked(
        state=word_asked(given, "state", STATES, "live"),
        boat=row_asked(given, "boat", boats),
        text=text_asked(given),
        order=word_asked(given, "order", ORDERS, "newest"),
        query=query_without(given, "page"),
    )


@require_POST
@for_managers
def revoke(request: MemberRequest, pk: UUID) -> HttpResponse:
    link = row_of(OwnerLink.objects.select_related("boat", "quote"), request.member, pk)
    link_revoke(link=link, by=request.member, at=timezone.now())
    messages.success(request, f"The link for {link.boat.name}, quote {link.quote.number}, opens nothing any more.")
    return back_to_list(request, "web:owner-links")


__all__ = ["owner_links", "revoke", "spreadsheet"]
