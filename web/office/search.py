"""One box for everything: a boat, an owner, a tag, a part, or words that somebody wrote of a finding."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from django.core.paginator import Page, Paginator
from django.http import HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from inspections.judgement.vocabulary import Priority
from inspections.selectors.searching import Found, found_for
from web.base import downloads
from web.base.asking import query_without, text_asked, word_asked
from web.base.members import MemberRequest, for_members
from web.base.pages import page
from workshop.report.words import tag_text
from workshop.services.quote_words import place_of
from yard.models import Yard
from yard.selectors import today_at

ROWS_A_PAGE: Final = 50
# By what the address calls them.
KINDS: Final = {"boats": "boat", "owners": "owner", "components": "part", "spots": "spot", "findings": "finding"}
HEAD: Final = ("what", "boat", "name", "told", "day")


@require_safe
@for_members
def search(request: MemberRequest) -> HttpResponse:
    """What fits the words of `q`: the first of each kind, or page by page all of the `kind` that is asked for."""
    found, text = _found(request)
    kind = word_asked(request.GET, "kind", KINDS) if found is not None else ""
    rows: dict[str, Any] = {name: getattr(found, name).rows for name in KINDS} if found is not None else {}
    sheet: Page[Any] | None = None
    if kind:
        sheet = Paginator(getattr(found, kind).every, ROWS_A_PAGE).get_page(request.GET.get("page"))
        rows = {kind: sheet}
    told = {"text": text, "found": found, "kind": kind, "rows": rows, "sheet": sheet}
    return page(request, "search.html", {"here": "search", "query": query_without(request.GET, "page"), **told})


@require_safe
@for_members
def spreadsheet(request: MemberRequest) -> HttpResponse:
    """All that fits, or all of the kind that is asked for, as CSV."""
    yard = request.member.yard
    found, _ = _found(request)
    kind = word_asked(request.GET, "kind", KINDS)
    cells = _cells(found, [kind] if kind else list(KINDS), yard) if found is not None else iter(())
    return downloads.spreadsheet(HEAD, cells, f"search-{today_at(yard, timezone.now()).isoformat()}.csv")


def _found(request: MemberRequest) -> tuple[Found | None, str]:
    member, text = request.member, text_asked(request.GET, "q")
    return found_for(member.yard, text, with_owners=member.is_manager), text


def _cells(found: Found, kinds: list[str], yard: Yard) -> Iterator[tuple[str, ...]]:
    for kind in kinds:
        for row in getattr(found, kind).every:
            yield KINDS[kind], *_told(kind, row, yard)


def _told(kind: str, row: Any, yard: Yard) -> tuple[str, str, str, str]:
    """Boat, name, what is told of it, and its day."""
    if kind == "boats":
        return row.name, row.name, row.get_build_display(), "" if row.left_on is None else row.left_on.isoformat()
    if kind == "owners":
        return "; ".join(boat.name for boat in row.boats.all()), row.name, row.email, ""
    if kind == "components":
        day = "" if row.removed_on is None else row.removed_on.isoformat()
        return row.boat.name, str(row), row.component_class.name, day
    if kind == "spots":
        name = f"{row.name} on {row.component}"
        return row.component.boat.name, name, tag_text(row.tag), downloads.day_cell(row.created_at, yard)
    priority = row.standing_priority
    told = "not judged yet" if priority is None else str(Priority(priority).label)
    place = place_of(row.component, row.entry.elsewhere, row.spot)
    return row.boat.name, place, f"{told}, {row.get_state_display()}", downloads.day_cell(row.found_at, yard)


__all__ = ["search", "spreadsheet"]
