"""Where the due-back book is read besides its page: calendars that subscribe to it, and the weekly mail."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from web.base.members import MemberRequest, for_managers, for_members, row_of
from web.base.pages import page
from workshop.models import CalendarFeed
from workshop.services.calendar_feeds import feed_issue, feed_revoke, feed_url
from workshop.services.digests import digest_choose, digest_chosen, digest_end
from yard.models import Boat
from yard.refusals import Refused


@require_safe
@for_members
def calendars(request: MemberRequest) -> HttpResponse:
    return _shown(request)


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
    return HttpResponseRedirect(reverse("web:calendars"))


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
    feeds: list[tuple[CalendarFeed, str]] = []
    boats: list[Boat] = []
    if member.is_manager:
        live = CalendarFeed.objects.of_yard(member.yard).filter(revoked_at=None).select_related("boat", "made_by")
        feeds = [(feed, feed_url(feed)) for feed in live.order_by("boat__name", "pk")]
        boats = list(Boat.objects.of_yard(member.yard).filter(left_on=None).order_by("name", "pk"))
    return page(
        request,
        "calendars.html",
        {
            "here": "due-back",
            "feeds": feeds,
            "boats": boats,
            "chosen": digest_chosen(member),
            "address": member.user.email,
        },
        refused=refused,
    )


__all__ = ["calendars", "make", "revoke", "weekly_mail"]
