"""Work in the background: what waits, what gave up, and sending it again."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Min
from django.http import Http404, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from web.base import downloads
from web.base.members import MemberRequest, for_managers
from web.base.pages import back_to_list, page
from web.office.outbox_asked import IN_WORDS, ORDERS, SHOWS, OutboxLine, asked_of, in_words, shown_rows
from yard.models import OutboxRow, Yard
from yard.outbox import send_again
from yard.refusals import Refused
from yard.selectors import today_at

ROWS_A_PAGE: Final = 50
HEAD: Final = ("what", "to", "at", "tries", "why")


@require_safe
@for_managers
def outbox(request: MemberRequest) -> HttpResponse:
    """What gave up, is tried again, or was refused; the address narrows and sorts it."""
    return _shown(request)


@require_safe
@for_managers
def spreadsheet(request: MemberRequest) -> HttpResponse:
    """What the address asks for, as CSV."""
    yard = request.member.yard
    asked = asked_of(request.GET)
    lines: Iterable[OutboxLine] = asked.lines(asked.rows(yard))
    name = f"outbox-{today_at(yard, timezone.now()).isoformat()}.csv"
    return downloads.spreadsheet(HEAD, (_cells(line, yard) for line in lines), name)


@require_POST
@for_managers
def again(request: MemberRequest, pk: int) -> HttpResponse:
    """Give a piece of work all its tries again."""
    row = OutboxRow.objects.filter(yard=request.member.yard, pk=pk).first()
    if row is None:
        raise Http404
    try:
        send_again(row, at=timezone.now())
    except Refused as refusal:
        return _shown(request, refused=refusal)
    messages.success(request, f"{in_words(row)}: it is tried again.")
    return back_to_list(request, "web:outbox")


def _cells(line: OutboxLine, yard: Yard) -> tuple[str, ...]:
    tries = "" if line.tries is None else str(line.tries)
    return line.told, line.to, downloads.moment_cell(line.at, yard), tries, line.why


def _shown(request: MemberRequest, *, refused: Refused | None = None) -> HttpResponse:
    yard = request.member.yard
    asked = asked_of(request.GET)
    sheet = Paginator(asked.rows(yard), ROWS_A_PAGE).get_page(request.GET.get("page"))
    due = OutboxRow.objects.filter(yard=yard).open().filter(not_before__lte=timezone.now())
    return page(
        request,
        "outbox.html",
        {
            "here": "outbox",
            "asked": asked,
            "sheet": sheet,
            "lines": asked.lines(sheet),
            "waiting": due.count(),
            "oldest": due.aggregate(first=Min("created_at"))["first"],
            "shows": [(key, told, shown_rows(yard, key).count()) for key, (told, _) in SHOWS.items()],
            "tasks": list(IN_WORDS.items()),
            "orders": list(ORDERS.items()),
        },
        refused=refused,
    )


__all__ = ["again", "outbox", "spreadsheet"]
