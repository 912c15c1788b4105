"""Findings beside each other, to be joined where they are one sign seen twice."""

from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse, HttpResponseRedirect, QueryDict
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from inspections.models import Finding
from web.base.members import MemberRequest, for_managers
from web.base.pages import page
from web.office.entry_views import entry_views
from web.office.findings import ticked_findings
from workshop.services.doubles import doubles_join
from workshop.services.quote_words import place_of
from workshop.services.standing import standing_of
from yard.refusals import Refused

MOST = 6


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def doubles(request: MemberRequest) -> HttpResponse:
    """Compare the findings that the address names; POST joins them to the one that is kept."""
    if request.method != "POST":
        return _shown(request, request.GET)
    given = request.POST
    findings = ticked_findings(request.member.yard, given)
    kept = next((finding for finding in findings if str(finding.pk) == given.get("keep")), None)
    try:
        _refuse_number(findings)
        if kept is None:
            raise Refused("keep", "none is chosen", "say which finding is kept")
        with transaction.atomic():
            for finding in findings:
                if finding.pk != kept.pk:
                    doubles_join(
                        joined=finding,
                        kept=kept,
                        reason=given.get("reason", ""),
                        by=request.member,
                        at=timezone.now(),
                    )
    except Refused as refusal:
        return _shown(request, given, refused=refusal)
    messages.success(request, "Joined: this finding speaks for both now. It can be undone below.")
    return HttpResponseRedirect(reverse("web:finding", args=[kept.pk]))


def _refuse_number(findings: list[Finding]) -> None:
    if not 2 <= len(findings) <= MOST:
        raise Refused("findings", f"{len(findings)} are named", f"tick two to {MOST} of them in the list")


def _shown(request: MemberRequest, given: QueryDict, *, refused: Refused | None = None) -> HttpResponse:
    yard = request.member.yard
    findings = ticked_findings(yard, given)[:MOST]
    if refused is None and findings:
        try:
            _refuse_number(findings)
        except Refused as refusal:
            refused = refusal
    places = [place_of(finding.component, finding.entry.elsewhere, finding.spot) for finding in findings]
    seen = entry_views(yard, zip(places, (finding.entry for finding in findings), strict=True))
    standing = standing_of(findings)
    # The latest look is kept unless somebody says otherwise.
    keep = given.get("keep") or (str(findings[-1].pk) if findings else "")
    return page(
        request,
        "doubles.html",
        {
            "here": "findings",
            "pairs": [
                (finding, place, view, standing.get(finding.pk))
                for finding, place, view in zip(findings, places, seen, strict=True)
            ],
            "keep": keep,
            "reason": given.get("reason", ""),
        },
        refused=refused,
    )


__all__ = ["doubles"]
