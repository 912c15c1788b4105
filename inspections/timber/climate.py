"""The climate a boat stands in: a month's normals, and how much they favour decay."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import starmap
from typing import Final

from inspections.figures import between
from yard.refusals import Refused

MONTHS: Final = 12
COLDEST_C: Final = -60.0
HOTTEST_C: Final = 60.0

_TEMPERATURE_OFFSET_C: Final = 2.0
_DAY_OFFSET: Final = 3.0
_DIVISOR: Final = 16.7
_LOW_BELOW: Final = 35.0
_HIGH_FROM: Final = 65.0


@dataclass(frozen=True, slots=True)
class MonthClimate:
    """What one month is like on average.

    Attributes:
        month: 1 (January) to 12.
        temperature_c: mean air temperature in °C, -60 to 60.
        relative_humidity_pct: mean relative humidity in %, 0 to 100.
        rain_days: days with at least 0.25 mm of rain, 0 to 31; None where nobody counted.

    Raises:
        Refused: a figure lies outside its range.
    """

    month: int
    temperature_c: float
    relative_humidity_pct: float
    rain_days: float | None = None

    def __post_init__(self) -> None:
        between("month", self.month, 1, MONTHS, "as a month")
        between("temperature_c", self.temperature_c, COLDEST_C, HOTTEST_C, "°C")
        between("relative_humidity_pct", self.relative_humidity_pct, 0, 100, "%")
        if self.rain_days is not None:
            between("rain_days", self.rain_days, 0, 31, "days")


class DecayZone(StrEnum):
    """How much a climate favours decay above ground."""

    LOW = "low"
    MODERATE = "moderate"
    HIGH = "high"


@dataclass(frozen=True, slots=True)
class DecayClimate:
    """The Scheffer index of a place (no unit; higher favours decay) and the zone that it falls in."""

    index: float
    zone: DecayZone


def scheffer_index(
    *, temperatures_c: Sequence[float], rain_days: Sequence[float], negative_months_count: bool = False
) -> DecayClimate:
    """How much a climate favours the decay of wood above ground, from twelve monthly normals.

    The sum over the months of (T - 2)(D - 3) / 16.7. A month that is colder than 2 °C or has fewer than 3 wet days
    would give a negative term. Two conventions are about: such a month counts as nothing (taken here unless told
    otherwise, since a dry July doesn't undo the decay of October), or it is subtracted. A month that is both too
    cold and too dry has two negative factors; it counts as nothing in both conventions.

    Args:
        temperatures_c: mean air temperature of each month in °C, twelve of them, each -60 to 60.
        rain_days: days with at least 0.25 mm (0.01 inch) of rain in each month, twelve of them, each 0 to 31.
        negative_months_count: whether negative months are subtracted.

    Returns:
        The index, without unit and never below 0, and its zone: low below 35, high from 65.

    Raises:
        Refused: there are not twelve figures of each, or one lies outside its range.

    Source:
        T. C. Scheffer, A climate index for estimating potential for decay in wood structures above ground, Forest
        Products Journal 21(10), 1971 (a published method; the formula is from memory, the zones were seen in a
        building-design guide). The form in °F uses 35 °F, which is 1.67 °C and gives 2 to 3 points more.

    >>> mild_and_wet = scheffer_index(temperatures_c=[12.0] * 12, rain_days=[10.0] * 12)
    >>> round(mild_and_wet.index, 1), str(mild_and_wet.zone)
    (50.3, 'moderate')
    """
    for field, figures in (("temperatures_c", temperatures_c), ("rain_days", rain_days)):
        if len(figures) != MONTHS:
            raise Refused(field, f"has {len(figures)} figures", "give one for each of the twelve months")
    months = [
        (
            between(f"temperatures_c.{position}", temperature_c, COLDEST_C, HOTTEST_C, "°C"),
            between(f"rain_days.{position}", days, 0, 31, "days"),
        )
        for position, (temperature_c, days) in enumerate(zip(temperatures_c, rain_days, strict=True))
    ]
    terms = list(starmap(_term, months))
    if not negative_months_count:
        terms = [max(term, 0.0) for term in terms]
    index = max(sum(terms), 0.0)
    return DecayClimate(index, decay_zone(index=index))


def _term(temperature_c: float, days: float) -> float:
    warmth, wetness = temperature_c - _TEMPERATURE_OFFSET_C, days - _DAY_OFFSET
    return 0.0 if warmth < 0 and wetness < 0 else warmth * wetness / _DIVISOR


def decay_zone(*, index: float) -> DecayZone:
    """The zone that a Scheffer index falls in.

    Args:
        index: without unit, 0 to 1000.

    Returns:
        Low below 35, high from 65, moderate between; a class without unit.

    Raises:
        Refused: the index is negative, above 1000 or no number.

    Source:
        Scheffer 1971, limits as a building-design guide repeats them (a published method, seen second-hand). To
        which zone 35 and 65 themselves belong is common practice, no source.

    >>> str(decay_zone(index=50))
    'moderate'
    """
    figure = between("index", index, 0, 1000, "as a Scheffer index")
    if figure < _LOW_BELOW:
        return DecayZone.LOW
    return DecayZone.HIGH if figure >= _HIGH_FROM else DecayZone.MODERATE


__all__ = ["DecayClimate", "DecayZone", "MonthClimate", "decay_zone", "scheffer_index"]
