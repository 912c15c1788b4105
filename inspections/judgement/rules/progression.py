"""The rule data on how a condition runs on: steps with yearly rates, what speeds and slows them, and bands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from types import MappingProxyType
from typing import Any

from inspections.judgement.phase_type import quantile_years
from inspections.judgement.rules.reading import (
    LEVELS,
    complete,
    count,
    figure,
    figures,
    positive,
    share,
    word,
)
from inspections.judgement.vocabulary import Condition, Load, Moves, SafetyRole, Seal, Trend, Water
from yard.refusals import Refused

FASTEST_PER_YEAR = 1000.0
MOST_STAGES = 12
OFTEN_ENOUGH = 1000.0
SLOWEST = 1e-6
DURABILITY_CLASSES = ("1", "2", "3", "4", "5")


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a chain.

    Args:
        name: of the rule data.
        rate_per_year: of each of its stages, at multipliers of 1.
        stages: how many of equal rate are passed one after the other.
        times: names of the multipliers that speed it up or slow it down.
    """

    name: str
    rate_per_year: float
    stages: int
    times: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Multipliers:
    """What speeds a step up (above 1) or slows it down (below 1). No units."""

    water_on_wood: Mapping[Water, float]
    water_on_metal: Mapping[Water, float]
    water_through: Mapping[Water, float]
    water_in_split: Mapping[Water, float]
    seal: Mapping[Seal, float]
    load_on_wood: Mapping[Load, float]
    load_on_metal: Mapping[Load, float]
    moves: Mapping[Moves, float]
    movement_seen: Mapping[Moves, float]
    trend: Mapping[Trend, float]
    growth_seen: Mapping[Trend, float]
    durability: Mapping[int, float]
    climate_at_index: float
    climate_least: float
    climate_most: float
    soaking: float
    salt: float
    leak_matters: Mapping[SafetyRole, float]

    def of_climate(self, scheffer_index: float) -> float:
        """In proportion to Scheffer's index, between two bounds."""
        return min(max(scheffer_index / self.climate_at_index, self.climate_least), self.climate_most)


@dataclass(frozen=True, slots=True)
class Progression:
    """How conditions run on to failure.

    Args:
        ways: for each condition the chains that lead from it to failure, each by itself.
        least_season_years: a judgement looks at least so far ahead.
        unseen_stages, unseen_mean_times_at_cap: the chain of a hidden face; at one passage of its interval each
            stage has run for so many of its own mean times.
        plan_from_share: from this share of its interval on a hidden face is opened at the next lay-up.
        never_seen_caps: what nobody ever saw counts as closed for so many intervals.
        bands: level and the probability within one season that it begins above, from A to E.
        shown_from: no smaller probability is shown.
    """

    steps: Mapping[str, Step]
    ways: Mapping[Condition, tuple[tuple[Step, ...], ...]]
    multipliers: Multipliers
    least_season_years: float
    unseen_stages: int
    unseen_mean_times_at_cap: float
    never_seen_caps: float
    plan_from_share: float
    bands: tuple[tuple[str, float], ...]
    shown_from: float


NAMES = frozenset(
    {
        "water_on_wood", "water_on_metal", "water_through", "water_in_split", "seal", "load_on_wood",
        "load_on_metal", "moves", "movement_seen", "trend", "growth_seen", "durability", "climate",
        "soaking", "salt", "leak_matters",
    }
)  # fmt: skip


def progression_of(data: Mapping[str, Any]) -> Progression:
    """Read the part of the rule data called `progression`.

    Raises:
        Refused: an unknown step, multiplier or word, a figure that can't be, or bands that do not fall from A to E.
    """
    steps = {name: _step(name, row) for name, row in data["steps"].items() if name != "source"}
    ways = {
        word("progression.ways", name, Condition): tuple(_way(name, way, steps) for way in rows)
        for name, rows in data["ways"].items()
        if name != "source"
    }
    complete("progression.ways", ways, Condition)
    unseen = data["unseen"]
    stages = count("progression.unseen.stages", unseen["stages"], most=MOST_STAGES)
    at_cap = share("progression.unseen.at_the_cap", unseen["at_the_cap"])
    return Progression(
        steps=MappingProxyType(steps),
        ways=MappingProxyType(ways),
        multipliers=_multipliers(data["multipliers"]),
        least_season_years=positive("progression.season.least_years", data["season"]["least_years"], most=10),
        unseen_stages=stages,
        unseen_mean_times_at_cap=quantile_years(rates_per_year=(1.0,) * stages, probability=at_cap),
        never_seen_caps=figure("progression.unseen.never_seen_caps", unseen["never_seen_caps"], least=1, most=100),
        plan_from_share=share("progression.unseen.plan_from_share", unseen["plan_from_share"]),
        bands=_bands(data["bands"]),
        shown_from=share("progression.bands.shown_from", data["bands"]["shown_from"]),
    )


