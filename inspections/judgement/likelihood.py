"""How likely it fails to do its job before the season is over: a probability, and the level A to E it falls in.

A condition runs on to failure by chains of steps, each passed at a yearly rate that water, load, movement, climate
and the wood itself speed up or slow down. The time to failure of a chain is phase-type distributed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import inf, prod

from inspections.judgement.calendar_months import DAYS_IN_A_YEAR
from inspections.judgement.circumstances import Circumstances
from inspections.judgement.door import MAX_SIZE_MM
from inspections.judgement.evidence import Evidence
from inspections.judgement.facts import ComponentFacts, FindingFacts, LearnedRate, YardFacts
from inspections.judgement.phase_type import failure_probability, quantile_years
from inspections.judgement.rules.progression import Step
from inspections.judgement.rules.reading import ELIMINATED
from inspections.judgement.rules.tables import Rules
from inspections.judgement.unseen import failed_unseen
from inspections.judgement.vocabulary import Condition, Exposure, Load, Water
from inspections.learning import GammaRate, grown_rate

# A figure on the edge of a band lies below it, whatever the last digits say.
ON_THE_EDGE = 1e-5
# Whatever a yard's own figures multiply to: so fast is at once, and so slow is never within a boat's life.
AT_ONCE_PER_YEAR = 1e6
SLOWEST_PER_YEAR = 1e-9
BEYOND_ANY_BOAT_YEARS = 10_000.0
# Of the time within which it would have failed: far below a day in ten years.
PRECISION = 1e-6


@dataclass(frozen=True, slots=True)
class Likelihood:
    """How likely one condition runs on to failure.

    Args:
        level: A to E, or F where nothing is left to fail.
        probability: of failing before the season is over, 0 to 1.
        pf_years: the time within which the cautious share of such places would have failed by the fastest of the
            ways; infinite for never.
        told: how it came about, for the trace.
    """

    level: str
    probability: float
    pf_years: float
    told: tuple[str, ...]


GONE = Likelihood(ELIMINATED, 0.0, inf, ("the part is gone",))


def likelihood_of(
    condition: Condition,
    finding: FindingFacts,
    component: ComponentFacts,
    yard: YardFacts,
    around: Circumstances,
    rules: Rules,
) -> Likelihood:
    """The likelihood of one condition, from the look to the end of the season that is judged for."""
    if condition is Condition.GONE:
        return GONE
    if condition is Condition.UNSEEN:
        return _of_unseen(finding, component, yard, around, rules)
    return _run_on(condition, around.season_years, finding, yard, around, rules)


def likelihood_level(
    condition: Condition,
    finding: FindingFacts,
    component: ComponentFacts,
    yard: YardFacts,
    around: Circumstances,
    rules: Rules,
) -> str:
    """The level of `likelihood_of` alone, without the days until the next look and the words."""
    if condition in (Condition.GONE, Condition.UNSEEN):
        return likelihood_of(condition, finding, component, yard, around, rules).level
    survives = 1.0
    for way in rules.progression.ways[condition]:
        rates = [
            rate
            for place, step in enumerate(way)
            for rate in (_rate_of(place, step, finding, yard, around, rules)[1],) * step.stages
        ]
        survives *= 1.0 - _failed(tuple(rates), around.season_years)
    return level_of(1.0 - survives if survives < 1.0 else 0.0, rules)


def _run_on(
    condition: Condition,
    years: float,
    finding: FindingFacts,
    yard: YardFacts,
    around: Circumstances,
    rules: Rules,
) -> Likelihood:
    """A condition run forward over so many years, by each of its ways."""
    survives = 1.0
    chains: list[tuple[float, ...]] = []
    told: list[str] = []
    for way in rules.progression.ways[condition]:
        rates, words = rates_of(way, finding, yard, around, rules)
        failed = _failed(rates, years)
        survives *= 1.0 - failed
        chains.append(rates)
        told.append(f"{', '.join(words)}: {failed:.2g} in {years:.2f} years")
    probability = 1.0 - survives if survives < 1.0 else 0.0
    pf_years = _pf(tuple(chains), rules.looks.pf_quantile)
    return Likelihood(level_of(probability, rules), probability, pf_years, tuple(told))


def _of_unseen(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts, around: Circumstances, rules: Rules
) -> Likelihood:
    """The class's chain of a hidden face, and the condition last seen there run over the time since."""
    hidden, words = failed_unseen(component, around, rules)
    told = [words]
    survives, pf_years = 1.0 - hidden, inf
    last = finding.earlier[-1] if finding.earlier else None
    if last is not None and last.condition is not None and rules.progression.ways[last.condition]:
        since = (finding.observed_on - last.seen_on).days / DAYS_IN_A_YEAR
        run = _run_on(last.condition, since + around.season_years, finding, yard, around, rules)
        survives *= 1.0 - run.probability
        pf_years = max(run.pf_years - since, 0.0)
        told.append(f"last seen: {last.condition}; " + "; ".join(run.told))
    probability = 1.0 - survives if survives < 1.0 else 0.0
    return Likelihood(level_of(probability, rules), probability, pf_years, tuple(told))


def level_of(probability: float, rules: Rules) -> str:
    """The level whose band a probability within one season falls in."""
    for level, bound in rules.progression.bands:
        if probability > bound * (1 + ON_THE_EDGE):
            return level
    return rules.progression.bands[-1][0]


