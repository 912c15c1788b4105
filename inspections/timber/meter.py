"""What a resistance meter's figure is worth: a range, as wide as what is not known about the reading.

Moisture is in % of dry mass, temperature in °C.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from inspections.figures import between
from inspections.timber.species import species_named

HIGHEST_READING_PCT: Final = 120.0

# What a resistance meter can tell: makers' and handbook limits (secondary); its error with and without the right
# species set (± points: an abstract; secondary).
METER_FROM_PCT: Final = 6.0
METER_TO_PCT: Final = 30.0
_ERROR_SPECIES_SET: Final = 1.0
_ERROR_IN_USE: Final = 2.0
_METER_REFERENCE_C: Final = 20.0
# One maker corrects 0.1 point per °C; others need nothing from 10 to 32.2 °C; the published formula is trusted from
# 0 to 40 °C, and a point of error is added beyond.
_POINTS_PER_C: Final = 0.1
_NO_CORRECTION_C: Final = (10.0, 32.2)
_TRUSTED_C: Final = (0.0, 40.0)
_ERROR_BEYOND: Final = 1.0
# Unmeasured wood is taken to have been anywhere between these.
_UNMEASURED_C: Final = (5.0, 30.0)
# One maker's species corrections as a share of the reading: teak reads 24 for 20, Sitka spruce 15 for 16.
_SPECIES_SHARE: Final = {"teak": -4 / 24, "spruce_sitka": 1 / 15}
# Common practice, no source: salt lets a meter read up to half as much again as is there.
SALT_SHARE: Final = 1 / 3


class MeterReach(StrEnum):
    """Whether a resistance meter can tell what it shows."""

    BELOW = "below"
    WITHIN = "within"
    ABOVE = "above"


@dataclass(frozen=True, slots=True)
class MoistureEstimate:
    """What a meter's figure is worth, in % of dry mass; `high_pct` is None where the meter sets no upper end."""

    low_pct: float
    likely_pct: float
    high_pct: float | None
    reach: MeterReach
    reasons: tuple[str, ...]


def corrected_reading(
    *,
    reading_pct: float,
    wood_temperature_c: float | None = None,
    species: str | None = None,
    meter_set_to_species: bool = False,
    salt_recorded: bool = False,
) -> MoistureEstimate:
    """What a resistance meter's figure is worth, as a range: cold wood reads low, warm wood reads high.

    The published temperature formula and the makers' rules do not agree; the likely figure lies between them and
    the range takes in all of them. A species correction is never applied, only allowed for: no table of them was
    trusted. Below 6 % and above 30 % the meter can't tell how dry or how wet the wood is, and the range says so.

    Args:
        reading_pct: what the meter shows, in % of dry mass, 0 to 120.
        wood_temperature_c: of the wood in °C, -40 to 70; None where nobody measured it, which widens the range.
        species: as the yard writes it; None or an unknown one changes nothing.
        meter_set_to_species: whether the meter was set to that wood, which halves the error.
        salt_recorded: whether the wood has been in salt water and was not washed; salt reads as moisture.

    Returns:
        Low, likely and high moisture in % of dry mass, whether the meter reaches so far, and why the range is wide.

    Raises:
        Refused: a figure lies outside its range or is no number, or the species' name is too long.

    Source:
        Pfaff and Garrahan 1986 for the formula (a published method, from memory, low confidence); makers' manuals
        for 0.1 point per °C and for the band that needs none (seen); James 1988, FPL-GTR-6, for the limit of 30 %
        (a handbook, its abstract). The allowance for salt is common practice, no source.

    >>> cold = corrected_reading(reading_pct=15, wood_temperature_c=5)
    >>> round(cold.low_pct, 1), round(cold.likely_pct, 1), round(cold.high_pct, 1)
    (14.5, 16.6, 18.7)
    """
    return estimate(
        between("reading_pct", reading_pct, 0, HIGHEST_READING_PCT, "% of dry mass"),
        None if wood_temperature_c is None else between("wood_temperature_c", wood_temperature_c, -40, 70, "°C"),
        None,
        species,
        meter_set_to_species,
        salt_recorded,
    )


def estimate(
    shown: float,
    wood_c: float | None,
    air_c: float | None,
    species: str | None,
    meter_set_to_species: bool,
    salt: bool,
) -> MoistureEstimate:
    """As `corrected_reading`, of figures already checked; the air's temperature stands in for the wood's."""
    reasons = []
    told = min(shown, METER_TO_PCT)
    error = _ERROR_SPECIES_SET if meter_set_to_species and species else _ERROR_IN_USE
    if wood_c is not None:
        corrections = _temperature_corrections(told, wood_c)
        likely_correction = sum(corrections[:2]) / 2
        if not _TRUSTED_C[0] <= wood_c <= _TRUSTED_C[1]:
            error += _ERROR_BEYOND
            reasons.append(f"Wood at {wood_c:g} °C: no rule for correcting the meter is trusted there.")
        elif abs(likely_correction) >= 0.5:
            reasons.append(f"Wood at {wood_c:g} °C shifts a meter by about {-likely_correction:+.1f} points.")
    else:
        at = _UNMEASURED_C if air_c is None else (min(max(air_c, -20.0), 60.0), _METER_REFERENCE_C)
        corrections = tuple(part for degrees in at for part in _temperature_corrections(told, degrees))
        likely_correction = 0.0 if air_c is None else sum(corrections[:2]) / 2
        reasons.append("Nobody measured the wood's temperature, so the range is wider.")
    share = 0.0 if meter_set_to_species or not species else _species_share(species)
    if share:
        reasons.append("Meters that are not set to this wood misread it.")
    low = told + min(corrections) + told * min(share, 0.0) - error
    high: float | None = max(told + max(corrections) + told * max(share, 0.0) + error, METER_FROM_PCT)
    reach = MeterReach.WITHIN
    if shown < METER_FROM_PCT:
        low, reach = 0.0, MeterReach.BELOW
        reasons.append(f"Below {METER_FROM_PCT:g} % a meter can't tell how dry the wood is.")
    elif shown > METER_TO_PCT:
        high, reach = None, MeterReach.ABOVE
        reasons.append(f"Above {METER_TO_PCT:g} % a meter shows that wood is soaked, and not by how much.")
    if salt:
        low -= told * SALT_SHARE
        reasons.append("Salt reads as moisture: wash it, let it dry and read it again.")
    likely = max(shown + likely_correction, 0.0)
    return MoistureEstimate(max(low, 0.0), likely, high, reach, tuple(reasons))


def _temperature_corrections(shown: float, wood_c: float) -> tuple[float, ...]:
    """By the formula relative to 20 °C, by one maker's rule, and none at all where others see no need."""
    formula = _by_formula(shown, wood_c) - _by_formula(shown, _METER_REFERENCE_C)
    rule = _POINTS_PER_C * (_METER_REFERENCE_C - wood_c)
    return (formula, rule, 0.0) if _NO_CORRECTION_C[0] <= wood_c <= _NO_CORRECTION_C[1] else (formula, rule)


def _by_formula(shown: float, wood_c: float) -> float:
    return (shown + 0.567 - 0.0260 * wood_c + 0.000051 * wood_c * wood_c) / (0.881 * math.pow(1.0056, wood_c))


def _species_share(species: str) -> float:
    wood = species_named(species)
    return 0.0 if wood is None else _SPECIES_SHARE.get(wood.code, 0.0)


__all__ = ["MeterReach", "MoistureEstimate", "corrected_reading"]
