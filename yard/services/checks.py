"""Reading what somebody sent: each check hands back the clean value or refuses it with a remedy."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from decimal import Decimal
from functools import cache
from typing import TypeVar
from zoneinfo import available_timezones

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from yard.models.yards import LEAST_HOURS_PER_WEEK, MOST_HOURS_PER_WEEK
from yard.refusals import Refused, RefusedMany

T = TypeVar("T")


class Sheet:
    """Collects refusals, so that everything wrong on a sheet is said at once.

    sheet = Sheet()
    name = sheet.read(lambda: text_check(name, field="name", longest=120), "")
    sheet.close()
    """

    def __init__(self) -> None:
        self._refusals: list[Refused] = []

    def read(self, check: Callable[[], T], otherwise: T) -> T:
        """The checked value; `otherwise` stands in for a refused one until `close` raises."""
        try:
            return check()
        except Refused as refusal:
            self._refusals.append(refusal)
            return otherwise

    def hold(self, condition: bool, refusal: Refused) -> None:
        """Refuse unless the condition holds."""
        if not condition:
            self._refusals.append(refusal)

    def close(self) -> None:
        """Raise what was refused: one refusal as it is, several together."""
        if len(self._refusals) == 1:
            raise self._refusals[0]
        if self._refusals:
            raise RefusedMany(self._refusals)


def text_check(value: object, *, field: str, longest: int, blank: bool = False) -> str:
    """One line of text, without blanks around it."""
    if not isinstance(value, str):
        raise Refused(field, "is not text", "send it as text")
    text = value.strip()
    if not text and not blank:
        raise Refused(field, "is empty", f"give 1 to {longest} characters")
    if len(text) > longest:
        raise Refused(field, f"has {len(text)} characters", f"give at most {longest}")
    if not text.isprintable():
        raise Refused(field, "has characters that can't be printed", "send one line of plain text")
    return text


def email_check(value: object, *, field: str = "email", blank: bool = False) -> str:
    """An address that mail can be sent to."""
    text = text_check(value, field=field, longest=254, blank=blank)
    if text:
        try:
            validate_email(text)
        except ValidationError as error:
            raise Refused(field, f"is no e-mail address: {text!r}", "give one like name@example.org") from error
    return text


def choice_check(value: object, choices: Iterable[str], *, field: str) -> str:
    """One of the codes of a vocabulary."""
    codes = [str(choice) for choice in choices]
    if not isinstance(value, str) or value not in codes:
        raise Refused(field, f"is not known: {value!r}", f"give one of: {', '.join(codes)}")
    return str(value)


def integer_check(value: object, *, field: str, low: int, high: int, unit: str = "") -> int:
    """A whole number from low to high."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise Refused(field, f"is not a whole number: {value!r}", f"give {low} to {high}{unit and ' ' + unit}")
    if not low <= value <= high:
        raise Refused(field, f"is {value}{unit and ' ' + unit}", f"give {low} to {high}{unit and ' ' + unit}")
    return value


def decimal_check(
    value: object, *, field: str, low: Decimal, high: Decimal, places: int, unit: str = ""
) -> Decimal:
    """A decimal number from low to high with no more decimals than are kept."""
    remedy = f"give a decimal number from {low} to {high}{unit and ' ' + unit} with at most {places} decimals"
    if isinstance(value, bool) or not isinstance(value, (int, Decimal)):
        raise Refused(field, f"is not a decimal number: {value!r}", remedy)
    number = Decimal(value)
    if not number.is_finite() or not low <= number <= high:
        raise Refused(field, f"is {number}{unit and ' ' + unit}", remedy)
    if number != round(number, places):
        raise Refused(field, f"has more than {places} decimals: {number}", remedy)
    return number


def hours_per_week_check(value: object, *, field: str = "hours_per_week") -> Decimal | None:
    """The hours of work that a yard's people do together in a week, or None: not stated."""
    if value is None:
        return None
    return decimal_check(
        value, field=field, low=LEAST_HOURS_PER_WEEK, high=MOST_HOURS_PER_WEEK, places=1, unit="hours"
    )


@cache
def _time_zones() -> frozenset[str]:
    # Names without a place in them (EST, Zulu, localtime) say nothing about summer time, or mean another machine's.
    return frozenset(name for name in available_timezones() if "/" in name or name == "UTC")


def time_zone_check(value: object, *, field: str = "time_zone") -> str:
    """A name of the IANA time zone database."""
    name = text_check(value, field=field, longest=64)
    if name not in _time_zones():
        raise Refused(field, f"is not a time zone: {name!r}", "give an IANA name such as Europe/Lisbon")
    return name


def weekdays_check(value: object, *, field: str = "working_weekdays") -> list[int]:
    """Days of the week, 0 for Monday, sorted; at least one, none twice."""
    remedy = "give a list of numbers from 0 (Monday) to 6 (Sunday), each once, at least one"
    if isinstance(value, (str, bytes)) or not isinstance(value, (Sequence, set, frozenset)):
        raise Refused(field, "is not a list", remedy)
    days = list(value)
    if not days:
        raise Refused(field, "no day of the week is worked", remedy)
    wrong = [day for day in days if isinstance(day, bool) or not isinstance(day, int) or not 0 <= day <= 6]
    if wrong:
        raise Refused(field, f"{wrong[0]!r} is no day of the week", remedy)
    if len(set(days)) != len(days):
        raise Refused(field, "a day is named twice", remedy)
    return sorted(days)


def dates_check(value: Iterable[date | str], *, field: str) -> list[str]:
    """Days, as dates or ISO text; handed back as sorted ISO text."""
    if isinstance(value, str):
        raise Refused(field, "is not a list", "give a list of dates like 2027-12-24")
    return sorted({_iso(day, field) for day in value})


def _iso(day: object, field: str) -> str:
    try:
        if isinstance(day, date):
            return date(day.year, day.month, day.day).isoformat()
        if isinstance(day, str):
            return date.fromisoformat(day).isoformat()
    except ValueError as error:
        raise Refused(field, f"is no date: {day!r}", "give dates like 2027-12-24") from error
    raise Refused(field, f"is no date: {day!r}", "give dates like 2027-12-24")
