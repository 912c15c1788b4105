"""What others ask the ground floor."""

from __future__ import annotations

from datetime import date, datetime

from django.db.models import Q

from yard.models import Member, Season, Yard
from yard.refusals import Refused
from yard.working_days import WorkingCalendar


def today_at(yard: Yard, now: datetime) -> date:
    """The day it is at the yard at this moment."""
    return now.astimezone(yard.zone).date()


def season_of(yard: Yard, on_date: date) -> Season:
    """The season that a day belongs to: from the day after one lay-up to the next lay-up.

    Raises:
        Refused: no season that ends on this day or later has been entered.
    """
    season: Season | None = Season.objects.of_yard(yard).filter(layup_on__gte=on_date).order_by("layup_on").first()
    if season is None:
        raise Refused(
            "season",
            f"none has been entered that {on_date.isoformat()} could belong to",
            "enter the season with its launch and lay-up days first",
        )
    return season


def working_calendar_of(yard: Yard) -> WorkingCalendar:
    """The yard's working week, public holidays and own closed days."""
    return WorkingCalendar(
        working_weekdays=frozenset(yard.working_weekdays),
        own_holidays=frozenset(date.fromisoformat(day) for day in yard.own_holidays),
        holiday_country=yard.holiday_country,
        holiday_subdivision=yard.holiday_subdivision,
    )


def members_at_work(yard: Yard, now: datetime) -> list[Member]:
    """Who works at the yard today, by name."""
    today = today_at(yard, now)
    still_here = Q(left_on=None) | Q(left_on__gt=today)
    return list(Member.objects.of_yard(yard).filter(still_here, user__is_active=True).order_by("name", "pk"))
