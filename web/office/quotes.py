"""The list of quotes: which are out, whose turn it is, and since when."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Final

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from web.base import downloads
from web.base.members import MemberRequest, for_members
from web.base.pages import page
from web.office.quotes_asked import Asked, asked_of
from workshop.models import Quote
from workshop.models.quotes import QuoteState
from workshop.selectors.quotes import (
    DAYS_OF_SOON,
    ORDERS,
    SHOWS,
    Narrowed,
    QuoteRow,
    quote_rows,
    quotes_counted,
    quotes_narrowed,
)
from yard.models import Yard
from yard.selectors import boats_named, today_at

ROWS_A_PAGE: Final = 50
ROWS_AT_ONCE: Final = 200
HEAD: Final = (
    "number", "boat", "decider", "season", "state", "drawn_up_on", "sent_on", "waits_for", "waits_since",
    "open_until", "ended_on", "jobs", "decided", "questions_unanswered", "net", "gross", "currency",
)  # fmt: skip


@require_safe
@for_members
def quotes(request: MemberRequest) -> HttpResponse:
    """Every quote; the address narrows and sorts them."""
    yard = request.member.yard
    today = today_at(yard, timezone.now())
    boats, years = boats_named(yard, Quote), _years(yard)
    asked = asked_of(request.GET, boats, years)
    counted = quotes_counted(yard)
    sheet = Paginator(asked.rows(counted, today), ROWS_A_PAGE).get_page(request.GET.get("page"))
    return page(
        request,
        "quotes.html",
        {
            "here": "quotes",
            "asked": asked,
            "sheet": sheet,
            "rows": quote_rows(yard, list(sheet), today),
            "shows": [
                (key, told, quotes_narrowed(counted, Narrowed(show=key), today).count())
                for key, told in SHOWS.items()
            ],
            "soon": today + timedelta(days=DAYS_OF_SOON),
            "any": bool(boats),
            "boats": boats,
            "years": years,
            "states": QuoteState.choices,
            "orders": [(key, told) for key, (told, _) in ORDERS.items()],
        },
    )


@require_safe
@for_members
def spreadsheet(request: MemberRequest) -> HttpResponse:
    """What the address asks for, as CSV."""
    yard = request.member.yard
    today = today_at(yard, timezone.now())
    asked = asked_of(request.GET, boats_named(yard, Quote), _years(yard))
    cells = (_cells(row, yard) for row in _all_rows(yard, asked, today))
    return downloads.spreadsheet(HEAD, cells, f"quotes-{today.isoformat()}.csv")


def _all_rows(yard: Yard, asked: Asked, today: date) -> Iterable[QuoteRow]:
    rows = asked.rows(quotes_counted(yard), today)
    for start in range(0, rows.count(), ROWS_AT_ONCE):
        yield from quote_rows(yard, list(rows[start : start + ROWS_AT_ONCE]), today)


def _cells(row: QuoteRow, yard: Yard) -> tuple[str, ...]:
    quote, totals = row.quote, row.totals
    return (
        str(quote.number),
        quote.boat.name,
        row.decider,
        str(quote.inspection.season_year),
        quote.get_state_display(),
        downloads.day_cell(quote.created_at, yard),
        downloads.day_cell(quote.sent_at, yard),
        row.waits_for,
        downloads.day_cell(quote.waits_since, yard),
        quote.valid_until.isoformat(),
        downloads.day_cell(quote.ended_at, yard),
        str(quote.jobs),
        str(quote.decided),
        str(quote.questions),
        "" if totals is None else str(totals.net),
        "" if totals is None else str(totals.gross),
        quote.currency,
    )


def _years(yard: Yard) -> list[int]:
    years = Quote.objects.of_yard(yard).order_by().values_list("inspection__season_year", flat=True)
    return sorted(set(years.distinct()), reverse=True)


__all__ = ["quotes", "spreadsheet"]