def rates_of(
    way: tuple[Step, ...], finding: FindingFacts, yard: YardFacts, around: Circumstances, rules: Rules
) -> tuple[tuple[float, ...], list[str]]:
    """The yearly rate of each stage of a chain, and each step in words.

    Sizes measured at the same spot update the rate of the first step, at which the place stands: the table's rate
    is the mean of a gamma prior, the growth counts as stages run through, and the years as exposure.
    """
    rates: list[float] = []
    told: list[str] = []
    for place, step in enumerate(way):
        by_the_table, rate = _rate_of(place, step, finding, yard, around, rules)
        words = f"{step.name} {by_the_table:.3g} a year"
        for own in _learned_of(step, yard, around):
            words += f" (× {own.factor:.3g} by {own.observations} rechecks of the yard's own)"
        if place == 0 and around.growth_mm is not None and by_the_table > 0:
            words += f" by the table, {rate:.3g} with {around.growth_mm:g} mm in {around.growth_years:.2f} years"
        rates += [rate] * step.stages
        told.append(words if step.stages == 1 else f"{words} ({step.stages} stages)")
    return tuple(rates), told


def _rate_of(
    place: int, step: Step, finding: FindingFacts, yard: YardFacts, around: Circumstances, rules: Rules
) -> tuple[float, float]:
    """The yearly rate of a step by the table, and with the growth that was measured at the spot."""
    rate = min(step.rate_per_year * speed_of(step, finding, yard, around, rules), AT_ONCE_PER_YEAR)
    if place > 0 or around.growth_mm is None or rate <= 0:
        return rate, rate
    prior = GammaRate(rules.growth.certainty, rules.growth.certainty / max(rate, SLOWEST_PER_YEAR))
    grown = grown_rate(
        prior=prior,
        growth_mm=min(around.growth_mm, MAX_SIZE_MM),
        years=around.growth_years,
        mm_per_step=rules.growth.mm_per_stage,
    ).mean_per_year
    return rate, min(grown, AT_ONCE_PER_YEAR)


def speed_of(step: Step, finding: FindingFacts, yard: YardFacts, around: Circumstances, rules: Rules) -> float:
    """All that speeds a step up (above 1) or slows it down."""
    speed = prod([_times(name, around, rules) for name in step.times])
    for sign in finding.signs:
        speed *= rules.sign_multipliers.get(sign.code, {}).get(step.name, 1.0)
    return speed * prod([own.factor for own in _learned_of(step, yard, around)])


def _learned_of(step: Step, yard: YardFacts, around: Circumstances) -> list[LearnedRate]:
    """What the yard's own rechecks say of a step where this place lies: one rate or none."""
    if not yard.learned:
        return []
    exposure = Exposure.WET if around.water_reaches else Exposure.DRY
    return [own for own in yard.learned if own.step == step.name and own.exposure is exposure]


def _times(name: str, around: Circumstances, rules: Rules) -> float:
    tables = rules.progression.multipliers
    match name:
        case "water_on_wood" | "water_on_metal" | "water_through" | "water_in_split":
            by_water: Mapping[Water, float] = getattr(tables, name)
            return max([by_water[water] for water in around.waters])
        case "load_on_wood" | "load_on_metal":
            by_load: Mapping[Load, float] = getattr(tables, name)
            return max([by_load[load] for load in around.loads])
        case "seal":
            return tables.seal[around.seal]
        case "moves":
            return tables.moves[around.moves]
        case "movement_seen":
            return tables.movement_seen[around.moves]
        case "trend":
            return tables.trend[around.trend]
        case "growth_seen":
            return tables.growth_seen[around.trend]
        case "durability":
            return tables.durability[around.durability_class]
        case "climate":
            return tables.of_climate(around.scheffer_index)
        case "soaking":
            return tables.soaking if Evidence.SOAKING in around.evidence else 1.0
        case "salt":
            return tables.salt if around.salt else 1.0
        case "leak_matters":
            return tables.leak_matters[around.role]
    raise ValueError(f"There is no multiplier named {name!r}.")


@lru_cache(maxsize=100_000)
def _failed(rates_per_year: tuple[float, ...], years: float) -> float:
    return failure_probability(rates_per_year=rates_per_year, years=years)


@lru_cache(maxsize=100_000)
def _pf(chains: tuple[tuple[float, ...], ...], probability: float) -> float:
    """When a place has failed with this probability by any of its chains, years; infinite for never.

    It lies between the day on which the fastest chain alone has come so far, and that on which it has come to an
    equal share of it: failures by all of them together are at most the sum.
    """
    latest = min((quantile_years(rates_per_year=rates, probability=probability) for rates in chains), default=inf)
    if len(chains) < 2 or latest > BEYOND_ANY_BOAT_YEARS:
        return latest
    share = probability / len(chains)
    earliest = min(quantile_years(rates_per_year=rates, probability=share) for rates in chains)
    while latest - earliest > PRECISION * latest:
        years = (earliest + latest) / 2
        survives = prod([1.0 - failure_probability(rates_per_year=rates, years=years) for rates in chains])
        if 1.0 - survives < probability:
            earliest = years
        else:
            latest = years
    return latest


__all__ = ["Likelihood", "level_of", "likelihood_level", "likelihood_of", "rates_of", "speed_of"]
