"""Where the office judged otherwise than the rules: how often, which way, and why."""

from __future__ import annotations

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from inspections.selectors.overrulings import overrulings_report
from web.base.members import MemberRequest, for_managers
from web.base.pages import page


@require_safe
@for_managers
def overrulings(request: MemberRequest) -> HttpResponse:
    return page(
        request, "overrulings.html", {"here": "overrulings", "versions": overrulings_report(request.member.yard)}
    )


__all__ = ["overrulings"]
