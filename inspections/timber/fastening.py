"""Screws in wood: how hard they are to pull, how big the hole must be, how thick a gauge number is.

Every load here is the ultimate one, the mean at which test pieces let go in a few minutes. What may be relied on
is a fraction of it: see `fittings`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from inspections.figures import Number, between
from yard.refusals import Refused

MM_PER_INCH = 25.4

# Root diameter over shank diameter of a common wood screw: Wood Handbook ch. 8.
ROOT_OVER_SHANK = 0.67
# Withdrawal out of end grain over that out of side grain: Wood Handbook ch. 8, an average with a wide scatter.
END_OVER_SIDE_GRAIN = 0.75


class Fastener(StrEnum):
    """What holds a fitting down."""

    WOOD_SCREW = "wood_screw"
    LAG_SCREW = "lag_screw"
    THROUGH_BOLT = "through_bolt"


class WoodType(StrEnum):
    """The botanist's two kinds of timber; balsa is a hardwood, yew a softwood."""

    HARDWOOD = "hardwood"
    SOFTWOOD = "softwood"


@dataclass(frozen=True, slots=True)
class LeadHole:
    """Bounds of the holes to bore for one screw."""

    thread_hole_min_mm: float
    thread_hole_max_mm: float
    shank_hole_mm: float
    needed: bool
    """False in light wood, where a wood screw may go in without a hole; near an end or edge it still wants one."""
    reasons: tuple[str, ...]


def _gravity(specific_gravity: Number) -> float:
    return between("specific_gravity", specific_gravity, 0.1, 1.2, "(dry mass over volume at 12 % moisture)")


def wood_screw_withdrawal_n(
    *, specific_gravity: Number, diameter_mm: Number, penetration_mm: Number, end_grain: bool = False
) -> float:
    """The ultimate pull that draws one wood screw straight out of dry, sound wood, in N.

    Args:
        specific_gravity: oven-dry mass over volume at 12 % moisture, no unit, 0.1 to 1.2.
        diameter_mm: shank diameter in mm, 1 to 12.
        penetration_mm: length of thread in the wood that holds, in mm, above 0 to 300.
        end_grain: driven along the grain; takes a quarter off, and is not to be relied on.

    Raises:
        Refused: a figure outside its range.

    Source: Wood Handbook (FPL-GTR-190, 2010), ch. 8, eq. 8-10: p = 108.25 G² D L, a handbook; found for seasoned
    wood and lead holes of 70 % (softwood) or 90 % (hardwood) of the root diameter.

    >>> round(wood_screw_withdrawal_n(specific_gravity=0.68, diameter_mm=4.83, penetration_mm=25.4))
    6141
    """
    gravity = _gravity(specific_gravity)
    diameter = between("diameter_mm", diameter_mm, 1, 12, "mm")
    length = _penetration(penetration_mm)
    return 108.25 * gravity**2 * diameter * length * (END_OVER_SIDE_GRAIN if end_grain else 1.0)


def lag_screw_withdrawal_n(
    *, specific_gravity: Number, diameter_mm: Number, penetration_mm: Number, end_grain: bool = False
) -> float:
    """The ultimate pull that draws one lag screw (coach screw) straight out of dry, sound wood, in N.

    Args:
        specific_gravity: oven-dry mass over volume at 12 % moisture, no unit, 0.1 to 1.2.
        diameter_mm: shank diameter in mm, 4 to 32.
        penetration_mm: length of thread in the wood that holds, without the tip, in mm, above 0 to 300.
        end_grain: driven along the grain; takes a quarter off.

    Raises:
        Refused: a figure outside its range.

    Source: Wood Handbook (FPL-GTR-190, 2010), ch. 8, eq. 8-14: p = 125.4 G^1.5 D^0.75 L, a handbook. From about
    7 diameters of thread in dense wood (10 to 12 in light wood) the screw breaks before it draws.

    >>> round(lag_screw_withdrawal_n(specific_gravity=0.48, diameter_mm=9.53, penetration_mm=76.2))
    17236
    """
    gravity = _gravity(specific_gravity)
    diameter = between("diameter_mm", diameter_mm, 4, 32, "mm")
    length = _penetration(penetration_mm)
    return (
        125.4
        * math.pow(gravity, 1.5)
        * math.pow(diameter, 0.75)
        * length
        * (END_OVER_SIDE_GRAIN if end_grain else 1.0)
    )


def _penetration(penetration_mm: Number) -> float:
    length = between("penetration_mm", penetration_mm, 0, 300, "mm")
    if length == 0:
        raise Refused("penetration_mm", "no thread is in the wood", "give a length above 0, up to 300 mm")
    return length


