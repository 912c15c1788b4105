"""How long wood takes to dry, and from which day sealing it is sensible."""

from __future__ import annotations

import calendar
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from inspections.figures import between
from inspections.timber.climate import MonthClimate
from inspections.timber.diffusion import SheetReached, Spell, sheet_in_weather
from inspections.timber.drying_piece import PACES, Air, Pace, Piece, air_for, opening_reasons, piece_of
from inspections.timber.moisture import equilibrium_moisture_content_pct, relative_humidity_for_moisture_pct
from inspections.timber.plane_sheet import LONGEST, fraction_lost, middle_fraction_remaining, time_to_fraction
from yard.refusals import Refused

# Nobody waits longer: past three years a date is no plan.
HORIZON_DAYS: Final = 3 * 365
# The series is not followed to its very end: this near to equilibrium counts as never.
_NEAREST_FRACTION: Final = 0.999999
# Common practice, no source: from here on a core is worth a word.
_WET_CORE_POINTS: Final = 2.0
_FIRST_YEAR: Final = 1900
_LAST_YEAR: Final = 2200


@dataclass(frozen=True, slots=True)
class DryingTime:
    """Days from start to target in steady air; None where that air never brings the wood there.

    `middle_pct` is the moisture still in the middle (or at the closed face) at the likely time, in % of dry mass.
    """

    earliest_days: float | None
    likely_days: float | None
    cautious_days: float | None
    middle_pct: float | None
    wash_first: bool
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SealingDates:
    """First day on which sealing is sensible; None where it isn't within three years, and the reasons say why.

    `middle_pct` is the moisture still in the middle (or at the closed face) on the likely day, in % of dry mass.
    """

    earliest_on: date | None
    likely_on: date | None
    cautious_on: date | None
    middle_pct: float | None
    wash_first: bool
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ShedAir:
    """Air that is kept the same: temperature in °C, -60 to 60, and relative humidity in %, 0 to 100.

    Raises:
        Refused: a figure lies outside its range.
    """

    temperature_c: float
    relative_humidity_pct: float

    def __post_init__(self) -> None:
        between("temperature_c", self.temperature_c, -60, 60, "°C")
        between("relative_humidity_pct", self.relative_humidity_pct, 0, 100, "%")


def drying_time(
    *,
    start_pct: float,
    target_pct: float,
    thickness_mm: float,
    faces_open: int,
    equilibrium_pct: float,
    temperature_c: float,
    species: str | None = None,
    salt_recorded: bool = False,
) -> DryingTime:
    """How long evenly wet wood takes in steady air until its mean is down to the target.

    The spread is that of the diffusion coefficient, about 3 either way. Unwashed salt widens it: the cautious
    figure then reckons with wood that stays 2 points wetter, and wet in air of 75 % humidity and more.

    Args:
        start_pct: mean moisture now, % of dry mass, 0 to 200.
        target_pct: mean moisture wanted, % of dry mass, 1 to 30.
        thickness_mm: across the grain, 1 to 500 mm.
        faces_open: 1 or 2; one where the other is painted, bedded or out of the air.
        equilibrium_pct: what the air brings wood to, % of dry mass, 0 to 40.
        temperature_c: of wood and air in °C, -60 to 60.
        species: as the yard writes it; None or an unknown one spans all groups.
        salt_recorded: whether the wood has been in salt water and was not washed.

    Returns:
        Earliest, likely and cautious days (None: never in that air), the middle's moisture then, reasons.

    Raises:
        Refused: a figure lies outside its range or is no number.

    Source:
        J. Crank, The Mathematics of Diffusion, 2nd edition 1975, plane sheet (a textbook); coefficients as in
        `diffusion_coefficient`; the allowance for salt is common practice, no source. Resistance of the surface and
        loss through end grain are left out.

    >>> shed = {"equilibrium_pct": 9.3, "temperature_c": 20, "species": "Sitka spruce"}
    >>> time = drying_time(start_pct=22, target_pct=14, thickness_mm=25, faces_open=2, **shed)
    >>> round(time.earliest_days, 1), round(time.likely_days, 1), round(time.cautious_days, 1)
    (1.9, 5.7, 19.2)
    """
    piece = piece_of(start_pct, target_pct, thickness_mm, faces_open, species)
    equilibrium = between("equilibrium_pct", equilibrium_pct, 0, 40, "% of dry mass")
    celsius = between("temperature_c", temperature_c, -60, 60, "°C")
    humidity = relative_humidity_for_moisture_pct(temperature_c=celsius, moisture_pct=equilibrium)
    air = air_for(piece, equilibrium, celsius, 100.0 if humidity is None else humidity, salt_recorded)
    earliest = _steady_days(piece, air.equilibrium_pct, air.coefficient.high_m2_per_s)
    likely = _steady_days(piece, air.equilibrium_pct, air.coefficient.likely_m2_per_s)
    cautious = _steady_days(piece, air.salted_pct, air.coefficient.low_m2_per_s)
    reasons = opening_reasons(piece, salt_recorded)
    if likely is None:
        reasons.append(f"This air brings wood to {equilibrium:.1f} % and never to {piece.target_pct:g} %.")
    elif cautious is None:
        reasons.append("With the salt in it the wood may never get so dry in this air.")
    middle = None
    if likely is not None:
        gone = piece.dt_per_day(air.coefficient.likely_m2_per_s) * likely
        remaining = middle_fraction_remaining(dt_over_thickness_squared=min(gone, LONGEST))
        middle = equilibrium + (piece.start_pct - equilibrium) * remaining
    reasons += _middle_reasons(piece, middle)
    return DryingTime(earliest, likely, cautious, middle, salt_recorded, tuple(reasons))


