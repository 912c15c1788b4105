"""Moisture of wood: what the air makes of it, what a meter's figure is worth, and what the two say together.

Moisture is in % of dry mass, relative humidity in %, temperature in °C.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from inspections.figures import between
from inspections.timber.meter import (
    HIGHEST_READING_PCT,
    METER_TO_PCT,
    SALT_SHARE,
    MeterReach,
    MoistureEstimate,
    corrected_reading,
    estimate,
)

COLDEST_AIR_C: Final = -60.0
HOTTEST_AIR_C: Final = 100.0
# Below this the fitted polynomials run away from sense; colder air is taken for air this cold.
COLDEST_FITTED_C: Final = -20.0

# The verdict on a reading. Wood Handbook: below 20 % decay neither starts nor goes on; near fibre saturation (28 %,
# two points kept back for the meter) vapour alone explains no more. The rest is common practice, no source.
DRY_PCT: Final = 15.0
SAFE_PCT: Final = 20.0
VAPOUR_TOP_PCT: Final = 28.0
WEATHER_SLACK_POINTS: Final = 3.0
CONTRAST_POINTS: Final = 4.0
REPEATS_WITHIN_POINTS: Final = 2.0
# Common salt draws water out of air damper than this at 20 °C (Greenspan 1977, from memory: 75.5 %).
SALT_DRAWS_FROM_RH_PCT: Final = 75.0


class MoistureVerdict(StrEnum):
    """What a reading says beside the weather. In rising order."""

    DRY = "dry"
    DAMP_AS_THE_WEATHER = "damp_as_the_weather"
    WET_FOR_A_REASON = "wet_for_a_reason"


class ContrastVerdict(StrEnum):
    """How a spot stands out from sound wood beside it. In rising order."""

    NONE = "none"
    SLIGHT = "slight"
    CLEAR = "clear"


@dataclass(frozen=True, slots=True)
class ReadingVerdict:
    """A reading beside what the weather explains. `sure` says that the whole range of the estimate agrees."""

    verdict: MoistureVerdict
    sure: bool
    moisture: MoistureEstimate
    equilibrium_pct: float
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MoistureContrast:
    """How much wetter a spot is than the wood beside it, in points; None where the meter sets no end."""

    low_points: float | None
    likely_points: float
    high_points: float | None
    verdict: ContrastVerdict
    reasons: tuple[str, ...]


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


def reading_against_climate(
    *,
    reading_pct: float,
    air_temperature_c: float,
    relative_humidity_pct: float,
    wood_temperature_c: float | None = None,
    species: str | None = None,
    meter_set_to_species: bool = False,
    salt_recorded: bool = False,
) -> ReadingVerdict:
    """Whether a reading is dry, what the month's weather explains, or more than that.

    Dry is a likely moisture up to 15 %. Up to 3 points over what the month's air brings wood to, and never above
    28 %, the weather explains it. Beyond that water gets in, or salt holds it. The verdict goes by the likely
    figure and never gets milder for salt or for a wide range: those make it unsure.

    Args:
        reading_pct: what the meter shows, in % of dry mass, 0 to 120.
        air_temperature_c: mean of the month in °C, or of the shed, -60 to 60.
        relative_humidity_pct: mean of the month or of the shed, 0 to 100.
        wood_temperature_c: of the wood in °C, -40 to 70; None takes the air's and widens the range.
        species: as the yard writes it; None or an unknown one changes nothing.
        meter_set_to_species: whether the meter was set to that wood.
        salt_recorded: whether the wood has been in salt water and was not washed.

    Returns:
        The verdict, whether all of the range agrees, the estimate and the air's figure in % of dry mass, reasons.

    Raises:
        Refused: a figure lies outside its range or is no number, or the species' name is too long.

    Source:
        Wood Handbook FPL-GTR-190 (2010), equation 4-5, for what the air explains (a handbook); 15 %, 3 points and
        28 % are common practice, no source.

    >>> spring = {"air_temperature_c": 8, "relative_humidity_pct": 75, "wood_temperature_c": 8}
    >>> str(reading_against_climate(reading_pct=16, **spring).verdict)
    'damp_as_the_weather'
    >>> str(reading_against_climate(reading_pct=26, **spring).verdict)
    'wet_for_a_reason'
    """
    shown = between("reading_pct", reading_pct, 0, HIGHEST_READING_PCT, "% of dry mass")
    air_c = between("air_temperature_c", air_temperature_c, COLDEST_AIR_C, 60, "°C")
    wood_c = (
        None if wood_temperature_c is None else between("wood_temperature_c", wood_temperature_c, -40, 70, "°C")
    )
    equilibrium = equilibrium_moisture_content_pct(temperature_c=air_c, relative_humidity_pct=relative_humidity_pct)
    moisture = estimate(shown, wood_c, air_c, species, meter_set_to_species, salt_recorded)
    top = min(equilibrium + WEATHER_SLACK_POINTS, VAPOUR_TOP_PCT)
    low, likely, high = moisture.low_pct, moisture.likely_pct, moisture.high_pct
    if likely <= DRY_PCT:
        verdict, sure = MoistureVerdict.DRY, high is not None and high <= SAFE_PCT
        says = f"About {likely:.0f} % is dry wood."
    elif likely <= top:
        verdict, sure = MoistureVerdict.DAMP_AS_THE_WEATHER, high is not None and high <= top
        says = f"About {likely:.0f} % is what the month's air explains: it brings wood to {equilibrium:.0f} %."
    else:
        verdict, sure = MoistureVerdict.WET_FOR_A_REASON, low > max(top, DRY_PCT)
        says = f"About {likely:.0f} % is more than the month's air explains: it brings wood to {equilibrium:.0f} %."
    reasons = [says, *moisture.reasons]
    if salt_recorded and relative_humidity_pct >= SALT_DRAWS_FROM_RH_PCT:
        reasons.append(f"At {relative_humidity_pct:g} % humidity salt draws water from the air by itself.")
    return ReadingVerdict(verdict, sure, moisture, equilibrium, tuple(reasons))


def contrast(*, spot_pct: float, beside_pct: float, salt_recorded: bool = False) -> MoistureContrast:
    """How a spot stands out from sound wood beside it, read with the same meter at the same time.

    What puts a meter off (temperature, species, weather) puts it off at both, so the difference says more than
    either figure.

    Args:
        spot_pct: reading at the spot, in % of dry mass, 0 to 120.
        beside_pct: reading in sound wood of the same piece, in % of dry mass, 0 to 120.
        salt_recorded: whether salt may lie in one more than in the other.

    Returns:
        Low, likely and high difference in points of moisture, and a verdict: clear from 4 points, none up to 2.

    Raises:
        Refused: a reading lies outside its range or is no number.

    Source:
        Common practice, no source: a meter repeats within 2 points, and 4 points are more than chance; above 30 %
        differences count for nothing (James 1988, FPL-GTR-6, its abstract).

    >>> str(contrast(spot_pct=22, beside_pct=15).verdict)
    'clear'
    """
    spot = between("spot_pct", spot_pct, 0, HIGHEST_READING_PCT, "% of dry mass")
    beside = between("beside_pct", beside_pct, 0, HIGHEST_READING_PCT, "% of dry mass")
    difference = spot - beside
    reasons = [f"{spot:g} % here, {beside:g} % beside it."]
    low: float | None = difference - REPEATS_WITHIN_POINTS
    high: float | None = difference + REPEATS_WITHIN_POINTS
    if salt_recorded:
        low = difference - REPEATS_WITHIN_POINTS - min(spot, METER_TO_PCT) * SALT_SHARE
        reasons.append("Salt reads as moisture and may make the difference: wash both, let them dry, read again.")
    if spot > METER_TO_PCT:
        high = None
    if beside > METER_TO_PCT:
        low = None
    if high is None and low is None:
        reasons.append(f"Both are above {METER_TO_PCT:g} %, where a meter can't tell them apart: both are soaked.")
        return MoistureContrast(low, difference, high, ContrastVerdict.NONE, tuple(reasons))
    verdict = ContrastVerdict.SLIGHT
    if difference >= CONTRAST_POINTS:
        verdict = ContrastVerdict.CLEAR
    elif difference <= REPEATS_WITHIN_POINTS:
        verdict = ContrastVerdict.NONE
    return MoistureContrast(low, difference, high, verdict, tuple(reasons))


__all__ = [
    "ContrastVerdict",
    "MeterReach",
    "MoistureContrast",
    "MoistureEstimate",
    "MoistureVerdict",
    "ReadingVerdict",
    "contrast",
    "corrected_reading",
    "equilibrium_moisture_content_pct",
    "reading_against_climate",
    "relative_humidity_for_moisture_pct",
]
