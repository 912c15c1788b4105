"""How much wood a washer or a pad leans on, and how hard it may lean before the wood crushes."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from inspections.figures import Number, between
from yard.refusals import Refused


@dataclass(frozen=True, slots=True)
class PadBearing:
    """What a pad under the washers changes: more wood under each bolt, as far as the pad is thick enough."""

    area_per_bolt_mm2: float
    """Of wood under the pad that one bolt leans on."""
    washer_area_mm2: float
    """Of pad under one washer; what one bolt would lean on if there were no pad."""
    limited_by_thickness: bool
    """True where a thicker pad would spread the load over more wood."""


def washer_area_mm2(*, outer_diameter_mm: Number, hole_diameter_mm: Number) -> float:
    """The area a round washer leans on, in mm².

    Args:
        outer_diameter_mm: of the washer, in mm, 3 to 200.
        hole_diameter_mm: of the hole in the wood below it, in mm, 1 to less than the washer.

    Raises:
        Refused: a figure outside its range, or a hole as wide as the washer.

    Source: geometry of a ring; needs none.

    >>> round(washer_area_mm2(outer_diameter_mm=24, hole_diameter_mm=9))
    389
    """
    outer = between("outer_diameter_mm", outer_diameter_mm, 3, 200, "mm")
    hole = between("hole_diameter_mm", hole_diameter_mm, 1, 200, "mm")
    if hole >= outer:
        raise Refused(
            "hole_diameter_mm", "the washer falls through the hole", "give a hole smaller than the washer"
        )
    return pi / 4 * (outer**2 - hole**2)


def pad_bearing(
    *,
    pad_length_mm: Number,
    pad_width_mm: Number,
    pad_thickness_mm: Number,
    bolt_count: int,
    washer_diameter_mm: Number,
    hole_diameter_mm: Number,
) -> PadBearing:
    """How much wood each bolt leans on through a backing pad, in mm².

    The load spreads from the washer's edge at 45° through the thickness of the pad, and no further than the bolt's
    share of the pad.

    Args:
        pad_length_mm: of the pad, in mm, 10 to 2000.
        pad_width_mm: of the pad, in mm, 10 to 2000.
        pad_thickness_mm: of the pad, in mm, 1 to 100.
        bolt_count: bolts through the pad, a number without unit, 1 to 40.
        washer_diameter_mm: of the washers on the pad, in mm, 3 to 200.
        hole_diameter_mm: of the holes, in mm, 1 to less than the washer.

    Raises:
        Refused: a figure outside its range, washers wider than their share of the pad.

    Source: spreading at 45° is common practice, no source; for a metal pad it is on the safe side.

    >>> pad = pad_bearing(pad_length_mm=150, pad_width_mm=100, pad_thickness_mm=12, bolt_count=4,
    ...                   washer_diameter_mm=24, hole_diameter_mm=9)
    >>> round(pad.area_per_bolt_mm2), pad.limited_by_thickness
    (1746, True)
    """
    length = between("pad_length_mm", pad_length_mm, 10, 2000, "mm")
    width = between("pad_width_mm", pad_width_mm, 10, 2000, "mm")
    thickness = between("pad_thickness_mm", pad_thickness_mm, 1, 100, "mm")
    count = between("bolt_count", bolt_count, 1, 40, "bolts")
    washer = washer_area_mm2(outer_diameter_mm=washer_diameter_mm, hole_diameter_mm=hole_diameter_mm)
    hole = pi / 4 * float(hole_diameter_mm) ** 2
    share = length * width / count - hole
    if washer > share:
        raise Refused("pad_width_mm", "the washers are wider than the pad", "give a larger pad or fewer bolts")
    spread = pi / 4 * (float(washer_diameter_mm) + 2 * thickness) ** 2 - hole
    return PadBearing(min(spread, share), washer, limited_by_thickness=spread < share)


def crushing_load_n(*, compression_perpendicular_kpa: Number, area_mm2: Number) -> float:
    """The load at which wood under a washer or a pad begins to crush for good, in N.

    It does not break there, it gives: the nut works loose and the bedding opens.

    Args:
        compression_perpendicular_kpa: strength across the grain at the proportional limit, at 12 % moisture, in
            kPa, 500 to 50 000. Wet wood has about half of it (from memory).
        area_mm2: of wood leant on, in mm², 1 to 4 000 000.

    Raises:
        Refused: a figure outside its range.

    Source: stress times area; strengths are in Wood Handbook (FPL-GTR-190, 2010) table 5-3a, a handbook.

    >>> round(crushing_load_n(compression_perpendicular_kpa=7400, area_mm2=389))
    2879
    """
    strength = between("compression_perpendicular_kpa", compression_perpendicular_kpa, 500, 50_000, "kPa")
    area = between("area_mm2", area_mm2, 1, 4_000_000, "mm²")
    return strength / 1000 * area


def pull_from_tipping_n(*, side_load_n: Number, height_mm: Number, lever_mm: Number) -> float:
    """The pull on the fastenings of one side when a load high up tips a fitting about its opposite edge, in N.

    A stanchion is pushed at its top, a winch is pulled at its drum: the fastenings feel far more than the push.

    Args:
        side_load_n: the push, in N, 0 to 1 000 000.
        height_mm: of the push over the wood, in mm, 0 to 30 000.
        lever_mm: from the edge it tips over to the fastenings that hold, in mm, 5 to 5000.

    Raises:
        Refused: a figure outside its range.

    Source: statics (moments about the tipping edge); a textbook matter, no standard.

    >>> pull_from_tipping_n(side_load_n=500, height_mm=600, lever_mm=60)
    5000.0
    """
    load = between("side_load_n", side_load_n, 0, 1_000_000, "N")
    height = between("height_mm", height_mm, 0, 30_000, "mm")
    lever = between("lever_mm", lever_mm, 5, 5000, "mm")
    return load * height / lever


__all__ = ["PadBearing", "crushing_load_n", "pad_bearing", "pull_from_tipping_n", "washer_area_mm2"]
