"""How much a plank swells and shrinks across its width when its moisture changes.

Along the grain wood moves so little (0.1 to 0.2 % from green to dry) that it is taken as nothing here.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

from inspections.figures import Number, between
from inspections.timber.species import Species
from yard.refusals import Refused

# Where the published coefficients hold: Wood Handbook eq. 13-2.
LINEAR_FROM_PCT = 6.0
LINEAR_TO_PCT = 14.0

# Coefficients against a real plank: 25 % either way, the reference data's own judgement of eq. 13-2.
REAL_PLANK_SPREAD = 0.25

# Fibre saturation, below which wood shrinks, unless the table says otherwise for a wood: Wood Handbook table 13-5.
SHRINKAGE_STARTS_PCT = 30.0


@dataclass(frozen=True, slots=True)
class Movement:
    """What a change of moisture does to a width. Swelling is positive."""

    change_mm: float
    low_mm: float
    high_mm: float
    """The range a real plank may lie in, 25 % either way: the size of the change, without sign."""
    equation: str
    """`13-2` (published coefficient) or `13-3` (from total shrinkage)."""
    reasons: tuple[str, ...]


def change_by_coefficient_mm(
    *, width_mm: Number, coefficient_per_pct: Number, from_moisture_pct: Number, to_moisture_pct: Number
) -> float:
    """The change of a width by a published coefficient, in mm; swelling is positive.

    Args:
        width_mm: at the moisture it starts from, in mm, 0 to 5000.
        coefficient_per_pct: C_R or C_T, as a fraction of the width per % of moisture, 0 to 0.01.
        from_moisture_pct: in % of dry mass, 6 to 14.
        to_moisture_pct: in % of dry mass, 6 to 14.

    Raises:
        Refused: a figure outside its range; beyond 6 to 14 % the straight line does not hold.

    Source: Wood Handbook (FPL-GTR-190, 2010), eq. 13-2: D C (M_F - M_I), a handbook.

    >>> round(change_by_coefficient_mm(width_mm=232, coefficient_per_pct=0.00245, from_moisture_pct=8,
    ...                                to_moisture_pct=11), 1)
    1.7
    """
    width = between("width_mm", width_mm, 0, 5000, "mm")
    coefficient = between("coefficient_per_pct", coefficient_per_pct, 0, 0.01, "per %")
    start = between("from_moisture_pct", from_moisture_pct, LINEAR_FROM_PCT, LINEAR_TO_PCT, "% of dry mass")
    end = between("to_moisture_pct", to_moisture_pct, LINEAR_FROM_PCT, LINEAR_TO_PCT, "% of dry mass")
    return width * coefficient * (end - start)


def change_by_shrinkage_mm(
    *,
    width_mm: Number,
    shrinkage_pct: Number,
    from_moisture_pct: Number,
    to_moisture_pct: Number,
    shrinkage_starts_pct: Number = SHRINKAGE_STARTS_PCT,
) -> float:
    """The change of a width by the wood's total shrinkage, in mm; swelling is positive.

    Above the moisture at which shrinkage starts nothing more moves.

    Args:
        width_mm: at the moisture it starts from, in mm, 0 to 5000.
        shrinkage_pct: from green to oven-dry, in % of the green width, above 0 to 20.
        from_moisture_pct: in % of dry mass, 0 to 300.
        to_moisture_pct: in % of dry mass, 0 to 300.
        shrinkage_starts_pct: where shrinkage begins, in % of dry mass, 15 to 40.

    Raises:
        Refused: a figure outside its range.

    Source: Wood Handbook (FPL-GTR-190, 2010), eq. 13-3: D (M_F - M_I) / (3000/S - 30 + M_I), a handbook; with
    another start than 30 % it is derived the same way.

    >>> round(change_by_shrinkage_mm(width_mm=150, shrinkage_pct=10.5, from_moisture_pct=12, to_moisture_pct=25), 2)
    7.28
    """
    width = between("width_mm", width_mm, 0, 5000, "mm")
    shrinkage = between("shrinkage_pct", shrinkage_pct, 0, 20, "%")
    starts = between("shrinkage_starts_pct", shrinkage_starts_pct, 15, 40, "% of dry mass")
    start = min(between("from_moisture_pct", from_moisture_pct, 0, 300, "% of dry mass"), starts)
    end = min(between("to_moisture_pct", to_moisture_pct, 0, 300, "% of dry mass"), starts)
    if shrinkage == 0:
        raise Refused("shrinkage_pct", "no wood is without shrinkage", "give a figure above 0, up to 20 %")
    return width * (end - start) / (100 * starts / shrinkage - starts + start)


def across_the_rings(*, radial: Number, tangential: Number, ring_angle_deg: Number) -> float:
    """A plank's coefficient (per %) or shrinkage (%) for rings at an angle to its face; in the unit it is given in.

    Args:
        radial: figure across the rings, per % or in %, 0 to 20.
        tangential: figure along the rings, in the same unit, 0 to 20.
        ring_angle_deg: between rings and face as seen on the end, in degrees: 0 flat-sawn, 90 quarter-sawn.

    Raises:
        Refused: a figure outside its range.

    Source: transformation of strain, T cos² + R sin²: mechanics textbooks, no standard.

    >>> round(across_the_rings(radial=0.0018, tangential=0.00365, ring_angle_deg=45), 6)
    0.002725
    """
    across = between("radial", radial, 0, 20, "")
    along = between("tangential", tangential, 0, 20, "")
    angle = radians(between("ring_angle_deg", ring_angle_deg, 0, 90, "degrees"))
    return along * cos(angle) ** 2 + across * sin(angle) ** 2


def plank_movement(
    *,
    species: Species,
    ring_angle_deg: Number,
    width_mm: Number,
    from_moisture_pct: Number,
    to_moisture_pct: Number,
) -> Movement:
    """What a plank of a known wood does when its moisture changes, in mm.

    Args:
        species: from `species.species_named` or `species.all_species`.
        ring_angle_deg: between rings and face, in degrees: 0 flat-sawn, 90 quarter-sawn.
        width_mm: at the moisture it starts from, in mm, 0 to 5000.
        from_moisture_pct: in % of dry mass, 0 to 300.
        to_moisture_pct: in % of dry mass, 0 to 300.

    Raises:
        Refused: a figure outside its range, or a wood of whose movement nothing is known.

    Source: Wood Handbook (FPL-GTR-190, 2010), a handbook: eq. 13-2 within 6 to 14 %, eq. 13-3 beyond and where no
    coefficient is published, though never less than eq. 13-2 gives for the part within 6 to 14 %.

    >>> from inspections.timber.species import species_named
    >>> moved = plank_movement(species=species_named("white oak"), ring_angle_deg=0, width_mm=150,
    ...                        from_moisture_pct=12, to_moisture_pct=14)
    >>> round(moved.change_mm, 3), moved.equation
    (1.095, '13-2')
    """
    angle = between("ring_angle_deg", ring_angle_deg, 0, 90, "degrees")
    width = between("width_mm", width_mm, 0, 5000, "mm")
    start = between("from_moisture_pct", from_moisture_pct, 0, 300, "% of dry mass")
    end = between("to_moisture_pct", to_moisture_pct, 0, 300, "% of dry mass")
    inner_start, inner_end = (min(max(moisture, LINEAR_FROM_PCT), LINEAR_TO_PCT) for moisture in (start, end))
    by_line = _by_coefficient(species, angle, width, inner_start, inner_end)
    if (inner_start, inner_end) == (start, end) and by_line is not None:
        change, equation = by_line, "13-2"
    else:
        # The two equations differ for some woods; a wider change of moisture never comes out as a smaller movement.
        whole = _by_shrinkage(species, angle, width, start, end)
        change, equation = max(by_line or 0.0, whole, key=abs), "13-3"
    low, high = abs(change) * (1 - REAL_PLANK_SPREAD), abs(change) * (1 + REAL_PLANK_SPREAD)
    does = "swells" if change > 0 else "shrinks" if change < 0 else "stays"
    said = (
        f"{species.name}, {width:g} mm, {_sawn(angle)}: from {start:.1f} to {end:.1f} % it {does} by about "
        f"{abs(change):.1f} mm ({low:.1f} to {high:.1f} mm)."
    )
    return Movement(change, low, high, equation, (said,))


def _by_coefficient(species: Species, angle: float, width: float, start: float, end: float) -> float | None:
    if species.c_r_per_pct is None or species.c_t_per_pct is None:
        return None
    coefficient = across_the_rings(radial=species.c_r_per_pct, tangential=species.c_t_per_pct, ring_angle_deg=angle)
    return change_by_coefficient_mm(
        width_mm=width, coefficient_per_pct=coefficient, from_moisture_pct=start, to_moisture_pct=end
    )


def _by_shrinkage(species: Species, angle: float, width: float, start: float, end: float) -> float:
    if species.shrinkage_radial_pct is None or species.shrinkage_tangential_pct is None:
        raise Refused("species", f"how much {species.name} moves is not known", "give a wood whose shrinkage is")
    shrinkage = across_the_rings(
        radial=species.shrinkage_radial_pct, tangential=species.shrinkage_tangential_pct, ring_angle_deg=angle
    )
    return change_by_shrinkage_mm(
        width_mm=width,
        shrinkage_pct=shrinkage,
        from_moisture_pct=start,
        to_moisture_pct=end,
        shrinkage_starts_pct=species.shrinkage_starts_pct or SHRINKAGE_STARTS_PCT,
    )


def _sawn(ring_angle_deg: float) -> str:
    if ring_angle_deg < 30:
        return "flat-sawn"
    return "quarter-sawn" if ring_angle_deg > 60 else "rift-sawn"


__all__ = [
    "Movement",
    "across_the_rings",
    "change_by_coefficient_mm",
    "change_by_shrinkage_mm",
    "plank_movement",
]
