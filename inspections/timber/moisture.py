"""Moisture of wood: what the air makes of it, what a meter's figure is worth, and what the two say together.

Moisture is in % of dry mass, relative humidity in %, temperature in °C.
"""

from __future__ import annotations

from inspections.figures import between

COLDEST_AIR_C = -60.0
HOTTEST_AIR_C = 100.0
# Below this the fitted polynomials run away from sense; colder air is taken for air this cold.
COLDEST_FITTED_C = -20.0


def equilibrium_moisture_content_pct(*, temperature_c: float, relative_humidity_pct: float) -> float:
    """The moisture that wood comes to in still air of one temperature and humidity.

    An average over species; single woods lie within about 2 points (extractives in teak and iroko take off more).

    Args:
        temperature_c: of the air in °C, -60 to 100. The table behind the equation begins at -1.1 °C; down to -20 °C
            the equation is stretched, colder air counts as -20 °C.
        relative_humidity_pct: of the air in %, 0 to 100.

    Returns:
        Equilibrium moisture content in % of dry mass.

    Raises:
        Refused: a figure lies outside its range or is no number.

    Source:
        Wood Handbook FPL-GTR-190 (2010), equation 4-5 with the metric coefficients (a handbook; Hailwood and
        Horrobin 1946, coefficients after Simpson 1973).

    >>> round(equilibrium_moisture_content_pct(temperature_c=20, relative_humidity_pct=65), 1)
    12.0
    """
    t = max(between("temperature_c", temperature_c, COLDEST_AIR_C, HOTTEST_AIR_C, "°C"), COLDEST_FITTED_C)
    h = between("relative_humidity_pct", relative_humidity_pct, 0, 100, "%") / 100
    w = 349 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    k1 = 6.27 - 0.00938 * t - 0.000303 * t * t
    k2 = 1.91 + 0.0407 * t - 0.000293 * t * t
    kh = k * h
    k1kh = k1 * kh
    k1k2k2h2 = k1kh * k2 * kh
    return 1800 / w * (kh / (1 - kh) + (k1kh + 2 * k1k2k2h2) / (1 + k1kh + k1k2k2h2))


def relative_humidity_for_moisture_pct(*, temperature_c: float, moisture_pct: float) -> float | None:
    """The relative humidity in which wood keeps a given moisture: what a shed has to hold.

    Args:
        temperature_c: of the air in °C, -60 to 100.
        moisture_pct: wanted, in % of dry mass, 0 to 120.

    Returns:
        Relative humidity in %, to a hundredth, or None where even air at 100 % brings wood to less.

    Raises:
        Refused: a figure lies outside its range or is no number.

    Source:
        Wood Handbook FPL-GTR-190 (2010), equation 4-5 (a handbook), turned round by halving the interval.

    >>> round(relative_humidity_for_moisture_pct(temperature_c=20, moisture_pct=12))
    65
    >>> relative_humidity_for_moisture_pct(temperature_c=20, moisture_pct=40) is None
    True
    """
    wanted = between("moisture_pct", moisture_pct, 0, 120, "% of dry mass")
    low, high = 0.0, 100.0
    if equilibrium_moisture_content_pct(temperature_c=temperature_c, relative_humidity_pct=high) < wanted:
        return None
    while high - low > 0.005:
        middle = (low + high) / 2
        if equilibrium_moisture_content_pct(temperature_c=temperature_c, relative_humidity_pct=middle) < wanted:
            low = middle
        else:
            high = middle
    return (low + high) / 2


__all__ = ["equilibrium_moisture_content_pct", "relative_humidity_for_moisture_pct"]
