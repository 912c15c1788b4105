"""What a year of the yard's climate does to wood: between what moistures it goes, and how much a plank moves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inspections.figures import Number
from inspections.timber.climate import MonthClimate
from inspections.timber.moisture import equilibrium_moisture_content_pct
from inspections.timber.movement import Movement, plank_movement
from inspections.timber.species import Species
from yard.refusals import Refused

# Wood under a coat follows the air of several months, not of one; what gets through of the year's swing is common
# practice, no source: half of it for wood that is coated all round.
COATED_SHARE = 0.5


@dataclass(frozen=True, slots=True)
class MoistureRange:
    """Between what and what the moisture of wood goes in a year, in % of dry mass."""

    low_pct: float
    high_pct: float
    driest_month: int
    wettest_month: int
    reasons: tuple[str, ...]


def moisture_range_of_year(*, months: Sequence[MonthClimate], coated: bool = False) -> MoistureRange:
    """Between what and what wood in the open air goes in a year, in % of dry mass, from monthly normals.

    Args:
        months: the normals of a year, twelve, in °C and %.
        coated: all faces sealed: about half of the swing gets through.

    Raises:
        Refused: not twelve months.

    Source: equilibrium of Wood Handbook (FPL-GTR-190, 2010), eq. 4-5, a handbook; half the swing under a coat is
    common practice, no source. Sun on a deck dries further and rain wets further than the air alone.

    >>> year = [MonthClimate(month, 10, 60 if 4 <= month <= 9 else 80) for month in range(1, 13)]
    >>> found = moisture_range_of_year(months=year)
    >>> round(found.low_pct, 1), round(found.high_pct, 1), found.driest_month
    (11.2, 16.4, 4)
    """
    if len(months) != 12:
        raise Refused("months", f"there are {len(months)}", "give the normals of all twelve months")
    by_month = {
        month.month: equilibrium_moisture_content_pct(
            temperature_c=month.temperature_c, relative_humidity_pct=month.relative_humidity_pct
        )
        for month in months
    }
    if len(by_month) != 12:
        raise Refused("months", "a month comes twice", "give each month once")
    driest, wettest = min(by_month, key=by_month.__getitem__), max(by_month, key=by_month.__getitem__)
    middle = sum(by_month.values()) / 12
    share = COATED_SHARE if coated else 1.0
    low, high = (middle + share * (by_month[month] - middle) for month in (driest, wettest))
    said = f"The year's air takes {'coated' if coated else 'bare'} wood from {low:.1f} to {high:.1f} %."
    return MoistureRange(low, high, driest, wettest, (said,))


def seasonal_movement(
    *, species: Species, ring_angle_deg: Number, width_mm: Number, moisture: MoistureRange
) -> Movement:
    """How much a plank swells from the driest to the wettest month, in mm.

    Args:
        species: from `species.species_named` or `species.all_species`.
        ring_angle_deg: between rings and face, in degrees: 0 flat-sawn, 90 quarter-sawn.
        width_mm: in the driest month, in mm, 0 to 5000.
        moisture: from `moisture_range_of_year`, in % of dry mass.

    Raises:
        Refused: a figure outside its range, or a wood of whose movement nothing is known.

    Source: as `movement.plank_movement`: Wood Handbook (FPL-GTR-190, 2010), eq. 13-2 and 13-3, a handbook.

    >>> from inspections.timber.species import species_named
    >>> year = MoistureRange(low_pct=10, high_pct=14, driest_month=6, wettest_month=12, reasons=())
    >>> moved = seasonal_movement(species=species_named("teak"), ring_angle_deg=90, width_mm=45, moisture=year)
    >>> round(moved.change_mm, 3)
    0.182
    """
    return plank_movement(
        species=species,
        ring_angle_deg=ring_angle_deg,
        width_mm=width_mm,
        from_moisture_pct=moisture.low_pct,
        to_moisture_pct=moisture.high_pct,
    )


__all__ = ["MoistureRange", "moisture_range_of_year", "seasonal_movement"]
