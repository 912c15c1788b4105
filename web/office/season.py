"""The season page: every boat by the week she is to go in, what blocks her, and whether the hours suffice."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal, InvalidOperation

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inspections.judgement.vocabulary import Priority
from inspections.selectors.arrivals import arrived_since
from web.base.downloads import CSV, download
from web.base.members import MemberRequest, for_managers, for_members
from web.base.pages import page
from web.office.season_asked import CLEAR, ORDERS, asked_of
from web.office.season_picture import picture_of
from web.office.season_table import Writer
from workshop.planning.way import Blocker, Stage
from workshop.report.season_sheet import season_csv
from workshop.selectors.season import SeasonBoat, season_boats, season_hours
from yard.models import OutboxRow, Season, Yard
from yard.refusals import Refused
from yard.selectors import today_at
from yard.services.changes import yard_change

# A season of three hundred boats is read in one go; only a much larger one has pages.
BOATS_A_PAGE = 500
HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Glance:
    """What is told of all boats of the season, however the table is narrowed.

    Attributes:
        stages: with the number of boats that have got so far and no further.
        waiting: quotes with their deciders; `longest` is the boat whose quote waits longest.
        due: the boat that is due back first.
    """

    stages: tuple[tuple[Stage, int], ...]
    waiting: int
    longest: SeasonBoat | None
    drafts: int
    not_seen: int
    not_seen_boats: int
    due: SeasonBoat | None
    overdue: int


@require_safe
@for_members
def season(request: MemberRequest, year: int | None = None) -> HttpResponse:
    """All boats of one season; the address narrows and sorts them."""
    return _shown(request, year)


@require_safe
@for_members
def spreadsheet(request: MemberRequest, year: int) -> HttpResponseBase:
    """The boats that are asked for, as CSV."""
    yard, now = request.member.yard, timezone.now()
    _, shown = _chosen(yard, year, now)
    if shown is None:
        raise Http404
    boats = asked_of(request.GET).boats(season_boats(yard, shown.year, at=now))
    today = today_at(yard, now)
    text = season_csv(boats, today)
    return download(text.encode(), CSV, f"season-{shown.year}-{today.isoformat()}.csv")


@require_POST
@for_managers
def set_hours(request: MemberRequest, year: int) -> HttpResponse:
    """State how many hours the yard works on boats in a week; an empty field says nothing of it."""
    _chosen(request.member.yard, year, timezone.now())
    typed = request.POST.get("hours_per_week", "").strip().replace(",", ".")
    try:
        try:
            hours = Decimal(typed) if typed else None
        except InvalidOperation:
            raise Refused("hours_per_week", "is not a number", "give hours like 152 or 37.5") from None
        yard_change(
            yard=request.member.yard, changes={"hours_per_week": hours}, by=request.member, at=timezone.now()
        )
    except Refused as refusal:
        return _shown(request, year, refused=refusal, typed_hours=request.POST.get("hours_per_week", ""))
    messages.success(request, "The yard's hours are noted.")
    return HttpResponseRedirect(f"{reverse('web:season-of', args=[year])}#hours")


def _shown(
    request: MemberRequest, year: int | None, *, refused: Refused | None = None, typed_hours: str | None = None
) -> HttpResponse:
    yard, now = request.member.yard, timezone.now()
    today = today_at(yard, now)
    seasons, shown = _chosen(yard, year, now)
    if shown is None:
        return page(request, "season_empty.html", {"here": "season"})
    everything = season_boats(yard, shown.year, at=now)
    asked = asked_of(request.GET)
    boats = asked.boats(everything)
    sheet = Paginator(boats, BOATS_A_PAGE).get_page(request.GET.get("page"))
    writer = Writer(yard, today)
    arrived = arrived_since(yard, now - HOUR)
    plan = season_hours(yard, everything, at=now)
    given_up = (
        OutboxRow.objects.filter(yard=yard, failed_at__isnull=False).count() if request.member.is_manager else 0
    )
    return page(
        request,
        "season.html",
        {
            "here": "season",
            "season": shown,
            "seasons": seasons,
            "glance": _glance(everything, today),
            "arrived": arrived,
            "arrived_entries": sum(each.entries for each in arrived),
            "plan": plan,
            "typed_hours": typed_hours,
            "picture": picture_of(plan),
            "asked": asked,
            "sheet": sheet,
            "weeks": writer.weeks(sheet) if asked.by_week else [writer.in_order(sheet)],
            "totals": writer.totals(boats),
            "week_choices": sorted({boat.week for boat in everything if boat.week is not None}),
            "priorities": list(Priority),
            "stages": list(Stage),
            "blockers": list(Blocker),
            "clear": CLEAR,
            "orders": [(key, told) for key, (told, _) in ORDERS.items()],
            "boats_in_all": len(everything),
            "given_up": given_up,
        },
        refused=refused,
    )


def _chosen(yard: Yard, year: int | None, now: datetime) -> tuple[list[Season], Season | None]:
    """The yard's seasons, and the one asked for; otherwise this year's, or the nearest to come, or the last."""
    seasons = list(Season.objects.of_yard(yard).order_by("year"))
    if year is not None:
        for each in seasons:
            if each.year == year:
                return seasons, each
        raise Http404
    coming = [each for each in seasons if each.year >= today_at(yard, now).year]
    return seasons, next(iter(coming or seasons[-1:]), None)


def _glance(boats: list[SeasonBoat], today: date) -> Glance:
    stages = Counter(boat.stage for boat in boats)
    kinds = Counter(block.kind for boat in boats for block in boat.blocks)
    waiting = [boat for boat in boats if boat.waiting_since is not None]
    due = [boat for boat in boats if boat.row.due_back_on is not None]
    return Glance(
        stages=tuple((stage, stages[stage]) for stage in Stage),
        waiting=kinds[Blocker.DECISION],
        longest=min(waiting, key=lambda boat: boat.waiting_since or date.max, default=None),
        drafts=kinds[Blocker.QUOTE],
        not_seen=sum(boat.row.not_seen for boat in boats),
        not_seen_boats=sum(boat.row.not_seen > 0 for boat in boats),
        due=min(due, key=lambda boat: boat.row.due_back_on or date.max, default=None),
        overdue=sum(boat.row.due_back_on < today for boat in due if boat.row.due_back_on is not None),
    )


__all__ = ["season", "set_hours", "spreadsheet"]
