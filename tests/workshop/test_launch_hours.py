"""The hours until the launches, worked by hand with a calendar of 2027 beside."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from workshop.planning.launch_hours import BoatWork, HoursPlan, hours_plan, open_hours
from yard.working_days import WorkingCalendar

# Wednesday, 5 May 2027. Ascension Day, 6 May, and Whit Monday, 17 May, are holidays in Denmark: Easter Sunday
# of 2027 is 28 March (almanac), and they are 39 and 50 days later.
TODAY = date(2027, 5, 5)
DENMARK = WorkingCalendar(holiday_country="DK")
H = Decimal


def plan(*boats: BoatWork, hours_per_week: str | None = "100") -> HoursPlan:
    return hours_plan(
        boats,
        today=TODAY,
        calendar=DENMARK,
        hours_per_week=None if hours_per_week is None else Decimal(hours_per_week),
    )


def test_weeks_add_up_and_a_holiday_takes_a_day() -> None:
    told = plan(
        BoatWork(date(2027, 5, 14), by_launch=H(60), later=H(20), likely=H(50), asked=H(5)),
        BoatWork(date(2027, 5, 28), by_launch=H(100)),
    )
    weeks = [(week.week.number, week.boats, week.needed, week.there, week.short) for week in told.weeks]
    # 20 h a day. To Sunday: Wed and Fri. Before Fri 14: Mon to Thu more. To Sunday 23: Fri and Tue to Fri more.
    # Before Fri 28: Mon to Thu more.
    assert weeks == [
        (18, 0, H(0), H(40), H(0)),
        (19, 1, H(80), H(120), H(0)),
        (20, 0, H(80), H(220), H(0)),
        (21, 1, H(180), H(300), H(0)),
    ]
    second = told.weeks[1]
    assert (second.by_launch, second.later, second.likely, second.asked) == (H(60), H(20), H(50), H(5))
    assert (second.until, told.agreed, told.tightest) == (date(2027, 5, 14), H(180), None)


def test_a_week_is_told_by_its_tightest_day() -> None:
    told = plan(
        BoatWork(date(2027, 5, 10), by_launch=H(50), later=H(15)),  # Monday: two days are left, 40 h
        BoatWork(date(2027, 5, 14), by_launch=H(10)),  # Friday: six days, 120 h
    )
    week = told.weeks[1]
    assert (week.boats, week.until, week.needed, week.there) == (2, date(2027, 5, 10), H(65), H(40))
    assert (week.short, week.short_by_launch) == (H(25), H(10))
    assert told.tightest == week


def test_late_boats_need_their_hours_at_once_and_others_stand_in_no_week() -> None:
    told = plan(
        BoatWork(date(2027, 5, 1), by_launch=H(30)),
        BoatWork(None, by_launch=H(7)),
        BoatWork(date(2027, 5, 1), afloat=True, later=H(9)),
        BoatWork(date(2027, 5, 5)),
    )
    (week,) = told.weeks
    assert (told.late, told.undated, told.afloat, told.agreed) == (H(30), H(7), H(9), H(46))
    assert (week.boats, week.needed, week.there, week.short) == (1, H(30), H(40), H(0))


def test_what_is_not_stated_is_not_reckoned() -> None:
    told = plan(BoatWork(date(2027, 5, 14), by_launch=H(500)), hours_per_week=None)
    assert [(week.there, week.short) for week in told.weeks] == [(None, H(0)), (None, H(0))]
    assert told.tightest is None


def test_a_launch_far_off_is_told_from_some_weeks_before() -> None:
    told = plan(BoatWork(date(2028, 5, 3), by_launch=H(1)))
    assert (len(told.weeks), told.weeks[0].week.code, told.weeks[-1].week.code) == (9, "2028-W10", "2028-W18")
    far = plan(BoatWork(date(2027, 5, 14)), BoatWork(date(2028, 5, 3)))
    assert (len(far.weeks), far.beyond) == (26, 1)


def test_what_one_job_took_too_much_the_more_work_on_it_has_less() -> None:
    assert open_hours([[(H(10), H(12)), (H(5), H(0))], [(H(4), H(9))], [(H(8), H(2))]]) == H(9)
    assert open_hours([]) == H(0)


DAYS = st.sampled_from([None, *(TODAY + timedelta(days=number) for number in (-9, 0, 1, 5, 9, 13, 90))])
HOURS = st.integers(0, 90).map(Decimal)


@settings(max_examples=30)
@given(st.lists(st.builds(BoatWork, DAYS, st.booleans(), HOURS, HOURS), max_size=6))
def test_nothing_is_lost_or_counted_twice(boats: list[BoatWork]) -> None:
    told = plan(*boats)
    assert told.agreed == sum((boat.agreed for boat in boats), H(0))
    # Neither what is needed nor what is there ever grows less from week to week.
    for before, after in zip(told.weeks, told.weeks[1:], strict=False):
        assert before.needed <= after.needed
        assert (before.there or 0) <= (after.there or 0)
