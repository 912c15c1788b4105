"""Opening the page, answering a question, and the pictures and the report that belong to it."""

from __future__ import annotations

from typing import Any, Final

from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from inspections.models import Photo
from web.base.addresses import address_of
from web.base.drawings import drawing_of, drawing_response, ground_at
from web.base.pages import UNPROCESSABLE
from web.base.photos import photo_response
from web.owner.gate import HolderRequest, for_holders
from web.owner.questions import Asked, asked_of
from workshop.models import Report
from workshop.models.quotes import Quote, Verdict
from workshop.services.decisions import AlreadyDecided, choice_decline, decision_make
from workshop.services.links import link_opened
from workshop.services.quotes import quote_document
from yard.refusals import Refused
from yard.selectors import today_at

CONFLICT: Final = 409
# The answer to a choice of several ways that declines them all.
NONE_OF_THEM: Final = "none"
# The pictures stay on the phone for as long as somebody reads, not for the next one who holds it.
PICTURE_SECONDS: Final = 3600


@require_safe
@for_holders(counted=True)
def page(request: HolderRequest) -> HttpResponse:
    """Show the quote as it was sent. Whoever opens it changes nothing but the log of openings."""
    link_opened(
        link=request.link,
        at=timezone.now(),
        from_address=address_of(request),
        user_agent=request.headers.get("User-Agent", ""),
    )
    return _shown(request)


@for_holders(counted=True)
def answer(request: HolderRequest, line: int) -> HttpResponse:
    """Take down a yes, a no or a question, and lead on to the next question."""
    here = f"{reverse('web:owner-quote', args=[_token(request)])}{request.reader.wish}"
    if request.method != "POST":  # somebody came back to the address of an answer that was refused
        return HttpResponseRedirect(here)
    link, posted = request.link, request.POST
    found = link.quote.lines.filter(pk=line).select_related("option_group").first()
    if found is None:
        raise Http404
    verdict = posted.get("verdict", "")
    try:
        said: dict[str, Any] = {
            "digest": posted.get("digest", ""),
            "read": posted.get("read") == "yes",
            "along": [int(each) for each in posted.getlist("along") if each.isdecimal()],
            "at": timezone.now(),
            "owner": link.owner,
            "member": link.member,
            "from_address": address_of(request),
        }
        if verdict == NONE_OF_THEM and found.option_group is not None:
            choice_decline(group=found.option_group, **said)
        else:
            decision_make(line=found, verdict=verdict, question=posted.get("question", ""), **said)
    except AlreadyDecided as refusal:
        if refusal.decision.verdict != (Verdict.DECLINE if verdict == NONE_OF_THEM else verdict):
            return _shown(request, refused=refusal, line=line, status=CONFLICT)
        # the same answer twice is the same answer
    except Refused as refusal:
        return _shown(request, refused=refusal, line=line, status=UNPROCESSABLE)
    asked = _asked(request)
    if verdict == Verdict.ASK:
        section = asked.section_of(line)
        anchor = section.anchor if section is not None else "together"
    else:
        anchor = asked.next_open.anchor if asked.next_open is not None else "together"
    return HttpResponseRedirect(f"{here}#{anchor}")


@require_safe
@for_holders(counted=False)
def photo(request: HolderRequest, sha256: str, size: str) -> HttpResponseBase:
    """A picture that stands in this quote, and no other."""
    link = request.link
    named = {name for finding in quote_document(link.quote).findings for name in finding.photos}
    found = Photo.objects.of_yard(link.yard_id).filter(sha256=sha256).first() if sha256 in named else None
    if found is None or size == "full":
        raise Http404
    return photo_response(found, size, keep_seconds=PICTURE_SECONDS)


@require_safe
@for_holders(counted=False)
def drawing(request: HolderRequest, sha256: str) -> HttpResponseBase:
    """The yard's own drawing of this quote's boat, as it is now."""
    found = drawing_of(request.link.quote.boat_id)
    if found is None or found.sha256 != sha256:
        raise Http404
    return drawing_response(found, keep_seconds=PICTURE_SECONDS)


@require_safe
@for_holders(counted=True)
def report(request: HolderRequest) -> HttpResponseBase:
    """The PDF of this quote."""
    found = Report.objects.filter(quote=request.link.quote_id).first()
    if found is None:
        raise Http404
    response = FileResponse(found.file.open("rb"), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="report-{request.link.quote.number}.pdf"'
    return response


def _asked(request: HolderRequest) -> Asked:
    quote = request.link.quote
    her = drawing_of(quote.boat_id)
    ground = None
    if her is not None:
        ground = ground_at(reverse("web:owner-drawing", args=[_token(request), her.sha256]), her)
    return asked_of(quote, quote_document(quote), quote.digest, reader=request.reader, ground=ground)


def _shown(
    request: HolderRequest, *, refused: Refused | None = None, line: int | None = None, status: int = 200
) -> HttpResponse:
    quote, now = request.link.quote, timezone.now()
    quote.refresh_from_db(fields=["state", "ended_at"])
    may_answer = quote.state == Quote.State.SENT and today_at(quote.yard, now) <= quote.valid_until
    ran_out = quote.state == Quote.State.LAPSED or (quote.state == Quote.State.SENT and not may_answer)
    return render(
        request,
        "web/owner/quote.html",
        {
            "asked": _asked(request),
            "quote": quote,
            "yard": quote.yard,
            "token": _token(request),
            "reader": request.reader,
            "tag": request.reader.tag,
            "may_answer": may_answer,
            "ran_out": ran_out,
            "has_report": Report.objects.filter(quote=quote).exists(),
            "refused": refused,
            "refused_line": line,
            "typed": request.POST.get("question", "") if refused is not None else "",
        },
        status=status,
    )


def _token(request: HolderRequest) -> str:
    match = request.resolver_match
    assert match is not None  # it was found by its address
    return str(match.kwargs["token"])


__all__ = ["answer", "drawing", "page", "photo", "report"]
