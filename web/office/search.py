"""One box for everything: a boat, an owner, a tag, a part, or words that somebody wrote of a finding."""

from __future__ import annotations

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from inspections.selectors.searching import found_for
from web.base.asking import text_asked
from web.base.members import MemberRequest, for_members
from web.base.pages import page


@require_safe
@for_members
def search(request: MemberRequest) -> HttpResponse:
    """What fits the words of `q`."""
    member = request.member
    text = text_asked(request.GET, "q")
    found = found_for(member.yard, text, with_owners=member.is_manager)
    return page(request, "search.html", {"here": "search", "text": text, "found": found})


__all__ = ["search"]
