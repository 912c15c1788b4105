"""Weeks and days as a yard speaks of them."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yard.weeks import days_overdue, week_of, week_read

DAYS = st.dates(min_value=date(1990, 1, 1), max_value=date(2090, 12, 31))


@given(DAYS)
def test_a_week_begins_on_monday_and_holds_its_day(day: date) -> None:
    week = week_of(day)
    assert week.monday.weekday() == 0
    assert week.monday <= day <= week.sunday
    assert week.sunday - week.monday == timedelta(days=6)


@given(DAYS)
def test_its_code_reads_back(day: date) -> None:
    assert week_read(week_of(day).code) == week_of(day)


@pytest.mark.parametrize(
    ("day", "code"),
    # ISO 8601: week 1 of a year is the one with its first Thursday. Days from memory, checked with a wall calendar.
    [(date(2027, 1, 3), "2026-W53"), (date(2027, 1, 4), "2027-W01"), (date(2024, 12, 30), "2025-W01")],
)
def test_the_turn_of_the_year_belongs_to_the_week_with_its_thursday(day: date, code: str) -> None:
    assert week_of(day).code == code


@pytest.mark.parametrize("code", ["", "2027", "2027-W54", "2027-W00", "27-W17", "2027-W1", "x2027-W17"])
def test_what_is_no_week_is_none(code: str) -> None:
    assert week_read(code) is None


@pytest.mark.parametrize(
    ("days", "told"),
    [(-14, "2 weeks ago"), (-7, "last week"), (0, "this week"), (7, "next week"), (21, "in 3 weeks")],
)
def test_a_week_is_told_from_today(days: int, told: str) -> None:
    today = date(2027, 4, 8)
    assert week_of(today + timedelta(days=days)).told_from(today) == told


@pytest.mark.parametrize(
    ("days", "told"),
    [
        (-800, "26 months overdue"),
        (-35, "5 weeks overdue"),
        (-2, "2 days overdue"),
        (-1, "1 day overdue"),
        (0, "today"),
        (1, "tomorrow"),
        (21, "in 21 days"),
        (22, "in 3 weeks"),
        (365, "in 12 months"),
    ],
)
def test_a_day_is_told_from_today(days: int, told: str) -> None:
    today = date(2027, 4, 8)
    assert days_overdue(today + timedelta(days=days), today) == told
