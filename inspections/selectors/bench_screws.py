"""A fitting's screws at the bench: what they hold, the hole they want, and what bolts and a pad would change."""

from __future__ import annotations

from dataclasses import dataclass

from inspections.selectors.bench import wood_named
from inspections.timber.bearing import pad_bearing, washer_area_mm2
from inspections.timber.fastening import (
    Fastener,
    LeadHole,
    WoodType,
    lag_screw_withdrawal_n,
    lead_hole,
    screw_gauge_diameter_mm,
    wood_screw_withdrawal_n,
)
from inspections.timber.fittings import (
    CAUTION,
    TENSILE_STRENGTH_MPA,
    FittingCheck,
    bolts_carry,
    screws_carry,
    what_changes,
)
from inspections.timber.species import DiffusionGroup, Species
from yard.refusals import Refused

# The reckoning's names and those of `BoltsInstead` as an asker writes them.
_ASKED_AS = {
    "count": "bolt_count",
    "diameter_mm": "bolt_diameter_mm",
    "hole_diameter_mm": "bolt_diameter_mm",
    "outer_diameter_mm": "washer_diameter_mm",
}

# A hole for a bolt is a little wider than the bolt: common practice, no source.
BOLT_CLEARANCE_MM = 1.0


@dataclass(frozen=True, slots=True)
class BoltsInstead:
    """Through-bolts that could take the screws' place, on washers or on a pad."""

    diameter_mm: float
    washer_diameter_mm: float
    count: int | None = None
    pad_length_mm: float | None = None
    pad_width_mm: float | None = None
    pad_thickness_mm: float | None = None
    compression_perpendicular_kpa: float | None = None


@dataclass(frozen=True, slots=True)
class ScrewBench:
    """What was worked out for one fitting."""

    specific_gravity: float
    diameter_mm: float
    withdrawal_each_n: float
    """Ultimate pull of one screw."""
    lead_hole: LeadHole
    screws: FittingCheck
    bolts: FittingCheck | None
    changes: tuple[str, ...]
    caution: str


def bench_screw(
    *,
    fastener: Fastener,
    penetration_mm: float,
    load_n: float,
    safety_factor: float,
    count: int = 1,
    diameter_mm: float | None = None,
    gauge_number: int | None = None,
    species: str | None = None,
    specific_gravity: float | None = None,
    wood_type: WoodType | None = None,
    metal: str = "stainless_a4_70",
    end_grain: bool = False,
    bolts: BoltsInstead | None = None,
) -> ScrewBench:
    """What the screws of a fitting hold and, where bolts are described, what these would change.

    Raises:
        Refused: a figure outside its range, or one that is needed and neither given nor known of the wood.
    """
    wood = None if species is None else wood_named(species)
    gravity = _gravity(wood, specific_gravity)
    diameter = _diameter(diameter_mm, gauge_number)
    if metal not in TENSILE_STRENGTH_MPA:
        raise Refused("metal", f"{metal!r} is not known here", f"give one of {', '.join(TENSILE_STRENGTH_MPA)}")
    screws = screws_carry(
        fastener=fastener,
        count=count,
        diameter_mm=diameter,
        penetration_mm=penetration_mm,
        specific_gravity=gravity,
        load_n=load_n,
        safety_factor=safety_factor,
        tensile_strength_mpa=TENSILE_STRENGTH_MPA[metal],
        end_grain=end_grain,
    )
    withdrawal = wood_screw_withdrawal_n if fastener is Fastener.WOOD_SCREW else lag_screw_withdrawal_n
    instead = None if bolts is None else _bolts(bolts, wood, screws, TENSILE_STRENGTH_MPA[metal])
    return ScrewBench(
        specific_gravity=gravity,
        diameter_mm=diameter,
        withdrawal_each_n=withdrawal(
            specific_gravity=gravity, diameter_mm=diameter, penetration_mm=penetration_mm, end_grain=end_grain
        ),
        lead_hole=lead_hole(
            fastener=fastener,
            diameter_mm=diameter,
            specific_gravity=gravity,
            wood_type=_wood_type(wood, wood_type),
        ),
        screws=screws,
        bolts=instead,
        changes=() if instead is None else what_changes(before=screws, after=instead),
        caution=CAUTION,
    )


def _gravity(wood: Species | None, given: float | None) -> float:
    if given is not None:
        return given
    if wood is None:
        raise Refused("species", "is left out, and so is the specific gravity", "give one of the two")
    if wood.specific_gravity_12pct is None:
        raise Refused("specific_gravity", f"is not known of {wood.name}", "give it, at 12 % moisture")
    return wood.specific_gravity_12pct


def _diameter(given: float | None, gauge_number: int | None) -> float:
    if (given is None) == (gauge_number is None):
        raise Refused("diameter_mm", "is needed, or the gauge number, and not both", "give one of the two")
    if given is not None:
        return given
    assert gauge_number is not None
    return screw_gauge_diameter_mm(gauge_number=gauge_number)


def _wood_type(wood: Species | None, given: WoodType | None) -> WoodType:
    if given is not None:
        return given
    if wood is None:
        raise Refused(
            "wood_type", "is left out, and so is the species", "give hardwood or softwood, or the species"
        )
    return WoodType.SOFTWOOD if wood.diffusion_group is DiffusionGroup.SOFTWOOD else WoodType.HARDWOOD


def _bolts(bolts: BoltsInstead, wood: Species | None, screws: FittingCheck, strength_mpa: float) -> FittingCheck:
    compression = bolts.compression_perpendicular_kpa
    if compression is None:
        compression = None if wood is None else wood.compression_perp_kpa
    if compression is None:
        of = "this wood" if wood is None else wood.name
        raise Refused(
            "compression_perpendicular_kpa", f"is not known of {of}", "give its strength across the grain"
        )
    count = screws.count if bolts.count is None else bolts.count
    try:
        return bolts_carry(
            count=count,
            diameter_mm=bolts.diameter_mm,
            bearing_area_per_bolt_mm2=_area(bolts, count),
            compression_perpendicular_kpa=compression,
            load_n=screws.load_n,
            safety_factor=screws.safety_factor,
            tensile_strength_mpa=strength_mpa,
        )
    except Refused as refused:
        asked_as = _ASKED_AS.get(refused.field, refused.field)
        raise Refused(asked_as, refused.problem, refused.remedy) from None


def _area(bolts: BoltsInstead, count: int) -> float:
    hole = bolts.diameter_mm + BOLT_CLEARANCE_MM
    pad = {
        "pad_length_mm": bolts.pad_length_mm,
        "pad_width_mm": bolts.pad_width_mm,
        "pad_thickness_mm": bolts.pad_thickness_mm,
    }
    given = {name: size for name, size in pad.items() if size is not None}
    if not given:
        return washer_area_mm2(outer_diameter_mm=bolts.washer_diameter_mm, hole_diameter_mm=hole)
    if len(given) < len(pad):
        missing = next(name for name in pad if name not in given)
        raise Refused(missing, "is left out", "give length, width and thickness of the pad, or none of them")
    return pad_bearing(
        **given,
        bolt_count=count,
        washer_diameter_mm=bolts.washer_diameter_mm,
        hole_diameter_mm=hole,
    ).area_per_bolt_mm2


__all__ = ["BoltsInstead", "ScrewBench", "bench_screw"]
