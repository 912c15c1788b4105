"""Humid air: the dew point, and what becomes of the humidity when the air warms or cools."""

from __future__ import annotations

from math import exp, log

from inspections.figures import Number, between

# Magnus set of Alduchov and Eskridge 1996, over water, -40 to 50 °C.
MAGNUS_A = 17.625
MAGNUS_B_C = 243.04


def dew_point_c(*, temperature_c: Number, relative_humidity_pct: Number) -> float:
    """The temperature at which this air begins to leave water on a surface, in °C.

    Args:
        temperature_c: of the air, in °C, -60 to 60; the set was fitted from -40 to 50 °C and is stretched beyond.
        relative_humidity_pct: of the air over water, in %, 1 to 100.

    Raises:
        Refused: a figure outside its range.

    Source: Magnus formula with the set of Alduchov and Eskridge (J. Appl. Meteor. 35, 1996), a paper; the formula
    is the one of WMO No. 8, a guide. Below 0 °C it is the dew point over water, above the frost point.

    >>> round(dew_point_c(temperature_c=20, relative_humidity_pct=65), 2)
    13.22
    """
    temperature = between("temperature_c", temperature_c, -60, 60, "°C")
    humidity = between("relative_humidity_pct", relative_humidity_pct, 1, 100, "%")
    gamma = log(humidity / 100) + MAGNUS_A * temperature / (MAGNUS_B_C + temperature)
    return MAGNUS_B_C * gamma / (MAGNUS_A - gamma)


def humidity_at_pct(*, temperature_c: Number, dew_point_c: Number) -> float:
    """The relative humidity of air of this dew point when it has this temperature, in %.

    Air that cools below its dew point stays at 100 %.

    Args:
        temperature_c: of the air, in °C, -60 to 60; the set was fitted from -40 to 50 °C and is stretched beyond.
        dew_point_c: of the air, in °C, -150 to 60.

    Raises:
        Refused: a figure outside its range.

    Source: Magnus formula with the set of Alduchov and Eskridge (J. Appl. Meteor. 35, 1996), a paper.

    >>> round(humidity_at_pct(temperature_c=20, dew_point_c=13.22))
    65
    """
    temperature = between("temperature_c", temperature_c, -60, 60, "°C")
    dew_point = between("dew_point_c", dew_point_c, -150, 60, "°C")
    exponent = MAGNUS_A * dew_point / (MAGNUS_B_C + dew_point) - MAGNUS_A * temperature / (MAGNUS_B_C + temperature)
    return min(100.0, 100.0 * exp(exponent))


__all__ = ["dew_point_c", "humidity_at_pct"]
