"""Weeks as a yard speaks of them: from Monday, counted to the launch. Pure."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

_CODE: Final = re.compile(r"(\d{4})-W(\d{2})", re.ASCII)


@dataclass(frozen=True, slots=True, order=True)
class Week:
    """A week by ISO 8601, named by its Monday."""

    monday: date

    @property
    def code(self) -> str:
        """2027-W17, as ISO 8601 writes it."""
        year, number, _ = self.monday.isocalendar()
        return f"{year:04d}-W{number:02d}"

    @property
    def number(self) -> int:
        return self.monday.isocalendar().week

    @property
    def sunday(self) -> date:
        return self.monday + timedelta(days=6)

    def away(self, days: int) -> Week:
        """The week that lies some days before or after.

        Raises:
            OverflowError: the calendar ends before.
        """
        return Week(self.monday + timedelta(days=days))

    def told_from(self, today: date) -> str:
        """How far away it is: this week, in 3 weeks, 2 weeks ago."""
        away = (self.monday - week_of(today).monday).days // 7
        match away:
            case 0:
                return "this week"
            case 1:
                return "next week"
            case -1:
                return "last week"
            case _ if away > 0:
                return f"in {away} weeks"
            case _:
                return f"{-away} weeks ago"


def week_of(day: date) -> Week:
    """The week that a day lies in."""
    return Week(day - timedelta(days=day.weekday()))


def week_read(code: str) -> Week | None:
    """The week of an ISO 8601 code, or None where it is none."""
    found = _CODE.fullmatch(code)
    if found is None:
        return None
    year, number = int(found[1]), int(found[2])
    try:
        # the calendar's very last week has no Sunday
        date.fromisocalendar(year, number, 7)
        return Week(date.fromisocalendar(year, number, 1))
    except ValueError:
        return None


def days_overdue(due_on: date, today: date) -> str:
    """How a day stands to today: 11 days overdue, today, in 3 days; further off in weeks, then in months."""
    away = (due_on - today).days
    if away == 0:
        return "today"
    if away == 1:
        return "tomorrow"
    return f"{_spell(-away)} overdue" if away < 0 else f"in {_spell(away)}"


def _spell(days: int) -> str:
    if days <= 21:
        return f"{days} day{'' if days == 1 else 's'}"
    if days <= 120:
        return f"{round(days / 7)} weeks"
    return f"{round(days / 30.44)} months"


__all__ = ["Week", "days_overdue", "week_of", "week_read"]
