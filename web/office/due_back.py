"""The due-back book: by when somebody must be back at each place, and what for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.db.models.functions import TruncMonth
from django.http import HttpResponse, HttpResponseBase
from django.utils import timezone
from django.views.decorators.http import require_safe

from inspections.judgement.vocabulary import DueBackKind
from inspections.models import DueBack
from inspections.selectors.due_backs import due_back_book
from web.base.downloads import CSV, download
from web.base.members import MemberRequest, for_members
from web.base.pages import page
from web.office.due_back_asked import ORDERS, Asked, asked_of, month_end
from workshop.report.due_sheet import book_csv, month_render, month_sheet
from workshop.services.due_words import LINE_READS, BookLine, book_lines, told_together
from yard.models import Boat, Yard
from yard.refusals import Refused
from yard.selectors import today_at

LINES_A_PAGE = 100
# Some twenty-five sheets of paper, and a few seconds; what is longer is no sheet to tick off any more.
LINES_PRINTED = 600


@dataclass(frozen=True, slots=True)
class BookPart:
    """Lines that stand together: those of a month, of a boat, of a purpose, or all that are overdue."""

    first: date | None
    title: str
    lines: tuple[BookLine, ...]


@require_safe
@for_members
def due_back(request: MemberRequest) -> HttpResponse:
    """The open lines; the address narrows and sorts them."""
    return _shown(request)


def _shown(request: MemberRequest, refused: Refused | None = None) -> HttpResponse:
    yard = request.member.yard
    today = today_at(yard, timezone.now())
    book, boats = _book(yard)
    asked = asked_of(request.GET, boats)
    lines = asked.lines(book, today)
    sheet = Paginator(lines, LINES_A_PAGE).get_page(request.GET.get("page"))
    months = book.order_by().annotate(first=TruncMonth("due_on")).values_list("first", flat=True).distinct()
    return page(
        request,
        "due_back.html",
        {
            "here": "due-back",
            "parts": book_parts(told_together(book_lines(sheet, today)), asked.order),
            "sheet": sheet,
            "overdue": lines.filter(due_on__lt=today).count(),
            "boats": boats,
            "asked": asked,
            "kinds": list(DueBackKind),
            "months": sorted({*months, *([asked.month] if asked.month else [])}),
            "print_month": asked.month or today.replace(day=1),
            "orders": [(key, told) for key, (told, _) in ORDERS.items()],
        },
        refused=asked.refused or refused,
    )


@require_safe
@for_members
def spreadsheet(request: MemberRequest) -> HttpResponseBase:
    """Every line that is asked for, as CSV."""
    yard = request.member.yard
    today = today_at(yard, timezone.now())
    book, boats = _book(yard)
    asked = asked_of(request.GET, boats)
    if asked.refused is not None:
        return _shown(request)
    text = book_csv(book_lines(asked.lines(book, today).select_related("yard", *LINE_READS), today))
    return download(text.encode(), CSV, f"due-back-{today.isoformat()}.csv")


@require_safe
@for_members
def month(request: MemberRequest) -> HttpResponseBase:
    """One month on paper: the one that is asked for, or the running one with what is overdue from before."""
    yard = request.member.yard
    today = today_at(yard, timezone.now())
    book, boats = _book(yard)
    asked = asked_of(request.GET, boats)
    if asked.refused is not None:
        return _shown(request)
    first = asked.month or today.replace(day=1)
    fitting = _whole(asked).lines(book, today)
    earlier = fitting.filter(due_on__lt=first) if first == today.replace(day=1) else fitting.none()
    before = book_lines(earlier, today)
    lines = book_lines(fitting.filter(due_on__range=(first, month_end(first))), today)
    if len(before) + len(lines) > LINES_PRINTED:
        much = f"has {len(before) + len(lines)} lines, more than the {LINES_PRINTED} that are printed at once"
        return _shown(
            request, Refused("month", much, "narrow it by boat, purpose or words, or take the spreadsheet")
        )
    sheet = month_sheet(
        before,
        lines,
        yard,
        first=first,
        on_date=today,
        narrowed=asked.told,
    )
    return download(month_render(sheet).pdf, "application/pdf", f"due-back-{first:%Y-%m}.pdf")


def _book(yard: Yard) -> tuple[QuerySet[DueBack], list[Boat]]:
    """The book and the boats that stand in it."""
    book = due_back_book(yard)
    return book, list(Boat.objects.of_yard(yard).filter(pk__in=book.order_by().values("boat")))


def _whole(asked: Asked) -> Asked:
    """The same without its days, by the day: the sheet has days of its own."""
    return replace(asked, overdue=False, until=None, month=None, order="day")


def book_parts(lines: Iterable[BookLine], order: str) -> list[BookPart]:
    """Lines that follow each other, under what they have in common in that order."""
    parts: dict[tuple[date | None, str], list[BookLine]] = {}
    for line in lines:
        if order == "boat":
            key: tuple[date | None, str] = (None, line.boat)
        elif order == "kind":
            key = (None, line.kind.capitalize())
        elif line.overdue:
            key = (None, "Overdue")
        else:
            key = (line.due.due_on.replace(day=1), "")
        parts.setdefault(key, []).append(line)
    return [BookPart(first, title, tuple(inside)) for (first, title), inside in parts.items()]


__all__ = ["BookPart", "book_parts", "due_back", "month", "spreadsheet"]
