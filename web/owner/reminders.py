"""Where a decider ends the reminders, on the page or by one click in a mail program (RFC 8058)."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils import timezone, translation
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from web.base.addresses import caller_of
from web.base.rates import rate_of
from web.owner.gate import closed, sealed, too_many
from web.owner.language import reader_of
from workshop.services.reminders import reminders_resume, reminders_stop, reminders_stopped, stop_find
from yard.refusals import Refused


# The address is the key, as with the quote's own page. A mail program posts to it without having seen the page, and
# is answered without being led on, as RFC 8058, 3.1 and 3.2, asks.
@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
def reminders(request: HttpRequest, token: str) -> HttpResponseBase:
    """Show whether reminders are sent; a POST ends them, or with `again` begins them anew."""
    rate = rate_of("owner_link")
    if not rate.allows(caller_of(request)):
        return sealed(too_many(request, rate))
    try:
        decider = stop_find(token)
    except Refused:
        return sealed(closed(request, "wrong"))
    if request.method == "POST":
        if request.POST.get("again") == "yes":
            reminders_resume(decider=decider)
        else:
            reminders_stop(decider=decider, at=timezone.now())
    reader = reader_of(request, decider, decider.yard)
    with translation.override(reader.language):
        page: HttpResponse = render(
            request,
            "web/owner/reminders.html",
            {
                "yard_name": decider.yard.name,
                "stopped": reminders_stopped(decider),
                "token": token,
                "reader": reader,
                "tag": reader.tag,
            },
        )
    return sealed(page)


__all__ = ["reminders"]
