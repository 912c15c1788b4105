"""The words of the ground floor: what a part touches, what it carries, what wets it, what hangs on it.

Codes are the same in code, JSON and database; each member has a plain English `label` for people.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Self


class Labelled(StrEnum):
    """A code with the words that people read."""

    label: str

    def __new__(cls, code: str, label: str = "") -> Self:
        member = str.__new__(cls, code)
        member._value_ = code
        member.label = label or code
        return member

    @classmethod
    def choices(cls) -> list[tuple[str, str]]:
        """Pairs of code and label, in the order of the vocabulary."""
        return [(member.value, member.label) for member in cls]


class Contact(Labelled):
    """What meets at this part."""

    WOOD_TO_WOOD = "wood_to_wood", "wood to wood"
    METAL_TO_WOOD = "metal_to_wood", "metal to wood"
    SEALANT_JOINT = "sealant_joint", "joint with sealant"
    END_GRAIN = "end_grain", "end grain"
    NONE = "none", "nothing"


class Load(Labelled):
    """What pulls or pushes at this part."""

    NONE = "none", "no load"
    STATIC = "static", "steady load"
    CYCLIC = "cyclic", "load that comes and goes"
    SHOCK = "shock", "sudden load"


class Water(Labelled):
    """What water reaches this part."""

    NONE = "none", "no water"
    SHIELDED = "shielded", "shielded from water"
    INTERIOR = "interior", "inside the boat"
    RAIN = "rain", "rain"
    SPLASH = "splash", "splashing sea water"
    STANDING = "standing", "standing water"
    IMMERSED = "immersed", "under water"
    UNKNOWN = "unknown", "not known"


class SafetyRole(Labelled):
    """What is at stake when this part lets go."""

    NONE = "none", "nobody's safety"
    PERSONAL_SAFETY = "personal_safety", "the safety of people on board"
    WATERTIGHTNESS = "watertightness", "keeping the water out"
    ANCHORING = "anchoring", "anchoring and mooring"
    RIG = "rig", "the rig"
    STEERING = "steering", "the steering"


class Finish(Labelled):
    """What keeps sun and water off the wood of a surface."""

    VARNISH = "varnish", "varnish"
    OIL = "oil", "oil"
    PAINT = "paint", "paint"
    BARE = "bare", "left bare"


class Exposure(Labelled):
    """How much sun and weather a finished surface gets, the worst first. What nobody knows counts as the worst."""

    FULL_SUN = "full_sun", "full sun"
    WEATHER = "weather", "weather, but not the full sun"
    SHADED = "shaded", "shaded or under a cover"
    INTERIOR = "interior", "inside the boat"
    UNKNOWN = "unknown", "exposure not known"


__all__ = ["Contact", "Exposure", "Finish", "Labelled", "Load", "SafetyRole", "Water"]