def sealing_dates(
    *,
    start_on: date,
    start_pct: float,
    target_pct: float,
    thickness_mm: float,
    faces_open: int,
    months: Sequence[MonthClimate] = (),
    shed: ShedAir | None = None,
    species: str | None = None,
    salt_recorded: bool = False,
) -> SealingDates:
    """From which day sealing is sensible, under the yard's climate or under shed heat.

    Args:
        start_on: first day on which the wood can dry: opened, washed, under cover; from 1900 to 2200.
        start_pct: mean moisture then, % of dry mass, 0 to 200.
        target_pct: mean moisture wanted, % of dry mass, 1 to 30.
        thickness_mm: across the grain, 1 to 500 mm.
        faces_open: 1 or 2; one where the other is painted, bedded or out of the air.
        months: the yard's normals, each of the twelve months once; or
        shed: the air of a heated or dehumidified shed. Exactly one of the two.
        species: as the yard writes it; None or an unknown one spans all groups.
        salt_recorded: whether the wood has been in salt water and was not washed.

    Returns:
        Earliest, likely and cautious day (None: not within three years), the middle's moisture in %, reasons.

    Raises:
        Refused: a figure lies outside its range, a month is missing or twice there, or there are both normals and
            a shed or neither.

    Source:
        As `drying_time` (a textbook and common practice), taken month by month with the equilibrium moisture of the
        Wood Handbook FPL-GTR-190 (2010), equation 4-5 (a handbook).

    >>> heated = ShedAir(temperature_c=20, relative_humidity_pct=50)
    >>> piece = {"start_pct": 22, "target_pct": 14, "thickness_mm": 25, "faces_open": 2, "species": "Sitka spruce"}
    >>> str(sealing_dates(start_on=date(2027, 3, 1), shed=heated, **piece).likely_on)
    '2027-03-07'
    """
    piece = piece_of(start_pct, target_pct, thickness_mm, faces_open, species)
    if not _FIRST_YEAR <= start_on.year <= _LAST_YEAR:
        raise Refused("start_on", f"lies in {start_on.year}", f"give a day from {_FIRST_YEAR} to {_LAST_YEAR}")
    by_month = {
        climate.month: air_for(
            piece,
            equilibrium_moisture_content_pct(
                temperature_c=climate.temperature_c, relative_humidity_pct=climate.relative_humidity_pct
            ),
            climate.temperature_c,
            climate.relative_humidity_pct,
            salt_recorded,
        )
        for climate in _twelve_months(months, shed)
    }
    earliest, likely, cautious = (_through_the_months(piece, start_on, by_month, pace) for pace in PACES)
    reasons = opening_reasons(piece, salt_recorded)
    where = "The yard's climate" if shed is None else "The shed's air"
    driest = min(air.equilibrium_pct for air in by_month.values())
    if not piece.is_dry and driest >= piece.target_pct:
        reasons.append(f"{where} brings wood to {driest:.1f} % at best, never to {piece.target_pct:g} %.")
    elif likely is None:
        reasons.append(f"{where} does not bring it to {piece.target_pct:g} % within three years.")
    elif cautious is None:
        washed = "With the salt in it: " if salt_recorded else ""
        reasons.append(f"{washed}{where} may not bring it to {piece.target_pct:g} % within three years.")
    middle = None if likely is None else likely.middle_pct
    reasons += _middle_reasons(piece, middle)
    return SealingDates(
        earliest_on=_day(start_on, earliest),
        likely_on=_day(start_on, likely),
        cautious_on=_day(start_on, cautious),
        middle_pct=middle,
        wash_first=salt_recorded,
        reasons=tuple(reasons),
    )


