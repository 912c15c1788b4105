"""The shape of an answer at the bench: the plain words first, then the figures, then why."""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import date

from babel.dates import get_month_names
from babel.numbers import format_decimal

from inspections.selectors.air import Air
from inspections.timber.climate import MonthClimate
from inspections.timber.coating import Hindrance
from inspections.timber.seasons import MoistureRange, moisture_range_of_year
from yard.locale_format import date_text, locale_check
from yard.models import Yard


@dataclass(frozen=True, slots=True)
class Mark:
    """One figure of three, with the word over it."""

    name: str
    text: str


@dataclass(frozen=True, slots=True)
class Spread:
    """Three figures side by side; the middle one is the one to go by."""

    name: str
    low: Mark
    likely: Mark
    high: Mark


@dataclass(frozen=True, slots=True)
class Told:
    """An answer as it stands beside its form."""

    says: str
    spreads: tuple[Spread, ...] = ()
    hindrances: tuple[Hindrance, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    reasons: tuple[str, ...] = ()
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Bench:
    """Where and when somebody reckons: the yard, its day and its climate, and how its figures are written."""

    yard: Yard
    today: date
    months: tuple[MonthClimate, ...]

    @property
    def normals(self) -> MonthClimate | None:
        """Those of this month."""
        return next((climate for climate in self.months if climate.month == self.today.month), None)

    @property
    def year(self) -> MoistureRange | None:
        """What the year's air makes of bare wood under cover; None without twelve months of normals."""
        return (
            moisture_range_of_year(months=self.months) if len(self.months) == len(calendar.month_name) - 1 else None
        )

    def month(self, number: int) -> str:
        return str(get_month_names("wide", "stand-alone", locale_check(self.yard.locale))[number])

    def figure(self, value: float, digits: int = 0) -> str:
        """With so many decimals, written as the yard writes figures."""
        rounded = round(value, digits) + 0.0  # no -0
        pattern = f"#,##0.{'0' * digits}" if digits else "#,##0"
        return str(format_decimal(rounded, format=pattern, locale=locale_check(self.yard.locale)))

    def day(self, value: date | None, otherwise: str) -> str:
        return otherwise if value is None else date_text(value, self.yard.locale, "medium")

    def air(self, air: Air) -> str:
        """The air in words, and where it comes from."""
        said = f"{self.figure(air.air_temperature_c, 1)} °C, {self.figure(air.relative_humidity_pct)} % humidity"
        if air.month_of_normals is None:
            return said
        return f"{said}, filled up from the mean of {self.month(air.month_of_normals)} here"


__all__ = ["Bench", "Mark", "Spread", "Told"]
