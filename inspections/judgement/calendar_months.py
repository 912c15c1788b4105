"""Months as people count them: from a day to the same day of another month."""

from __future__ import annotations

from calendar import monthrange
from datetime import date, timedelta

DAYS_IN_A_YEAR = 365.2425
DAYS_IN_A_MONTH = DAYS_IN_A_YEAR / 12


def add_months(day: date, months: float) -> date:
    """The same day so many months on (or back); the last of the month where it has no such day.

    Args:
        months: whole months, or with a fraction that is taken as days of a mean month.

    Raises:
        OverflowError: the result lies outside the years 1 to 9999.
    """
    whole = int(months // 1)
    moved = _add_whole_months(day, whole)
    if months == whole:
        return moved
    extra = timedelta(days=round((months - whole) * DAYS_IN_A_MONTH))
    # a short month must not let a fraction reach past the next whole one
    return min(moved + extra, _add_whole_months(day, whole + 1))


def _add_whole_months(day: date, months: int) -> date:
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    if not 1 <= year <= 9999:
        raise OverflowError(f"{months} months from {day.isoformat()} lie outside the calendar")
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def months_between(start: date, end: date) -> float:
    """Months from one day to a later one: whole months, and the days left over as a share of a mean month.

    Returns:
        0 where `end` is not after `start`.
    """
    if end <= start:
        return 0.0
    whole = (end.year - start.year) * 12 + end.month - start.month
    if _add_whole_months(start, whole) > end:
        whole -= 1
    # the share stays below one: 30 days left of a month of 31 are not yet a month
    return whole + min((end - _add_whole_months(start, whole)).days / DAYS_IN_A_MONTH, 0.99)


__all__ = ["DAYS_IN_A_MONTH", "DAYS_IN_A_YEAR", "add_months", "months_between"]
