"""The air to reckon with: as given, and where it is not, the yard's own monthly normals."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TypedDict

from inspections.figures import between
from inspections.timber.climate import MonthClimate
from inspections.timber.moisture import equilibrium_moisture_content_pct
from yard.models import ClimateNormal, Yard
from yard.refusals import Refused


@dataclass(frozen=True, slots=True)
class Air:
    """The air that was reckoned with, and the month whose normals filled what was not given."""

    air_temperature_c: float
    relative_humidity_pct: float
    month_of_normals: int | None


class AirGiven(TypedDict, total=False):
    """What was said about the air; the rest comes from the yard's normals."""

    month: int | None
    air_temperature_c: float | None
    relative_humidity_pct: float | None


def figures_of(air: AirGiven) -> tuple[float | None, float | None]:
    """The temperature in °C, -60 to 60, and the relative humidity in %, 0 to 100, that were given; None: not given.

    Raises:
        Refused: one is outside its range.
    """
    temperature, humidity = air.get("air_temperature_c"), air.get("relative_humidity_pct")
    return (
        None if temperature is None else between("air_temperature_c", temperature, -60, 60, "°C"),
        None if humidity is None else between("relative_humidity_pct", humidity, 0, 100, "%"),
    )


def month_climates_of(yard: Yard) -> tuple[MonthClimate, ...]:
    """The yard's monthly normals in order; empty where none are entered."""
    return tuple(
        MonthClimate(
            normal.month,
            float(normal.air_temperature_c),
            float(normal.relative_humidity_pct),
            float(normal.rain_days),
        )
        for normal in ClimateNormal.objects.of_yard(yard).order_by("month")
    )


def month_of(on_date: date, air: AirGiven) -> int:
    """The month that was given, or that of the day."""
    return air.get("month") or on_date.month


def air_of(months: tuple[MonthClimate, ...], on_date: date, air: AirGiven) -> Air:
    """The air as given, filled up from the normals of the month.

    Raises:
        Refused: something is left out, and there are no normals to fill it from.
    """
    temperature, humidity = figures_of(air)
    if temperature is not None and humidity is not None:
        return Air(temperature, humidity, None)
    month = month_of(on_date, air)
    normals = next((climate for climate in months if climate.month == month), None)
    if normals is None:
        missing = "air_temperature_c" if temperature is None else "relative_humidity_pct"
        raise _no_climate(missing)
    return Air(
        normals.temperature_c if temperature is None else temperature,
        normals.relative_humidity_pct if humidity is None else humidity,
        month,
    )


def whole_year(months: tuple[MonthClimate, ...], missing: str) -> tuple[MonthClimate, ...]:
    """The normals, if they are a year's.

    Raises:
        Refused: in the name of the field that would have made them needless.
    """
    if len(months) != 12:
        raise _no_climate(missing)
    return months


def _no_climate(missing: str) -> Refused:
    return Refused(missing, "is left out, and the yard has no climate entered", "give it, or enter the climate")


def equilibrium_in(air: Air) -> float:
    """The moisture that this air brings wood to, in % of dry mass."""
    return equilibrium_moisture_content_pct(
        temperature_c=air.air_temperature_c, relative_humidity_pct=air.relative_humidity_pct
    )


__all__ = [
    "Air",
    "AirGiven",
    "air_of",
    "equilibrium_in",
    "figures_of",
    "month_climates_of",
    "month_of",
    "whole_year",
]
