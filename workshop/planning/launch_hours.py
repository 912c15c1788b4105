"""Whether the yard's hours suffice for what has to be done before the boats go in, week by week. Pure.

Work that is agreed and open is counted with the hours before which the yard would ask again: the 80 % figure of
each job (`workshop/estimating/hours.py`), less what is booked already. Added up over many jobs that is a cautious
figure, for they don't all go wrong together. What a boat needs must be done by the day before she goes in; so each
launch day is held against the hours from today until then, and a week is told by its tightest day.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from itertools import accumulate
from typing import Final

from yard.weeks import Week, week_of
from yard.working_days import WorkingCalendar

NONE: Final = Decimal(0)
CENT: Final = Decimal("0.01")
ONE_WEEK: Final = timedelta(days=7)
MOST_WEEKS: Final = 26
# Before the first launch so many weeks are drawn at most; the hours until then are counted all the same.
WEEKS_AHEAD: Final = 8


@dataclass(frozen=True, slots=True)
class BoatWork:
    """What is open on a boat, in hours [h], each 0 or more.

    Attributes:
        launch_on: when she is to go in; None where no day is known.
        afloat: she is in the water already.
        by_launch: agreed, and due by the launch or without a day.
        later: agreed, and due after the launch only.
        likely: as likely more as less, of both together.
        asked: with the decider, not agreed.
    """

    launch_on: date | None
    afloat: bool = False
    by_launch: Decimal = NONE
    later: Decimal = NONE
    likely: Decimal = NONE
    asked: Decimal = NONE

    @property
    def agreed(self) -> Decimal:
        return self.by_launch + self.later


@dataclass(frozen=True, slots=True)
class HoursWeek:
    """A week with the boats that go in in it, hours [h].

    Attributes:
        boats: that are to go in.
        by_launch, later, likely, asked: of these boats, as in `BoatWork`.
        until: the tightest launch day; the Monday after where none goes in with work open.
        needed_by_launch, needed: what is due by the launch, and all that is agreed, added up until that day.
        there: what the yard has from today until the evening before it; None where it does not say its hours.
    """

    week: Week
    boats: int
    by_launch: Decimal
    later: Decimal
    likely: Decimal
    asked: Decimal
    until: date
    needed_by_launch: Decimal
    needed: Decimal
    there: Decimal | None

    @property
    def agreed(self) -> Decimal:
        return self.by_launch + self.later

    @property
    def short(self) -> Decimal:
        """What is missing for all that is agreed; 0 where it suffices or nothing is stated."""
        return NONE if self.there is None else max(NONE, self.needed - self.there)

    @property
    def short_by_launch(self) -> Decimal:
        """What is missing even if whatever can wait past the launch does."""
        return NONE if self.there is None else max(NONE, self.needed_by_launch - self.there)


@dataclass(frozen=True, slots=True)
class HoursPlan:
    """The weeks until the last boat goes in.

    Attributes:
        weeks: without a gap.
        hours_per_week: of an ordinary week, as the yard states it; None where it doesn't.
        late: agreed and open on boats whose launch day has passed; it is in what is needed from the first week on.
        undated: agreed and open on boats without a day; in no week.
        afloat: agreed and open on boats that are afloat; in no week.
        beyond: boats that go in after the last week told.
    """

    weeks: tuple[HoursWeek, ...]
    hours_per_week: Decimal | None
    late: Decimal = NONE
    undated: Decimal = NONE
    afloat: Decimal = NONE
    beyond: int = 0

    @property
    def agreed(self) -> Decimal:
        """All that is agreed and open, [h]."""
        return _sum(week.agreed for week in self.weeks) + self.late + self.undated + self.afloat

    @property
    def tightest(self) -> HoursWeek | None:
        """The week in which most is missing; None where it suffices throughout."""
        worst = max(self.weeks, key=lambda week: week.short, default=None)
        return worst if worst is not None and worst.short else None


def hours_plan(
    boats: Iterable[BoatWork], *, today: date, calendar: WorkingCalendar, hours_per_week: Decimal | None
) -> HoursPlan:
    """Hold what is open against the yard's hours.

    Args:
        boats: those of the season.
        today: counted as a whole day where it is worked.
        calendar: the days that are worked. A week with a holiday has fewer hours.
        hours_per_week: of a week without holidays [h].
    """
    to_go_in: dict[date, list[BoatWork]] = {}
    late = undated = afloat = late_by_launch = NONE
    for boat in boats:
        if boat.afloat:
            afloat += boat.agreed
        elif boat.launch_on is None:
            undated += boat.agreed
        elif boat.launch_on < today:
            late += boat.agreed
            late_by_launch += boat.by_launch
        else:
            to_go_in.setdefault(boat.launch_on, []).append(boat)
    weeks = _weeks(sorted(to_go_in), today)
    has = _YardHours(today, weeks, calendar, hours_per_week)
    told: list[HoursWeek] = []
    needed, needed_by_launch = late, late_by_launch
    for week in weeks:
        inside: list[BoatWork] = []
        points: list[Point] = []
        for day in (week.monday + timedelta(days=number) for number in range(7)):
            going = to_go_in.get(day, [])
            inside += going
            needed += _sum(boat.agreed for boat in going)
            needed_by_launch += _sum(boat.by_launch for boat in going)
            if any(boat.agreed for boat in going):
                points.append((day, needed_by_launch, needed, has.until(day)))
        end = week.monday + ONE_WEEK
        until, due_by_then, all_by_then, there = _tightest(
            points or [(end, needed_by_launch, needed, has.until(end))]
        )
        told.append(
            HoursWeek(
                week=week,
                boats=len(inside),
                by_launch=_sum(boat.by_launch for boat in inside),
                later=_sum(boat.later for boat in inside),
                likely=_sum(boat.likely for boat in inside),
                asked=_sum(boat.asked for boat in inside),
                until=until,
                needed_by_launch=due_by_then,
                needed=all_by_then,
                there=there,
            )
        )
    last = weeks[-1].sunday if weeks else today
    beyond = sum(len(going) for day, going in to_go_in.items() if day > last)
    return HoursPlan(tuple(told), hours_per_week, late, undated, afloat, beyond)


class _YardHours:
    """What the yard has from today until a day."""

    def __init__(
        self, today: date, weeks: Sequence[Week], calendar: WorkingCalendar, hours_per_week: Decimal | None
    ) -> None:
        self._today = today
        self._per_day = None if hours_per_week is None else hours_per_week / len(calendar.working_weekdays)
        ahead = (weeks[-1].monday + ONE_WEEK - today).days if weeks else 0
        worked = (calendar.is_working(today + timedelta(days=number)) for number in range(ahead))
        self._worked_before = list(accumulate(worked, initial=0))

    def until(self, day: date) -> Decimal | None:
        """Hours [h] of the days from today to the one before `day`."""
        if self._per_day is None:
            return None
        days = self._worked_before[max(0, (day - self._today).days)]
        return (self._per_day * days).quantize(CENT)


def _weeks(launches: Sequence[date], today: date) -> list[Week]:
    """The weeks to tell: from this one, or some weeks before the first launch, to the last one."""
    if not launches:
        return []
    first = max(week_of(today).monday, week_of(launches[0]).away(-7 * WEEKS_AHEAD).monday)
    mondays = (first + timedelta(weeks=number) for number in range(MOST_WEEKS))
    return [Week(monday) for monday in mondays if monday <= launches[-1]]


Point = tuple[date, Decimal, Decimal, Decimal | None]


def _sum(hours: Iterable[Decimal]) -> Decimal:
    return sum(hours, NONE)


def _tightest(points: Sequence[Point]) -> Point:
    """The launch day with the least to spare; where no hours are stated, the last one."""

    def spare(point: Point) -> Decimal:
        _, _, needed, there = point
        return -needed if there is None else there - needed

    return min(points, key=spare)


def open_hours(families: Iterable[Sequence[tuple[Decimal, Decimal]]]) -> Decimal:
    """What is left of agreed hours [h].

    Args:
        families: jobs that stand together (one and the more work on it), each as hours agreed and hours booked:
            what one of them took too much, the others have less.
    """
    return _sum(max(NONE, _sum(agreed - booked for agreed, booked in family)) for family in families)


__all__ = ["BoatWork", "HoursPlan", "HoursWeek", "hours_plan", "open_hours"]
