"""Which days a yard works, and counting in them. Pure: the day of today is never read here."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from typing import Literal

import holidays

from yard.refusals import Refused

ONE_DAY = timedelta(days=1)
MONDAY_TO_FRIDAY = frozenset(range(5))

# A yard that does not work for longer than this has a calendar entered wrongly.
LONGEST_CLOSURE_DAYS = 400

Roll = Literal["forward", "backward"]


@lru_cache(maxsize=4096)
def public_holidays(country: str, subdivision: str, year: int) -> frozenset[date]:
    """The public holidays of a country, or of a part of it, in one year.

    Args:
        country: ISO 3166-1 alpha-2 code, empty for none.
        subdivision: ISO 3166-2 part without the country, empty for the whole country.
        year: calendar year, 1 to 9999.

    Raises:
        Refused: the country or its part is not known.

    Source: the library `holidays`, which names the law of each country.
    """
    if not country:
        return frozenset()
    try:
        return frozenset(holidays.country_holidays(country, subdiv=subdivision or None, years=year))
    except NotImplementedError as unknown:
        known = holidays.list_supported_countries()
        if country not in known:
            raise Refused(
                "holiday_country",
                f"no holidays are known for {country!r}",
                "give an ISO 3166 code such as NO or PT, or leave it empty and list the days the yard is closed",
            ) from unknown
        parts = ", ".join(known[country]) or "none"
        raise Refused(
            "holiday_subdivision",
            f"{subdivision!r} is no part of {country} that holidays are known for",
            f"leave it empty or give one of: {parts}",
        ) from unknown


@dataclass(frozen=True, slots=True)
class WorkingCalendar:
    """The working week of a yard, less public holidays and its own closed days.

    Args:
        working_weekdays: 0 is Monday, 6 Sunday; at least one.
        own_holidays: days the yard is closed besides.
        holiday_country: ISO 3166-1 alpha-2 code; empty means that no public holiday is kept.
        holiday_subdivision: ISO 3166-2 part without the country; empty for the whole country.

    Raises:
        Refused: a weekday outside 0 to 6, no weekday at all, an unknown country or part of it.
    """

    working_weekdays: frozenset[int] = MONDAY_TO_FRIDAY
    own_holidays: frozenset[date] = frozenset()
    holiday_country: str = ""
    holiday_subdivision: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "working_weekdays", frozenset(self.working_weekdays))
        object.__setattr__(self, "own_holidays", frozenset(self.own_holidays))
        if not self.working_weekdays:
            raise Refused("working_weekdays", "no day of the week is worked", "give at least one, 0 for Monday")
        if not self.working_weekdays <= set(range(7)):
            raise Refused(
                "working_weekdays",
                f"{sorted(self.working_weekdays)} are no days of the week",
                "give numbers from 0 (Monday) to 6 (Sunday)",
            )
        public_holidays(self.holiday_country, self.holiday_subdivision, 2000)

    def holidays_in(self, years: Iterable[int]) -> frozenset[date]:
        """Public holidays and the yard's own closed days in these years, weekends among them."""
        wanted = set(years)
        public = (public_holidays(self.holiday_country, self.holiday_subdivision, year) for year in wanted)
        return frozenset(day for day in self.own_holidays if day.year in wanted).union(*public)

    def is_working(self, day: date) -> bool:
        """Whether the yard works on this day."""
        return (
            day.weekday() in self.working_weekdays
            and day not in self.own_holidays
            and day not in public_holidays(self.holiday_country, self.holiday_subdivision, day.year)
        )

    def next_working_on_or_after(self, day: date) -> date:
        """This day if it is worked, otherwise the first worked day after it."""
        return self._first_working(day, ONE_DAY)

    def previous_working_on_or_before(self, day: date) -> date:
        """This day if it is worked, otherwise the last worked day before it."""
        return self._first_working(day, -ONE_DAY)

    def add_working_days(self, start: date, count: int, *, roll: Roll = "forward") -> date:
        """The working day `count` working days after `start` (before it where `count` is negative).

        A start that is not worked is first moved forward or backward to one that is; 0 does only that.
        """
        if roll == "forward":
            day = self.next_working_on_or_after(start)
        else:
            day = self.previous_working_on_or_before(start)
        step = ONE_DAY if count > 0 else -ONE_DAY
        for _ in range(abs(count)):
            day = self._first_working(day + step, step)
        return day

    def working_days_between(self, start: date, end: date) -> int:
        """Working days from `start` up to but without `end`.

        With `end` before `start` the count is negative and takes the days after `end` up to and with `start`.
        """
        if end < start:
            return -self.working_days_between(end + ONE_DAY, start + ONE_DAY)
        return sum(self.is_working(start + timedelta(days=days)) for days in range((end - start).days))

    def elapsed_wait_then_next_workday(self, start: date, days: int) -> date:
        """When work can go on after a wait that runs on through nights and holidays, such as a glue's cure.

        Args:
            start: the day the wait begins.
            days: calendar days to wait, 0 or more.

        Raises:
            Refused: a negative wait.
        """
        if days < 0:
            raise Refused("days", f"a wait of {days} days lies in the past", "give 0 or more days")
        return self.next_working_on_or_after(start + timedelta(days=days))

    def _first_working(self, day: date, step: timedelta) -> date:
        candidate = day
        for _ in range(LONGEST_CLOSURE_DAYS):
            if self.is_working(candidate):
                return candidate
            candidate += step
        raise Refused(
            "own_holidays",
            f"no working day within {LONGEST_CLOSURE_DAYS} days of {day.isoformat()}",
            "check the working days of the week and the closed days of the yard",
        )


__all__ = ["MONDAY_TO_FRIDAY", "Roll", "WorkingCalendar", "public_holidays"]
