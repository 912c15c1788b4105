"""Months as people count them."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.judgement.calendar_months import add_months, months_between

days = st.dates(date(1990, 1, 1), date(2100, 12, 31))


@pytest.mark.parametrize(
    ("start", "months", "end"),
    [
        (date(2027, 4, 1), 12, date(2028, 4, 1)),
        (date(2027, 1, 31), 1, date(2027, 2, 28)),
        (date(2028, 1, 31), 1, date(2028, 2, 29)),
        (date(2027, 12, 15), 1, date(2028, 1, 15)),
        (date(2027, 1, 15), -1, date(2026, 12, 15)),
        (date(2027, 4, 1), 0, date(2027, 4, 1)),
        (date(2027, 4, 1), 0.5, date(2027, 4, 16)),
        (date(2027, 4, 1), 1.5, date(2027, 5, 16)),
        (date(2027, 1, 31), 0.99, date(2027, 2, 28)),
    ],
)
def test_months_on(start: date, months: float, end: date) -> None:
    assert add_months(start, months) == end


@pytest.mark.parametrize(
    ("start", "end", "months"),
    [
        (date(2025, 4, 1), date(2027, 4, 1), 24),
        (date(2025, 4, 2), date(2027, 4, 1), 23.95),
        (date(2027, 1, 31), date(2027, 2, 28), 1),
        (date(2027, 4, 1), date(2027, 4, 16), 0.49),
        (date(2027, 4, 1), date(2027, 3, 1), 0),
    ],
)
def test_months_between(start: date, end: date, months: float) -> None:
    assert months_between(start, end) == pytest.approx(months, abs=0.05)


@settings(deadline=None)
@given(days, st.floats(-500, 500), st.floats(0, 10))
def test_more_months_never_end_sooner(start: date, months: float, more: float) -> None:
    assert add_months(start, months) <= add_months(start, months + more)


@settings(deadline=None)
@given(days, st.integers(0, 4000), st.integers(0, 400))
def test_a_later_end_is_never_fewer_months(start: date, length: int, more: int) -> None:
    end = start + timedelta(days=length)
    assert months_between(start, end) <= months_between(start, end + timedelta(days=more))


@settings(deadline=None)
@given(days, st.integers(0, 400))
def test_whole_months_there_are_whole_months_between(start: date, months: int) -> None:
    assert months_between(start, add_months(start, months)) == months


def test_a_day_outside_the_calendar_is_an_error() -> None:
    with pytest.raises(OverflowError, match="outside the calendar"):
        add_months(date(2027, 4, 1), -12 * 2100)
