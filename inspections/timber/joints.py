"""Rigid glue or a flexible bed for a joint of two members, from what the year does to each of them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import radians, sin

from inspections.figures import Number, between
from inspections.timber.movement import REAL_PLANK_SPREAD, plank_movement
from inspections.timber.species import Species
from yard.refusals import Refused

# What a rigid joint bears between its two ends before the glue line or the wood beside it opens: common practice,
# no source.
RIGID_LIMIT_MM = 1.0


class JointKind(StrEnum):
    """How two members are joined."""

    RIGID = "rigid"
    FLEXIBLE = "flexible"


@dataclass(frozen=True, slots=True)
class JointMember:
    """One side of a joint.

    Attributes:
        name: as it is called in the reasons.
        species: of the wood; None for what does not swell (metal, glass, laminate).
        ring_angle_deg: between rings and the face that is joined, in degrees: 0 flat-sawn, 90 quarter-sawn.
        grain_to_joint_deg: between its grain and the length of the joint, in degrees: 0 along, 90 across.
    """

    name: str
    species: Species | None
    ring_angle_deg: float = 0.0
    grain_to_joint_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class JointAdvice:
    """Rigid or flexible, with the movement that decided."""

    kind: JointKind
    slip_mm: float
    """By how much more one member grows than the other over the length of the joint, dry to wet."""
    limit_mm: float
    close_call: bool
    """A real piece may lie on the other side of the limit."""
    reasons: tuple[str, ...]


def joint_advice(
    *,
    first: JointMember,
    second: JointMember,
    length_mm: Number,
    moisture_low_pct: Number,
    moisture_high_pct: Number,
    works_under_load: bool = False,
) -> JointAdvice:
    """Whether two members may be glued rigidly or want a flexible bed, from how differently they move.

    Args:
        first: one member, angles in degrees, 0 to 90.
        second: the other member, angles in degrees, 0 to 90.
        length_mm: of the joint, in mm, above 0 to 20 000.
        moisture_low_pct: of the wood in the driest month, in % of dry mass, 0 to 300.
        moisture_high_pct: of the wood in the wettest month, in % of dry mass, 0 to 300, not below the lowest.
        works_under_load: the joint is seen or known to move when loaded.

    Raises:
        Refused: a figure outside its range, or a wood of whose movement nothing is known.

    Source: movement by Wood Handbook (FPL-GTR-190, 2010), eq. 13-2 and 13-3, a handbook; the share across the joint
    is the transformation of strain, sin² of the grain's angle; the limit of 1 mm is common practice, no source.

    >>> from inspections.timber.species import species_named
    >>> oak = species_named("white oak")
    >>> coaming = JointMember("coaming", oak, grain_to_joint_deg=0)
    >>> post = JointMember("post", oak, grain_to_joint_deg=90)
    >>> advice = joint_advice(first=coaming, second=post, length_mm=120, moisture_low_pct=10, moisture_high_pct=14)
    >>> str(advice.kind), round(advice.slip_mm, 2)
    ('flexible', 1.75)
    """
    length = between("length_mm", length_mm, 0, 20_000, "mm")
    if length == 0:
        raise Refused("length_mm", "the joint has no length", "give a length above 0, up to 20 000 mm")
    low = between("moisture_low_pct", moisture_low_pct, 0, 300, "% of dry mass")
    high = between("moisture_high_pct", moisture_high_pct, 0, 300, "% of dry mass")
    if high < low:
        raise Refused("moisture_high_pct", "is below the lowest", "give the year's highest moisture")
    grows = [_growth(field, member, low, high) * length for field, member in (("first", first), ("second", second))]
    slip = abs(grows[0] - grows[1])
    kind = JointKind.FLEXIBLE if works_under_load or slip > RIGID_LIMIT_MM else JointKind.RIGID
    likely_range = (slip * (1 - REAL_PLANK_SPREAD), slip * (1 + REAL_PLANK_SPREAD))
    close_call = not works_under_load and likely_range[0] <= RIGID_LIMIT_MM < likely_range[1]
    reasons = [
        *(_said(member, growth) for member, growth in zip((first, second), grows, strict=True)),
        f"Over {length:g} mm they part by {slip:.1f} mm in the year; rigid glue bears about {RIGID_LIMIT_MM:g} mm.",
        *_conclusion(kind, works_under_load, close_call),
    ]
    return JointAdvice(kind, slip, RIGID_LIMIT_MM, close_call, tuple(reasons))


def _growth(field: str, member: JointMember, low: float, high: float) -> float:
    """Of a member along the joint from the driest to the wettest month, per mm of joint."""
    grain = between(f"{field}.grain_to_joint_deg", member.grain_to_joint_deg, 0, 90, "degrees")
    rings = between(f"{field}.ring_angle_deg", member.ring_angle_deg, 0, 90, "degrees")
    if member.species is None:
        return 0.0
    across = plank_movement(
        species=member.species,
        ring_angle_deg=rings,
        width_mm=1000,
        from_moisture_pct=low,
        to_moisture_pct=high,
    ).change_mm
    return across / 1000 * sin(radians(grain)) ** 2


def _said(member: JointMember, growth_mm: float) -> str:
    if member.species is None:
        return f"The {member.name} does not swell."
    if member.grain_to_joint_deg == 0:
        return f"The {member.name}'s grain runs along the joint, where wood hardly moves."
    grain = f"{member.grain_to_joint_deg:g}°"
    return f"The {member.name}'s grain runs at {grain} to the joint, along which it grows by {growth_mm:.1f} mm."


def _conclusion(kind: JointKind, works_under_load: bool, close_call: bool) -> list[str]:
    if works_under_load:
        return ["The joint works under load: rigid glue would crack; bed it flexibly, or stop the working first."]
    said = (
        ["Bed it flexibly and fasten it so that it can slide."]
        if kind is JointKind.FLEXIBLE
        else ["It may be glued rigidly, once the wood is dry."]
    )
    if close_call:
        said.append("It is a close call: a real piece may move a quarter more or less.")
    return said


__all__ = ["RIGID_LIMIT_MM", "JointAdvice", "JointKind", "JointMember", "joint_advice"]
