"""Owners' links in one list: who holds the key to which quote, and whether it was used."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from web.base.members import MemberRequest, for_managers, row_of
from web.base.pages import page
from workshop.models import OwnerLink
from workshop.selectors.owner_links import ORDERS, STATES, owner_links_of
from workshop.services.links import link_revoke
from yard.models import Boat

LINKS_A_PAGE = 50


@require_safe
@for_managers
def owner_links(request: MemberRequest) -> HttpResponse:
    """The address narrows and sorts the list; a word there that is unknown narrows nothing."""
    yard, now = request.member.yard, timezone.now()
    state, order = request.GET.get("state", "live"), request.GET.get("order", "newest")
    state = state if state in STATES else "live"
    order = order if order in ORDERS else "newest"
    boats = list(Boat.objects.of_yard(yard).filter(pk__in=OwnerLink.objects.of_yard(yard).values("boat")))
    boat = next((each for each in boats if str(each.pk) == request.GET.get("boat")), None)
    links = owner_links_of(yard, now=now, state=state, boat=boat, order=order)
    return page(
        request,
        "owner_links.html",
        {
            "here": "people",
            "now": now,
            "sheet": Paginator(links, LINKS_A_PAGE).get_page(request.GET.get("page")),
            "boats": boats,
            "boat": boat,
            "state": state,
            "order": order,
            "states": STATES.items(),
            "orders": [(key, told) for key, (told, _) in ORDERS.items()],
        },
    )


@require_POST
@for_managers
def revoke(request: MemberRequest, pk: UUID) -> HttpResponse:
    link = row_of(OwnerLink.objects.select_related("boat", "quote"), request.member, pk)
    link_revoke(link=link, by=request.member, at=timezone.now())
    messages.success(request, f"The link for {link.boat.name}, quote {link.quote.number}, opens nothing any more.")
    return HttpResponseRedirect(reverse("web:owner-links"))


__all__ = ["owner_links", "revoke"]