def _twelve_months(months: Sequence[MonthClimate], shed: ShedAir | None) -> Sequence[MonthClimate]:
    if bool(months) == (shed is not None):
        raise Refused("months", "needs either the yard's normals or the shed's air", "give one of the two")
    if shed is not None:
        return [MonthClimate(month, shed.temperature_c, shed.relative_humidity_pct) for month in range(1, 13)]
    numbers = sorted(climate.month for climate in months)
    if numbers != list(range(1, 13)):
        raise Refused("months", f"has the months {numbers}", "give each month from 1 to 12 once")
    return months


def _middle_reasons(piece: Piece, middle_pct: float | None) -> list[str]:
    """A mean hides a wet core, which comes out under the new film."""
    if middle_pct is None or middle_pct < piece.target_pct + _WET_CORE_POINTS:
        return []
    return [f"{piece.target_pct:g} % is the mean: deep inside it likely still holds {middle_pct:.0f} % then."]


def _steady_days(piece: Piece, equilibrium_pct: float, coefficient_m2_per_s: float) -> float | None:
    if piece.is_dry:
        return 0.0
    if equilibrium_pct >= piece.target_pct:
        return None
    fraction = (piece.start_pct - piece.target_pct) / (piece.start_pct - equilibrium_pct)
    if fraction > _NEAREST_FRACTION:
        return None
    return time_to_fraction(fraction=fraction) / piece.dt_per_day(coefficient_m2_per_s)


def _through_the_months(
    piece: Piece, start_on: date, by_month: Mapping[int, Air], pace: Pace
) -> SheetReached | None:
    levels = [pace.level(air) for air in by_month.values()]
    if not piece.is_dry and min(levels) >= piece.target_pct:
        return None
    return sheet_in_weather(
        start_pct=piece.start_pct,
        target_pct=piece.target_pct,
        spells=(
            Spell(days, pace.level(by_month[month]), piece.dt_per_day(pace.coefficient(by_month[month])))
            for month, days in _runs_of_days(start_on)
        ),
    )


def _runs_of_days(start_on: date) -> Iterator[tuple[int, int]]:
    """Month after month, with the days in it, from the start to the horizon."""
    day, left = start_on, HORIZON_DAYS
    while left > 0:
        days = min(calendar.monthrange(day.year, day.month)[1] - day.day + 1, left)
        yield day.month, days
        day, left = day + timedelta(days=days), left - days


def _day(start_on: date, reached: SheetReached | None) -> date | None:
    return None if reached is None else start_on + timedelta(days=reached.days)


__all__ = [
    "DryingTime",
    "SealingDates",
    "ShedAir",
    "drying_time",
    "fraction_lost",
    "sealing_dates",
]
