"""The season page: every boat by the week she is to go in."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from inspections.judgement.vocabulary import Priority
from web.base.members import MemberRequest, for_members
from web.base.pages import page
from web.office.season_table import SeasonLine, season_lines, season_totals, season_weeks
from yard.models import OutboxRow, Season
from yard.selectors import today_at
from yard.weeks import Week, week_read


@require_safe
@for_members
def season(request: MemberRequest, year: int | None = None) -> HttpResponse:
    """All boats of one season; `week` and `priority` narrow it."""
    yard = request.member.yard
    today = today_at(yard, timezone.now())
    seasons = list(Season.objects.of_yard(yard).order_by("year"))
    shown = _chosen(seasons, year, today.year)
    if shown is None:
        return page(request, "season_empty.html", {"here": "season"})
    everything = season_lines(yard, shown.year)
    week = week_read(request.GET.get("week", ""))
    priority = request.GET.get("priority", "")
    lines = [line for line in everything if _fits(line, week, priority)]
    given_up = OutboxRow.objects.filter(yard=yard, failed_at__isnull=False).count()
    return page(
        request,
        "season.html",
        {
            "here": "season",
            "season": shown,
            "seasons": seasons,
            "weeks": season_weeks(lines, today),
            "totals": season_totals(lines),
            "week_choices": sorted({line.week for line in everything if line.week is not None}),
            "week": week,
            "priorities": list(Priority),
            "priority": priority if priority in list(Priority) else "",
            "boats_in_all": len(everything),
            "given_up": given_up if request.member.is_manager else 0,
        },
    )


def _chosen(seasons: list[Season], year: int | None, this_year: int) -> Season | None:
    """The season asked for; otherwise this year's, or the nearest to come, or the last."""
    if year is not None:
        for each in seasons:
            if each.year == year:
                return each
        raise Http404
    coming = [each for each in seasons if each.year >= this_year]
    return next(iter(coming or seasons[-1:]), None)


def _fits(line: SeasonLine, week: Week | None, priority: str) -> bool:
    return (week is None or line.week == week) and (
        priority not in list(Priority) or dict(line.findings)[priority] > 0
    )


__all__ = ["season"]