def _step(name: str, row: Mapping[str, Any]) -> Step:
    field = f"progression.steps.{name}"
    unknown = set(row["times"]) - NAMES
    if unknown:
        raise Refused(f"{field}.times", f"no such multiplier: {', '.join(sorted(unknown))}", f"use {sorted(NAMES)}")
    rate = positive(f"{field}.rate_per_year", row["rate_per_year"])
    figure(f"{field}.rate_per_year", rate, most=FASTEST_PER_YEAR)
    return Step(name, rate, count(f"{field}.stages", row["stages"], most=MOST_STAGES), tuple(row["times"]))


def _way(condition: str, way: list[str], steps: Mapping[str, Step]) -> tuple[Step, ...]:
    unknown = [name for name in way if name not in steps]
    if unknown or not way:
        raise Refused(f"progression.ways.{condition}", f"no such step: {unknown}", f"use {sorted(steps)}")
    stages = sum(steps[name].stages for name in way)
    if stages > MOST_STAGES:
        raise Refused(
            f"progression.ways.{condition}", f"a chain of {stages} stages", f"let it have at most {MOST_STAGES}"
        )
    return tuple(steps[name] for name in way)


def _multipliers(data: Mapping[str, Any]) -> Multipliers:
    climate = data["climate"]

    def table(name: str, vocabulary: type[Any], leave_out: str = "") -> Mapping[Any, float]:
        field = f"progression.multipliers.{name}"
        # Only what does not matter at all may stand still; all else may be slow.
        read = figures(field, data[name], vocabulary, least=0.0 if name == "leak_matters" else SLOWEST)
        complete(field, read, vocabulary, leave_out)
        return read

    water = partial(table, vocabulary=Water, leave_out="unknown")
    durability = {str(name): value for name, value in data["durability"].items()}
    if set(durability) != set(DURABILITY_CLASSES):
        raise Refused("progression.multipliers.durability", "these are not the five classes", "name each of 1 to 5")
    return Multipliers(
        water_on_wood=water("water_on_wood"),
        water_on_metal=water("water_on_metal"),
        water_through=water("water_through"),
        water_in_split=water("water_in_split"),
        seal=table("seal", Seal),
        load_on_wood=table("load_on_wood", Load),
        load_on_metal=table("load_on_metal", Load),
        moves=table("moves", Moves),
        movement_seen=table("movement_seen", Moves),
        trend=table("trend", Trend),
        growth_seen=table("growth_seen", Trend),
        durability=MappingProxyType(
            {
                int(name): positive(f"progression.multipliers.durability.{name}", value)
                for name, value in durability.items()
            }
        ),
        climate_at_index=positive("progression.multipliers.climate.at_index", climate["at_index"]),
        climate_least=positive("progression.multipliers.climate.least", climate["least"]),
        climate_most=figure("progression.multipliers.climate.most", climate["most"], least=climate["least"]),
        soaking=figure("progression.multipliers.soaking", data["soaking"], least=1, most=OFTEN_ENOUGH),
        salt=figure("progression.multipliers.salt", data["salt"], least=1, most=OFTEN_ENOUGH),
        leak_matters=table("leak_matters", SafetyRole),
    )


def _bands(data: Mapping[str, Any]) -> tuple[tuple[str, float], ...]:
    bands = tuple((level, figure(f"progression.bands.{level}", data[level], most=1)) for level in reversed(LEVELS))
    bounds = [bound for _, bound in bands]
    if bounds != sorted(set(bounds), reverse=True) or bounds[-1] != 0:
        raise Refused("progression.bands", "they do not fall from A to E", "let each be smaller, down to 0 for E")
    return bands


__all__ = ["Multipliers", "Progression", "Step", "progression_of"]
