"""The due-back book: by when somebody must be back at each place, and what for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from inspections.judgement.vocabulary import DueBackKind
from inspections.models import DueBack
from inspections.selectors.due_backs import due_back_book
from web.base.members import MemberRequest, for_members
from web.base.pages import page
from workshop.services.quote_words import place_of
from yard.models import Boat
from yard.selectors import today_at
from yard.weeks import days_overdue

LINES_A_PAGE = 100


@dataclass(frozen=True, slots=True)
class BookLine:
    """A line of the book as it is shown."""

    due: DueBack
    place: str
    question: str
    told: str
    overdue: bool


@dataclass(frozen=True, slots=True)
class BookMonth:
    """The lines of one month, or all that are overdue."""

    first: date | None
    lines: tuple[BookLine, ...]


@require_safe
@for_members
def due_back(request: MemberRequest) -> HttpResponse:
    """Every open line by day; `boat` and `kind` narrow it."""
    yard = request.member.yard
    today = today_at(yard, timezone.now())
    book = due_back_book(yard)
    boats = list(Boat.objects.of_yard(yard).filter(pk__in=book.order_by().values("boat")))
    boat = next((each for each in boats if str(each.pk) == request.GET.get("boat")), None)
    kind = request.GET.get("kind", "")
    lines = book.select_related("finding__entry__answers", "entry__answers", "surface")
    if boat is not None:
        lines = lines.filter(boat=boat)
    if kind in list(DueBackKind):
        lines = lines.filter(kind=kind)
    sheet = Paginator(lines, LINES_A_PAGE).get_page(request.GET.get("page"))
    return page(
        request,
        "due_back.html",
        {
            "here": "due-back",
            "months": book_months((book_line(line, today) for line in sheet), today),
            "sheet": sheet,
            "overdue": lines.filter(due_on__lt=today).count(),
            "boats": boats,
            "boat": boat,
            "kinds": list(DueBackKind),
            "kind": kind if kind in list(DueBackKind) else "",
        },
    )


def book_line(line: DueBack, today: date) -> BookLine:
    """A line with its place in words and how its day stands to today."""
    entry = line.finding.entry if line.finding is not None else line.entry
    check = entry.answers if entry is not None else None
    question = check.prompt if check is not None else ""
    elsewhere = entry.elsewhere if entry is not None else ""
    place = line.surface.name if line.surface is not None else place_of(line.component, elsewhere, line.spot)
    return BookLine(line, place, question, days_overdue(line.due_on, today), line.due_on < today)


def book_months(lines: Iterable[BookLine], today: date) -> list[BookMonth]:
    """What is overdue first, then month by month."""
    months: dict[date | None, list[BookLine]] = {}
    for line in lines:
        first = None if line.overdue else line.due.due_on.replace(day=1)
        months.setdefault(first, []).append(line)
    return [BookMonth(first, tuple(inside)) for first, inside in months.items()]


__all__ = ["BookLine", "BookMonth", "book_line", "book_months", "due_back"]
