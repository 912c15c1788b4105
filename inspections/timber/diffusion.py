"""How fast moisture goes through wood, with its honest spread, and a sheet of wood followed through the months."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from operator import mul
from typing import Final

from inspections.figures import between
from inspections.timber.species import DiffusionGroup

# Across the grain at 20 °C, m²/s: low, likely, high. Softwoods and hardwoods: order of magnitude, from measured
# spruce (0.94 to 1.00e-10) and spruce over beech (2 to 3), factor 3 either way. Dense hardwoods: common practice,
# no source, that oak and its like take about twice as long as the mahoganies.
_AT_REFERENCE: Final = {
    DiffusionGroup.SOFTWOOD: (3e-11, 1e-10, 3e-10),
    DiffusionGroup.HARDWOOD: (1.3e-11, 4e-11, 1.2e-10),
    DiffusionGroup.DENSE_HARDWOOD: (0.7e-11, 2e-11, 6e-11),
}
_REFERENCE_K: Final = 293.15
_ZERO_C_IN_K: Final = 273.15
_GAS_CONSTANT: Final = 8.314
# Of bound water in wood at 12 to 20 %: 38.5 kJ/mol less 0.29 per % (Siau 1984, from memory).
_ACTIVATION_J_PER_MOL: Final = 34_000.0
COLDEST_C: Final = -60.0
HOTTEST_C: Final = 100.0
SECONDS_PER_DAY: Final = 86_400.0

_MODES: Final = 32


@dataclass(frozen=True, slots=True)
class DiffusionSpread:
    """Diffusion coefficient across the grain in m²/s: the slowest to be reckoned with, the likely, the fastest."""

    low_m2_per_s: float
    likely_m2_per_s: float
    high_m2_per_s: float


@dataclass(frozen=True, slots=True)
class Spell:
    """A run of days with the same air: what it brings wood to (% of dry mass) and D·t/l² that one day makes."""

    days: int
    equilibrium_pct: float
    dt_over_thickness_squared_per_day: float


@dataclass(frozen=True, slots=True)
class SheetReached:
    """When a sheet's mean came down to the target, in days from the start, and its middle then in % of dry mass."""

    days: int
    middle_pct: float


def diffusion_coefficient(*, group: DiffusionGroup | None, temperature_c: float) -> DiffusionSpread:
    """How fast moisture goes through wood across its grain, with a spread of about 3 either way.

    An unknown wood spans all groups. Warmth speeds it: about 2.5 times from 20 to 40 °C, a third at 0 °C.

    Args:
        group: softwood, hardwood or dense hardwood; None where the wood is unknown.
        temperature_c: of the wood in °C, -60 to 100.

    Returns:
        The coefficient in m²/s: low, likely and high.

    Raises:
        Refused: the temperature lies outside its range or is no number.

    Source:
        Measured spruce (Sanchez-Ferrer and Engelhardt 2026, abstract) and spruce over beech (Sonderegger et al.
        2011, abstract) for the order of magnitude; the groups and the factor 3 are common practice, no source;
        activation energy after Siau, Transport Processes in Wood, 1984 (a textbook, from memory).

    >>> diffusion_coefficient(group=DiffusionGroup.SOFTWOOD, temperature_c=20).likely_m2_per_s
    1e-10
    """
    kelvin = between("temperature_c", temperature_c, COLDEST_C, HOTTEST_C, "°C") + _ZERO_C_IN_K
    warmth = math.exp(-_ACTIVATION_J_PER_MOL / _GAS_CONSTANT * (1 / kelvin - 1 / _REFERENCE_K))
    if group is None:
        spreads = _AT_REFERENCE.values()
        low, high = min(spread[0] for spread in spreads), max(spread[2] for spread in spreads)
        likely = _AT_REFERENCE[DiffusionGroup.HARDWOOD][1]
    else:
        low, likely, high = _AT_REFERENCE[group]
    return DiffusionSpread(low * warmth, likely * warmth, high * warmth)


def sheet_in_weather(*, start_pct: float, target_pct: float, spells: Iterable[Spell]) -> SheetReached | None:
    """Follow a sheet that was evenly wet through changing air until its mean is down to the target.

    Each mode of the sheet's profile decays towards the air's figure at its own rate, which is exact while the air
    stays the same; the finest ones are taken together. The first day on which the mean is there counts, even if a
    damper month would wet the wood again later.

    Args:
        start_pct: even moisture at the start, % of dry mass.
        target_pct: of the mean, % of dry mass.
        spells: the air, one after the other, whole days each.

    Returns:
        Days and the middle's moisture in % of dry mass, or None where the spells end before the target is reached.

    Raises:
        Nothing; the figures were checked by who asks.

    Source:
        J. Crank, The Mathematics of Diffusion, 2nd edition 1975, plane sheet, the series taken mode by mode (a
        textbook); checked against the diffusion equation solved by finite differences.

    >>> month = Spell(days=30, equilibrium_pct=12.0, dt_over_thickness_squared_per_day=0.01)
    >>> sheet_in_weather(start_pct=22.0, target_pct=17.0, spells=[month]).days
    5
    """
    if start_pct <= target_pct:
        return SheetReached(0, start_pct)
    odds = range(1, 2 * _MODES, 2)
    weights = [8 / (math.pi * odd) ** 2 for odd in odds]
    weights[-1] += 1 - sum(weights)
    middle_weights = [4 / (math.pi * odd) * (-1.0) ** (odd // 2) for odd in odds]
    levels = [start_pct] * _MODES
    passed = 0
    for spell in spells:
        air = spell.equilibrium_pct
        kept = [math.exp(-((odd * math.pi) ** 2) * spell.dt_over_thickness_squared_per_day) for odd in odds]
        away = [level - air for level in levels]
        for _ in range(spell.days):
            passed += 1
            away = [part * share for part, share in zip(away, kept, strict=True)]
            if air + sum(map(mul, weights, away)) <= target_pct:
                middle = air + sum(map(mul, middle_weights, away))
                return SheetReached(passed, middle)
        levels = [air + part for part in away]
    return None


__all__ = ["DiffusionSpread", "SheetReached", "Spell", "diffusion_coefficient", "sheet_in_weather"]
