"""The yard's calendar: its own week, its own closed days, and calendars that can't be."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yard.refusals import Refused
from yard.working_days import WorkingCalendar

PLAIN = WorkingCalendar()
days = st.dates(min_value=date(2000, 1, 1), max_value=date(2100, 12, 31))
calendars = st.builds(
    WorkingCalendar,
    working_weekdays=st.frozensets(st.integers(0, 6), min_size=1),
    own_holidays=st.frozensets(days, max_size=20),
)

FRIDAY, SATURDAY, MONDAY = date(2027, 4, 2), date(2027, 4, 3), date(2027, 4, 5)


def test_a_week_of_its_own() -> None:
    saturdays_too = WorkingCalendar(working_weekdays=frozenset({1, 2, 3, 4, 5}))
    assert saturdays_too.is_working(SATURDAY)
    assert not saturdays_too.is_working(MONDAY)


def test_days_the_yard_is_closed() -> None:
    closed = WorkingCalendar(own_holidays=frozenset({FRIDAY, MONDAY}))
    assert closed.previous_working_on_or_before(SATURDAY) == date(2027, 4, 1)
    assert closed.next_working_on_or_after(SATURDAY) == date(2027, 4, 6)


def test_a_part_of_a_country_has_its_own_holidays() -> None:
    # Corpus Christi, 27 May 2027, is kept in Bavaria and not in Hamburg (state law; from memory)
    corpus_christi = date(2027, 5, 27)
    assert not WorkingCalendar(holiday_country="DE", holiday_subdivision="BY").is_working(corpus_christi)
    assert WorkingCalendar(holiday_country="DE", holiday_subdivision="HH").is_working(corpus_christi)


@settings(deadline=None)
@given(calendars, days)
def test_rolling_goes_to_a_working_day_and_to_the_nearest(calendar: WorkingCalendar, day: date) -> None:
    later = calendar.next_working_on_or_after(day)
    earlier = calendar.previous_working_on_or_before(day)
    assert calendar.is_working(later)
    assert calendar.is_working(earlier)
    assert earlier <= day <= later
    between = [earlier + timedelta(days=n) for n in range(1, (later - earlier).days)]
    assert [other for other in between if other != day and calendar.is_working(other)] == []


@settings(deadline=None)
@given(calendars, days, st.integers(0, 40))
def test_adding_and_counting_undo_each_other(calendar: WorkingCalendar, day: date, count: int) -> None:
    start = calendar.next_working_on_or_after(day)
    end = calendar.add_working_days(start, count)
    assert calendar.working_days_between(start, end) == count
    assert calendar.add_working_days(end, -count) == start


@pytest.mark.parametrize(
    ("calendar", "field"),
    [
        ({"working_weekdays": frozenset()}, "working_weekdays"),
        ({"working_weekdays": frozenset({7})}, "working_weekdays"),
        ({"holiday_country": "XX"}, "holiday_country"),
        ({"holiday_country": "NO", "holiday_subdivision": "Atlantis"}, "holiday_subdivision"),
    ],
    ids=["no weekday", "an eighth weekday", "unknown country", "unknown part"],
)
def test_a_calendar_that_can_not_be_is_refused(calendar: dict[str, frozenset[int] | str], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        WorkingCalendar(**calendar)  # type: ignore[arg-type]
    assert refusal.value.field == field
    assert refusal.value.remedy


def test_a_yard_closed_for_good_is_refused_rather_than_searched_for_ever() -> None:
    closed = frozenset(FRIDAY + timedelta(days=n) for n in range(-500, 500))
    with pytest.raises(Refused, match="no working day"):
        WorkingCalendar(own_holidays=closed).next_working_on_or_after(FRIDAY)


def test_a_wait_into_the_past_is_refused() -> None:
    with pytest.raises(Refused, match="past"):
        PLAIN.elapsed_wait_then_next_workday(FRIDAY, -1)
