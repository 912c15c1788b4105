"""What a meter's reading tells, by itself or beside another, as steps that can be looked up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from inspections.judgement.circumstances import evidence_of_moisture
from inspections.judgement.evidence import Evidence
from inspections.judgement.facts import MOISTURE, MOISTURE_BESIDE, ComponentFacts, FindingFacts, Reading, YardFacts
from inspections.judgement.rules.tables import Rules
from inspections.judgement.vocabulary import Answer, SafetyRole

# A meter shows tenths.
TENTHS: Final = 10
WOOD_C: Final = (None, *range(-5, 36))
PERCENT: Final = "pct"


@dataclass(frozen=True, slots=True)
class Steps:
    """Where a reading with nothing beside it changes what it tells, % of dry mass.

    Args:
        damp_from: from here on it is no longer dry.
        wet_from: from here on it is wet; None where it is not before it soaks.
    """

    damp_from: float
    wet_from: float | None


def meter_steps(
    component: ComponentFacts, yard: YardFacts, on_date: date, rules: Rules
) -> Mapping[int | None, Steps]:
    """The steps for a part in the month of a day, by the whole degree of the wood; None where it was not taken."""
    return _steps(component.species, yard, on_date.replace(day=1), _Held(rules))


def readings_of(
    bucket: str, component: ComponentFacts, yard: YardFacts, on_date: date, rules: Rules
) -> tuple[Reading, ...] | None:
    """Readings that stand for one kind of reading; None where nothing there reads so."""
    told = rules.moisture
    if bucket in BESIDE:
        here = {"": told.wet_pct / 2, "wet": (told.wet_pct + told.soaking_pct) / 2, "soaking": told.soaking_pct}
        high, apart = BESIDE[bucket]
        less = {
            "same": 0.0,
            "between": (told.same_points + told.contrast_points) / 2,
            "wetter": told.contrast_points,
        }[apart]
        if here[high] < less:
            return None
        return _here(here[high]), Reading(MOISTURE_BESIDE, here[high] - less, PERCENT)
    if bucket == "soaking":
        return (_here(told.soaking_pct),)
    for wood_c, steps in meter_steps(component, yard, on_date, rules).items():
        wet_from = told.soaking_pct if steps.wet_from is None else steps.wet_from
        if bucket == "dry" and steps.damp_from > 0:
            return (_here(steps.damp_from - 1 / TENTHS, wood_c),)
        if bucket == "damp" and steps.damp_from < wet_from:
            return (_here(steps.damp_from, wood_c),)
        if bucket == "wet" and steps.wet_from is not None and steps.wet_from < told.soaking_pct:
            return (_here(steps.wet_from, wood_c),)
    return None


# How high it reads, and how far from what is beside it.
BESIDE: Final[Mapping[str, tuple[str, str]]] = MappingProxyType(
    {
        "same": ("", "same"),
        "soaking_same": ("soaking", "same"),
        "between": ("", "between"),
        "wetter": ("", "wetter"),
        "wet_wetter": ("wet", "wetter"),
        "soaking_wetter": ("soaking", "wetter"),
    }
)
READ_AS: Final = ("dry", "damp", "wet", "soaking", *BESIDE)


class _Held:
    """Rules beside a key that names their version: they are large, and equal where the version is."""

    def __init__(self, rules: Rules) -> None:
        self.rules = rules

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held) and other.rules.version == self.rules.version

    def __hash__(self) -> int:
        return hash(self.rules.version)


@lru_cache(maxsize=512)
def _steps(species: str | None, yard: YardFacts, month: date, held: _Held) -> Mapping[int | None, Steps]:
    rules, found = held.rules, {}
    # Of a part the meter minds nothing but its wood.
    component = ComponentFacts("ANY", SafetyRole.NONE, recheck_months=12, open_up_months=12, species=species)
    soaking = round(rules.moisture.soaking_pct * TENTHS)
    for wood_c in WOOD_C:

        def told(tenths: int, wood_c: int | None = wood_c) -> Evidence | None:
            finding = FindingFacts(month, answer=Answer.NOT_SEEN, readings=(_here(tenths / TENTHS, wood_c),))
            seen = set(evidence_of_moisture(finding, component, yard, rules))
            return next((one for one in ALONE if one in seen), None)

        damp_from = _first(soaking, lambda tenths: told(tenths) is not Evidence.DRY_READING)
        wet_from = _first(soaking, lambda tenths: told(tenths) is Evidence.WET_READING)
        found[wood_c] = Steps(damp_from / TENTHS, None if wet_from == soaking else wet_from / TENTHS)
    return MappingProxyType(found)


ALONE: Final = (Evidence.DRY_READING, Evidence.NO_MORE_THAN_DAMP, Evidence.WET_READING)


def _first(end: int, holds: object) -> int:
    """The first number below `end` from which on it holds; `end` where it never does."""
    assert callable(holds)
    low, high = 0, end
    while low < high:
        middle = (low + high) // 2
        if holds(middle):
            high = middle
        else:
            low = middle + 1
    return low


def _here(value: float, wood_c: int | None = None) -> Reading:
    return Reading(MOISTURE, value, PERCENT, None if wood_c is None else float(wood_c))


__all__ = ["BESIDE", "READ_AS", "WOOD_C", "Steps", "meter_steps", "readings_of"]
