"""The calendar of a secret address, and where the weekly mail is ended. No cookie is read or set."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.http import http_date, quote_etag
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from web.base.addresses import caller_of
from web.base.rates import rate_of
from web.owner.gate import closed, sealed, too_many
from workshop.report.due_calendar import calendar_text
from workshop.services.calendar_feeds import feed_fetched, feed_find
from workshop.services.digests import digest_choose, digest_chosen, digest_end, digest_member
from yard.refusals import Refused


@require_safe
def calendar(request: HttpRequest, token: str) -> HttpResponseBase:
    """The due-back days of the yard or a boat, or word that they are as they were (RFC 9110, 13)."""
    rate = rate_of("calendar")
    if not rate.allows(caller_of(request)):
        return sealed(too_many(request, rate))
    feed = feed_find(token)
    if feed is None:
        return sealed(closed(request, "wrong"))
    now = timezone.now()
    text = calendar_text(feed, at=now)
    feed = feed_fetched(feed=feed, content=text, at=now)
    assert feed.changed_at is not None  # it has just been noted
    etag, since = quote_etag(feed.digest), int(feed.changed_at.timestamp())
    headers = {
        "ETag": etag,
        "Last-Modified": http_date(since),
        "Cache-Control": "private, no-cache",
        "Content-Disposition": 'inline; filename="due-back.ics"',
        "X-Content-Type-Options": "nosniff",
    }
    whole = HttpResponse(text, content_type="text/calendar; charset=utf-8", headers=headers)
    return sealed(get_conditional_response(request, etag=etag, last_modified=since, response=whole) or whole)


# The address is the key; a mail program posts to it without having seen the page (RFC 8058, 3.1 and 3.2).
@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
def digest(request: HttpRequest, token: str) -> HttpResponseBase:
    """Say whether the weekly mail is sent; a POST ends it, or with `again` begins it anew."""
    rate = rate_of("owner_link")
    if not rate.allows(caller_of(request)):
        return sealed(too_many(request, rate))
    member = digest_member(token)
    if member is None:
        return sealed(closed(request, "wrong"))
    if request.method == "POST":
        if request.POST.get("again") == "yes":
            try:
                digest_choose(member=member, at=timezone.now())
            except Refused:
                digest_end(member=member)  # the address it went to is gone
        else:
            digest_end(member=member)
    told = {"yard_name": member.yard.name, "chosen": digest_chosen(member), "token": token}
    return sealed(render(request, "web/owner/digest.html", told))


__all__ = ["calendar", "digest"]
