"""Where the due-back book is read besides its page: calendars that subscribe to it, and the weekly mail."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import F, QuerySet
from django.http import HttpResponse, HttpResponseRedirect, QueryDict
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from web.base import downloads
from web.base.asking import query_without, text_asked, word_asked
from web.base.members import MemberRequest, for_managers, for_members, row_of
from web.base.pages import back_to_list, page
from workshop.models import CalendarFeed
from workshop.services.calendar_feeds import feed_issue, feed_revoke, feed_url
from workshop.services.digests import digest_choose, digest_chosen, digest_end
from yard.models import Boat, Yard
from yard.refusals import Refused
from yard.selectors import today_at
from yard.words import with_words

FEEDS_A_PAGE: Final = 50
HEAD: Final = ("boat", "made_by", "made_at", "last_read_at", "taken_back_at")
STATES: Final = {"live": "That are good", "revoked": "That were taken back", "all": "Both"}
# The address for all boats stands before those of single ones.
ORDERS: Final[dict[str, tuple[str, tuple[Any, ...]]]] = {
    "boat": ("by boat", (F("boat__name").asc(nulls_first=True), "-created_at", "pk")),
    "newest": ("the newest first", ("-created_at", "pk")),
    "silent": ("not read for longest first", (F("last_used_at").asc(nulls_first=True), "created_at", "pk")),
}


@dataclass(frozen=True, slots=True)
class Asked:
    """What the list of addresses is narrowed to and how it is sorted."""

    state: str
    text: str
    order: str
    query: str

    @property
    def narrows(self) -> bool:
        return bool(self.text or self.state != "live")

    def rows(self, yard: Yard) -> QuerySet[CalendarFeed]:
        rows: QuerySet[CalendarFeed] = CalendarFeed.objects.of_yard(yard).select_related("boat", "made_by")
        if self.state != "all":
            rows = rows.filter(revoked_at__isnull=self.state == "live")
        return with_words(rows, self.text, ("boat__name", "made_by__name")).order_by(*ORDERS[self.order][1])


def asked_of(given: QueryDict) -> Asked:
    """Read the address. A state or an order that there is not narrows nothing."""
    return Asked(
        state=word_asked(given, "state", STATES, "live"),
        text=text_asked(given),
        order=word_asked(given, "order", ORDERS, "boat"),
        query=query_without(given, "page"),
    )


@require_safe
@for_members
def calendars(request: MemberRequest) -> HttpResponse:
    """One's weekly mail, and for managers the addresses of calendars, which the address narrows and sorts."""
    return _shown(request)


@require_safe
@for_managers
def spreadsheet(request: MemberRequest) -> HttpResponse:
    """What the address asks for, as CSV; the addresses are keys, and not among it."""
    yard = request.member.yard
    name = f"calendars-{today_at(yard, timezone.now()).isoformat()}.csv"
    return downloads.spreadsheet(HEAD, (_cells(feed, yard) for feed in asked_of(request.GET).rows(yard)), name)


def _cells(feed: CalendarFeed, yard: Yard) -> tuple[str, ...]:
    return (
        "all boats" if feed.boat is None else feed.boat.name,
        feed.made_by.name,
        downloads.moment_cell(feed.created_at, yard),
        downloads.moment_cell(feed.last_used_at, yard),
        downloads.moment_cell(feed.revoked_at, yard),
    )


@require_POST
@for_managers
def make(request: MemberRequest) -> HttpResponse:
    """Make the address of the yard or a boat; where there is one it is taken back."""
    asked = request.POST.get("boat", "")
    boats = Boat.objects.of_yard(request.member.yard)
    boat = boats.filter(pk=int(asked)).first() if asked.isdecimal() and len(asked) < 19 else None
    try:
        if asked and asked != "all" and boat is None:
            raise Refused("boat", "is none of yours", "choose one of the list")
        if not asked:
            raise Refused("boat", "is missing", "choose one boat or all")
        feed = feed_issue(by=request.member, boat=boat, at=timezone.now())
    except Refused as refusal:
        return _shown(request, refused=refusal)
    whose = feed.boat.name if feed.boat is not None else "all boats"
    messages.success(
        request, f"The calendar address for {whose} is made. One that was there before is no longer good."
    )
    return HttpResponseRedirect(reverse("web:calendars"))


@require_POST
@for_managers
def revoke(request: MemberRequest, pk: UUID) -> HttpResponse:
    feed = row_of(CalendarFeed.objects.select_related("boat"), request.member, pk)
    feed_revoke(feed=feed, by=request.member, at=timezone.now())
    messages.success(request, "The calendar address is taken back.")
    return back_to_list(request, "web:calendars")


@require_POST
@for_members
def weekly_mail(request: MemberRequest) -> HttpResponse:
    """Choose the weekly mail for oneself, or end it."""
    if request.POST.get("wanted") != "yes":
        digest_end(member=request.member)
        messages.success(request, "You get no weekly mail any more.")
        return HttpResponseRedirect(reverse("web:calendars"))
    try:
        digest_choose(member=request.member, at=timezone.now())
    except Refused as refusal:
        return _shown(request, refused=refusal)
    messages.success(request, "The weekly mail comes on Mondays, when something is due.")
    return HttpResponseRedirect(reverse("web:calendars"))


def _shown(request: MemberRequest, *, refused: Refused | None = None) -> HttpResponse:
    member = request.member
    told: dict[str, Any] = {}
    if member.is_manager:
        asked = asked_of(request.GET)
        sheet = Paginator(asked.rows(member.yard), FEEDS_A_PAGE).get_page(request.GET.get("page"))
        told = {
            "asked": asked,
            "sheet": sheet,
            "feeds": [(feed, feed_url(feed)) for feed in sheet],
            "states": list(STATES.items()),
            "orders": [(key, words) for key, (words, _) in ORDERS.items()],
            "boats": list(Boat.objects.of_yard(member.yard).filter(left_on=None).order_by("name", "pk")),
        }
    return page(
        request,
        "calendars.html",
        {
            "here": "due-back",
            **told,
            "chosen": digest_chosen(member),
            "address": member.user.email,
        },
        refused=refused,
    )


__all__ = ["calendars", "make", "revoke", "spreadsheet", "weekly_mail"]