def screw_gauge_diameter_mm(*, gauge_number: int) -> float:
    """The shank diameter of a wood screw sold by gauge number, in mm.

    Args:
        gauge_number: the number on the box, a whole number without unit, 0 to 24.

    Raises:
        Refused: no whole number, or one that screws are not made in.

    Source: 0.060 in + 0.013 in per number (ASME B18.6.1, a standard; from memory).

    >>> round(screw_gauge_diameter_mm(gauge_number=8), 2)
    4.17
    """
    number = between("gauge_number", gauge_number, 0, 24, "(gauge number)")
    if number != int(number):
        raise Refused("gauge_number", f"{number:g} is no gauge number", "give a whole number from 0 to 24")
    return (0.060 + 0.013 * number) * MM_PER_INCH


def lead_hole(
    *, fastener: Fastener, diameter_mm: Number, specific_gravity: Number, wood_type: WoodType
) -> LeadHole:
    """Bounds, in mm, of the lead hole for the thread and the clearance hole for the shank of one screw.

    Args:
        fastener: wood screw or lag screw (a through-bolt has a hole of its own size).
        diameter_mm: shank diameter in mm, 1 to 32.
        specific_gravity: oven-dry mass over volume at 12 % moisture, no unit, 0.1 to 1.2.
        wood_type: hardwood or softwood; the handbook's rule for wood screws goes by it.

    Raises:
        Refused: a figure outside its range, or a fastener without thread in the wood.

    Source: Wood Handbook (FPL-GTR-190, 2010), ch. 8, a handbook, and National Design Specification for Wood
    Construction, a standard; the percentages are from memory. Bounds for trying on an offcut, not a target.

    >>> hole = lead_hole(fastener=Fastener.WOOD_SCREW, diameter_mm=4.83, specific_gravity=0.68,
    ...                  wood_type=WoodType.HARDWOOD)
    >>> round(hole.thread_hole_min_mm, 2), round(hole.thread_hole_max_mm, 2), hole.shank_hole_mm
    (2.91, 2.91, 4.83)
    """
    gravity = _gravity(specific_gravity)
    diameter = between("diameter_mm", diameter_mm, 1, 32, "mm")
    if fastener is Fastener.LAG_SCREW:
        return _lag_hole(gravity, diameter)
    if fastener is Fastener.WOOD_SCREW:
        return _wood_screw_hole(gravity, diameter, wood_type)
    raise Refused("fastener", "a through-bolt has no thread in the wood", "give wood_screw or lag_screw")


def _wood_screw_hole(gravity: float, diameter: float, wood_type: WoodType) -> LeadHole:
    handbook = 0.90 if wood_type is WoodType.HARDWOOD else 0.70
    # The design specification goes by density alone and asks for no hole in light wood.
    specification = 0.90 if gravity > 0.6 else 0.70 if gravity > 0.5 else None
    shares = sorted({handbook, specification or handbook})
    root = ROOT_OVER_SHANK * diameter
    reasons = [f"The handbook bores {handbook:.0%} of the thread's root for a {wood_type.value}."]
    if specification is None:
        reasons.append("The design specification asks for no hole in wood as light as this.")
    else:
        reasons.append(
            f"The design specification bores {specification:.0%} at a specific gravity of {gravity:.2f}."
        )
    return LeadHole(
        thread_hole_min_mm=shares[0] * root,
        thread_hole_max_mm=shares[-1] * root,
        shank_hole_mm=diameter if gravity > 0.6 else 0.875 * diameter,
        needed=specification is not None or wood_type is WoodType.HARDWOOD,
        reasons=tuple(reasons),
    )


def _lag_hole(gravity: float, diameter: float) -> LeadHole:
    low, high = (0.65, 0.85) if gravity > 0.6 else (0.60, 0.75) if gravity > 0.5 else (0.40, 0.70)
    return LeadHole(
        thread_hole_min_mm=low * diameter,
        thread_hole_max_mm=high * diameter,
        shank_hole_mm=diameter,
        needed=True,
        reasons=(
            f"At a specific gravity of {gravity:.2f} the thread's hole is {low:.0%} to {high:.0%} of the shank.",
            "The larger end of the range is for the larger screws.",
            "The shank's hole is as wide as the shank and as deep as its plain part is long.",
        ),
    )


__all__ = [
    "END_OVER_SIDE_GRAIN",
    "ROOT_OVER_SHANK",
    "Fastener",
    "LeadHole",
    "WoodType",
    "lag_screw_withdrawal_n",
    "lead_hole",
    "screw_gauge_diameter_mm",
    "wood_screw_withdrawal_n",
]
