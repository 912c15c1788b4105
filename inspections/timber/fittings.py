"""Whether the fastenings of a fitting carry a stated pull, and what through-bolts or a backing pad change."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from inspections.figures import Number, between
from inspections.timber.bearing import crushing_load_n
from inspections.timber.fastening import Fastener, lag_screw_withdrawal_n, wood_screw_withdrawal_n
from yard.refusals import Refused

# Ultimate over allowable load of wood screws in the National Design Specification: 15 700 over 2850 (inch, pound).
SPECIFICATION_FACTOR = 15_700 / 2850

# Tensile strengths for judging, in MPa: typical of what is sold, from memory; a maker's certificate comes first.
TENSILE_STRENGTH_MPA = {
    "stainless_a4_70": 700.0,
    "stainless_316_annealed": 515.0,
    "silicon_bronze": 480.0,
    "brass": 340.0,
    "galvanised_steel": 400.0,
}

# Thread root over nominal diameter, for the section that breaks: 0.67 of a wood screw is in the Wood Handbook; lag
# screws and coarse metric bolts are from memory.
ROOT_SHARE = {Fastener.WOOD_SCREW: 0.67, Fastener.LAG_SCREW: 0.72, Fastener.THROUGH_BOLT: 0.83}

CAUTION = (
    "An estimate for judging a repair, not a design: it takes sound dry wood, a straight steady pull and equal "
    "shares. Local codes and licensed practice govern, above all where a person or the rig hangs on it."
)


@dataclass(frozen=True, slots=True)
class FittingCheck:
    """One way of holding a fitting down, against a stated pull."""

    fastener: Fastener
    count: int
    ultimate_n: float
    """Mean pull at which the weakest part lets go or the wood begins to crush."""
    allowable_n: float
    """What may be relied on: ultimate over the safety factor."""
    load_n: float
    safety_factor: float
    load_over_allowable: float
    """1 is just enough; above it, it does not hold."""
    holds: bool
    limited_by: str
    """`withdrawal`, `fastener` (it breaks), `bearing` (the wood crushes) or `pad` (the pad crushes)."""
    reasons: tuple[str, ...]
    caution: str = CAUTION


def fastener_break_n(*, fastener: Fastener, diameter_mm: Number, tensile_strength_mpa: Number) -> float:
    """The pull that breaks one sound fastener at the root of its thread, in N.

    Args:
        fastener: wood screw, lag screw or through-bolt; its thread's root is 0.67, 0.72 or 0.83 of the diameter.
        diameter_mm: shank or nominal diameter, in mm, 1 to 60.
        tensile_strength_mpa: of the metal, in MPa, 50 to 2000; a wasted fastener has less section than this takes.

    Raises:
        Refused: a figure outside its range.

    Source: strength times root area; 0.67 from Wood Handbook (FPL-GTR-190, 2010), ch. 8, a handbook, the others
    from memory.

    >>> round(fastener_break_n(fastener=Fastener.WOOD_SCREW, diameter_mm=4.83, tensile_strength_mpa=480))
    3948
    """
    diameter = between("diameter_mm", diameter_mm, 1, 60, "mm")
    strength = between("tensile_strength_mpa", tensile_strength_mpa, 50, 2000, "MPa")
    root = ROOT_SHARE[fastener] * diameter
    return strength * pi / 4 * root**2


def screws_carry(
    *,
    fastener: Fastener,
    count: int,
    diameter_mm: Number,
    penetration_mm: Number,
    specific_gravity: Number,
    load_n: Number,
    safety_factor: Number,
    tensile_strength_mpa: Number,
    end_grain: bool = False,
) -> FittingCheck:
    """Whether screws in the wood carry a straight pull on a fitting.

    Args:
        fastener: wood screw or lag screw.
        count: of screws that share the pull, a number without unit, 1 to 40.
        diameter_mm: shank diameter in mm, 1 to 12 for wood screws, 4 to 32 for lag screws.
        penetration_mm: length of thread in the wood, in mm, above 0 to 300.
        specific_gravity: of the wood, dry mass over volume at 12 % moisture, no unit, 0.1 to 1.2.
        load_n: the pull to be carried by all of them, in N, 0 to 1 000 000.
        safety_factor: ultimate over allowable load, no unit, 1 to 20.
        tensile_strength_mpa: of the screws' metal, in MPa, 50 to 2000 (see TENSILE_STRENGTH_MPA).
        end_grain: driven along the grain.

    Raises:
        Refused: a figure outside its range, or through-bolts, which have no thread in the wood.

    Source: Wood Handbook (FPL-GTR-190, 2010), ch. 8, eq. 8-10 and 8-14, a handbook; equal shares are common
    practice, no source.

    >>> check = screws_carry(fastener=Fastener.WOOD_SCREW, count=4, diameter_mm=4.83, penetration_mm=25.4,
    ...     specific_gravity=0.68, load_n=2500, safety_factor=5.5, tensile_strength_mpa=480)
    >>> round(check.allowable_n), check.limited_by, check.holds
    (2871, 'fastener', True)
    """
    if fastener is Fastener.THROUGH_BOLT:
        raise Refused("fastener", "a through-bolt has no thread in the wood", "give wood_screw or lag_screw")
    withdrawal = wood_screw_withdrawal_n if fastener is Fastener.WOOD_SCREW else lag_screw_withdrawal_n
    drawn = withdrawal(
        specific_gravity=specific_gravity,
        diameter_mm=diameter_mm,
        penetration_mm=penetration_mm,
        end_grain=end_grain,
    )
    broken = fastener_break_n(fastener=fastener, diameter_mm=diameter_mm, tensile_strength_mpa=tensile_strength_mpa)
    each = {"withdrawal": drawn, "fastener": broken}
    notes = ["Screws in end grain are not to be relied on; through-bolt it or use a pad."] if end_grain else []
    return _checked(fastener, count, each, load_n, safety_factor, notes)


def bolts_carry(
    *,
    count: int,
    diameter_mm: Number,
    bearing_area_per_bolt_mm2: Number,
    compression_perpendicular_kpa: Number,
    load_n: Number,
    safety_factor: Number,
    tensile_strength_mpa: Number,
    washer_on_pad_mm2: Number | None = None,
    pad_compression_kpa: Number | None = None,
) -> FittingCheck:
    """Whether through-bolts, on washers or on a pad, carry a straight pull on a fitting.

    The wood as a panel, bending or shearing through round the pad, is not looked at here.

    Args:
        count: of bolts that share the pull, a number without unit, 1 to 40.
        diameter_mm: nominal diameter in mm, 1 to 60.
        bearing_area_per_bolt_mm2: of wood under one washer, or under the pad for one bolt, in mm², 1 to 4 000 000.
        compression_perpendicular_kpa: of the wood, across the grain, at the proportional limit, in kPa, 500 to
            50 000.
        load_n: the pull to be carried by all of them, in N, 0 to 1 000 000.
        safety_factor: ultimate over allowable load, no unit, 1 to 20.
        tensile_strength_mpa: of the bolts' metal, in MPa, 50 to 2000.
        washer_on_pad_mm2: where there is a wooden pad, the area of one washer on it, in mm², 1 to 4 000 000.
        pad_compression_kpa: of a wooden pad, as for the wood, in kPa; left out, the pad is taken as metal.

    Raises:
        Refused: a figure outside its range, or a pad's strength without the area of the washers on it.

    Source: stress times area, with strengths of Wood Handbook (FPL-GTR-190, 2010) table 5-3a, a handbook; equal
    shares are common practice, no source.

    >>> check = bolts_carry(count=4, diameter_mm=8, bearing_area_per_bolt_mm2=389, load_n=2500, safety_factor=3,
    ...     compression_perpendicular_kpa=7400, tensile_strength_mpa=700)
    >>> round(check.allowable_n), check.limited_by
    (3838, 'bearing')
    """
    each = {
        "bearing": crushing_load_n(
            compression_perpendicular_kpa=compression_perpendicular_kpa, area_mm2=bearing_area_per_bolt_mm2
        ),
        "fastener": fastener_break_n(
            fastener=Fastener.THROUGH_BOLT, diameter_mm=diameter_mm, tensile_strength_mpa=tensile_strength_mpa
        ),
    }
    if pad_compression_kpa is not None:
        if washer_on_pad_mm2 is None:
            raise Refused("washer_on_pad_mm2", "the pad's strength came without it", "give the area of one washer")
        each["pad"] = crushing_load_n(compression_perpendicular_kpa=pad_compression_kpa, area_mm2=washer_on_pad_mm2)
    return _checked(Fastener.THROUGH_BOLT, count, each, load_n, safety_factor, [])


NAMES = {Fastener.WOOD_SCREW: "wood screw", Fastener.LAG_SCREW: "lag screw", Fastener.THROUGH_BOLT: "through-bolt"}
LIMITS = {
    "withdrawal": "the thread draws out of the wood",
    "fastener": "the metal breaks at the root of the thread",
    "pad": "the pad begins to crush under the washer",
    "bearing": "the wood under the washer or pad begins to crush",
}


def _checked(
    fastener: Fastener,
    count: int,
    each: dict[str, float],
    load_n: Number,
    safety_factor: Number,
    notes: list[str],
) -> FittingCheck:
    number = int(between("count", count, 1, 40, "fastenings"))
    load = between("load_n", load_n, 0, 1_000_000, "N")
    factor = between("safety_factor", safety_factor, 1, 20, "")
    limited_by = min(each, key=each.__getitem__)
    ultimate = number * each[limited_by]
    allowable = ultimate / factor
    holds = load <= allowable
    plural = "" if number == 1 else "s"
    reasons = [
        f"{number} {NAMES[fastener]}{plural}: {LIMITS[limited_by]} at {ultimate:.0f} N.",
        f"With a safety factor of {factor:g}, {allowable:.0f} N may be relied on.",
        f"{load:.0f} N are asked for: {'it holds' if holds else 'it does not hold'}.",
        *notes,
    ]
    if fastener is not Fastener.THROUGH_BOLT and factor < SPECIFICATION_FACTOR:
        reasons.append(
            f"The factor is below the {SPECIFICATION_FACTOR:.1f} that lies between the mean of tests and the "
            "allowable load of the design specification."
        )
    return FittingCheck(
        fastener, number, ultimate, allowable, load, factor, load / allowable, holds, limited_by, tuple(reasons)
    )


def what_changes(*, before: FittingCheck, after: FittingCheck) -> tuple[str, ...]:
    """What another way of holding the fitting changes, in sentences with the figures (N).

    Args:
        before: the fitting as it is.
        after: the fitting as it could be, for the same pull in N.

    Raises:
        Refused: the two were checked against different pulls.

    Source: compares two results of this module; common practice, no source.

    >>> one = screws_carry(fastener=Fastener.WOOD_SCREW, count=4, diameter_mm=4.83, penetration_mm=25.4,
    ...     specific_gravity=0.48, load_n=2500, safety_factor=5.5, tensile_strength_mpa=480)
    >>> two = bolts_carry(count=4, diameter_mm=8, bearing_area_per_bolt_mm2=1746, load_n=2500, safety_factor=5.5,
    ...     compression_perpendicular_kpa=5500, tensile_strength_mpa=700)
    >>> what_changes(before=one, after=two)[0]
    '4 through-bolts may be relied on for 6984 N where 4 wood screws are good for 2225 N: 3.1 times as much.'
    """
    if before.load_n != after.load_n:
        raise Refused("load_n", "the two were checked against different loads", "check both against the same load")
    ratio = after.allowable_n / before.allowable_n
    gain = (
        f"{_counted(after)} may be relied on for {after.allowable_n:.0f} N where {_counted(before)} are good for "
        f"{before.allowable_n:.0f} N: {ratio:.1f} times as much."
    )
    sentences = [gain]
    if after.holds and not before.holds:
        sentences.append("That makes the difference between not enough and enough.")
    elif not after.holds:
        sentences.append("It is still not enough: more or larger fastenings, or a wider pad.")
    if after.limited_by == "bearing":
        sentences.append("What gives first is the wood under washer or pad: a larger or thicker pad holds more.")
    return tuple(sentences)


def _counted(check: FittingCheck) -> str:
    return f"{check.count} {NAMES[check.fastener]}{'' if check.count == 1 else 's'}"


__all__ = [
    "CAUTION",
    "SPECIFICATION_FACTOR",
    "TENSILE_STRENGTH_MPA",
    "FittingCheck",
    "bolts_carry",
    "fastener_break_n",
    "screws_carry",
    "what_changes",
]
