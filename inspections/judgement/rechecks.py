"""What a yard's own rechecks say of the yearly rates of the rule data.

Two looks at one spot, one after the other, are a recheck: at the first it stood at a step of a chain, at the second
it had passed it or not. Over all rechecks of a yard the steps passed and the years at risk are counted: for each
step, and apart for places that water reaches and that it does not reach. They update the table's rate by the gamma
distribution.

What is counted, and what is not:

- The years between the looks count times all that speeds the step up or slows it down at the first look. So it is
  the base rate of the rule data that is learned, at multipliers of 1.
- A place stands at the first step of each way of its condition. The step was passed where the later look was judged
  a condition that lies further along the same way. However many conditions further, one step is counted: the first.
- Where it was passed nobody knows the day. It counts as at risk up to the day that the table would expect, which is
  somewhat before the middle. A yard that fares as the table says then learns the table's rate.
- A step of several stages whose end is no condition of its own (a split that runs) can only be seen to grow. Grown,
  as said or measured, counts as one stage; measured growth as more where it is as long as two stages or more, whole
  stages alone, and never the last one, which would have been the failure. Unchanged counts as none. Where neither
  was said nor measured twice, it tells nothing.
- A step of one stage whose end is no condition of its own (a leak that runs away, decay that spreads) can't be seen
  to be passed by looks, and is not learned. Neither is what happens to sound places, because no chain begins there.
- Not counted: a place that was repaired between the looks or opened again after a repair; one that looks better
  without a repair, or is judged another kind of condition, because one of the two looks was mistaken or the chains
  crossed; looks closer together than looks can tell anything new.

Where dry places would come out faster, against the table, than those that water reaches, both are counted together:
more water never lowers a risk.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from math import expm1

from inspections.judgement.calendar_months import DAYS_IN_A_YEAR
from inspections.judgement.circumstances import circumstances_of
from inspections.judgement.door import keep, size_or_none, word, word_or_none
from inspections.judgement.facts import ComponentFacts, FindingFacts, LearnedRate, YardFacts
from inspections.judgement.likelihood import speed_of
from inspections.judgement.rules.progression import Step
from inspections.judgement.rules.tables import Rules
from inspections.judgement.vocabulary import Condition, Exposure, Trend
from inspections.learning import GammaRate, Learned, learned_rate
from yard.refusals import Refused

# Below it the formula loses its digits, and the middle is right to one part in ten thousand.
NEARLY_NO_TIME = 1e-3
FOR_EVER = 500.0


@dataclass(frozen=True, slots=True)
class Recheck:
    """A place that was found, and the next look at it.

    Args:
        finding, component, yard: as they were judged at the first look.
        condition: what the first look was judged to be.
        seen_again_on: the day of the next look, not before the first.
        condition_then: what the next look was judged to be; None where it was sound.
        trend_then: as recorded at the next look.
        size_then_mm: 0 to 100 000 mm, where it was measured then.
        repaired: somebody worked on it in between.

    Raises:
        Refused: a word is not known, a size can't be, or the next look lies before the first.
    """

    finding: FindingFacts
    component: ComponentFacts
    yard: YardFacts
    condition: Condition
    seen_again_on: date
    condition_then: Condition | None = None
    trend_then: Trend | None = None
    size_then_mm: float | None = None
    repaired: bool = False

    def __post_init__(self) -> None:
        keep(self, "condition", word("condition", self.condition, Condition))
        keep(self, "condition_then", word_or_none("condition_then", self.condition_then, Condition))
        keep(self, "trend_then", word_or_none("trend_then", self.trend_then, Trend))
        keep(self, "size_then_mm", size_or_none("size_then_mm", self.size_then_mm))
        if self.seen_again_on < self.finding.observed_on:
            raise Refused(
                "seen_again_on",
                f"{self.seen_again_on.isoformat()} is before the first look",
                "give the looks in their order",
            )

    @property
    def years(self) -> float:
        """Between the two looks."""
        return (self.seen_again_on - self.finding.observed_on).days / DAYS_IN_A_YEAR


@dataclass(frozen=True, slots=True)
class Counted:
    """What rechecks add up to for one step and exposure.

    Args:
        observations: rechecks that tell something of the step.
        transitions: steps (or stages of one) that were passed.
        exposure_years: years at risk, times all that speeds the step up.
    """

    step: str
    exposure: Exposure
    observations: int
    transitions: float
    exposure_years: float


@dataclass(frozen=True, slots=True)
class LearnedStep:
    """A step's rate with water or without, what the yard's rechecks say of it, and which of the two is in use.

    Args:
        stages: of the step; the rate is that of each of them.
        own: what was counted for this exposure.
        learned: prior, posterior and interval; of both exposures where they are counted `together`.
    """

    step: str
    exposure: Exposure
    stages: int
    own: Counted
    learned: Learned
    together: bool = False

    @property
    def factor(self) -> float:
        """The rate in use over the table's, no unit."""
        return self.learned.in_use_per_year / self.learned.prior_mean_per_year


def count_rechecks(rechecks: Iterable[Recheck], rules: Rules) -> tuple[Counted, ...]:
    """Add up what rechecks say of each step and exposure; only those that were met."""
    observations: dict[tuple[str, Exposure], int] = defaultdict(int)
    transitions: dict[tuple[str, Exposure], float] = defaultdict(float)
    years: dict[tuple[str, Exposure], float] = defaultdict(float)
    for recheck in rechecks:
        for one in count_recheck(recheck, rules):
            key = one.step, one.exposure
            observations[key] += one.observations
            transitions[key] += one.transitions
            years[key] += one.exposure_years
    return tuple(Counted(*key, observations[key], transitions[key], years[key]) for key in sorted(observations))


def add_up(counts: Iterable[Counted]) -> tuple[Counted, ...]:
    """One count for each step and exposure."""
    sums: dict[tuple[str, Exposure], Counted] = {}
    for one in counts:
        key = one.step, one.exposure
        sums[key] = _sum(sums[key], one) if key in sums else one
    return tuple(sums[key] for key in sorted(sums))


def count_recheck(recheck: Recheck, rules: Rules) -> tuple[Counted, ...]:
    """What one recheck says of the steps that the place stood at; nothing where it tells nothing."""
    if recheck.repaired or recheck.trend_then is Trend.REOPENED:
        return ()
    if recheck.condition_then is None or (
        (recheck.seen_again_on - recheck.finding.observed_on).days < rules.looks.least_days
    ):
        return ()
    around = circumstances_of(recheck.finding, recheck.component, recheck.yard, recheck.finding.observed_on, rules)
    exposure = Exposure.WET if around.water_reaches else Exposure.DRY
    counted: dict[str, Counted] = {}
    for way in rules.progression.ways[recheck.condition]:
        step = way[0]
        passed = _passed(recheck, way, rules)
        speed = speed_of(step, recheck.finding, recheck.yard, around, rules)
        if passed is None or speed <= 0:
            continue
        years = recheck.years * speed
        if passed and _is_seen_by_condition(way, rules):
            years = years_at_risk(years=years, rate_per_year=step.rate_per_year)
        counted.setdefault(step.name, Counted(step.name, exposure, 1, float(passed), years))
    return tuple(counted.values())


def years_at_risk(*, years: float, rate_per_year: float) -> float:
    """How long a step that was passed within some years had to be waited for, as the table expects it.

    Args:
        years: from 0, between the looks, times the multipliers.
        rate_per_year: of the table, above 0.

    Returns:
        Years, at most half of `years`.

    Source:
        The mean of an exponential waiting time that is known to be shorter than `years`.

    >>> round(years_at_risk(years=1, rate_per_year=0.01), 3), round(years_at_risk(years=10, rate_per_year=1), 3)
    (0.499, 1.0)
    """
    expected = rate_per_year * years
    if expected < NEARLY_NO_TIME:
        return years / 2
    if expected > FOR_EVER:
        return 1 / rate_per_year
    return 1 / rate_per_year - years / expm1(expected)


def learned_steps(counts: Iterable[Counted], rules: Rules) -> tuple[LearnedStep, ...]:
    """Every step that looks can tell of, with water and without, and what the counts make of its rate."""
    by_key = {(one.step, one.exposure): one for one in add_up(counts)}
    learned: list[LearnedStep] = []
    for step in steps_told_by_looks(rules):
        wet, dry = (
            by_key.get((step.name, exposure), Counted(step.name, exposure, 0, 0.0, 0.0))
            for exposure in (Exposure.WET, Exposure.DRY)
        )
        learned += _with_and_without_water(wet, dry, step, rules)
    return tuple(learned)


def rates_in_use(steps: Iterable[LearnedStep]) -> tuple[LearnedRate, ...]:
    """What judgement is told: the rates with enough rechecks to be applied. Empty where there are none."""
    return tuple(
        LearnedRate(one.step, one.exposure, one.factor, one.learned.observations)
        for one in steps
        if one.learned.applied
    )


def steps_told_by_looks(rules: Rules) -> tuple[Step, ...]:
    """The steps whose passing can be seen at a later look, in the order of the rule data."""
    told = {
        way[0].name
        for ways in rules.progression.ways.values()
        for way in ways
        if way[0].stages > 1 or _is_seen_by_condition(way, rules)
    }
    return tuple(step for name, step in rules.progression.steps.items() if name in told)


def _with_and_without_water(wet: Counted, dry: Counted, step: Step, rules: Rules) -> Iterator[LearnedStep]:
    of_wet, of_dry = (_learned(one, step, rules) for one in (wet, dry))
    together = of_dry.in_use_per_year > of_wet.in_use_per_year
    if together:
        of_wet = of_dry = _learned(_sum(wet, dry), step, rules)
    yield LearnedStep(step.name, wet.exposure, step.stages, wet, of_wet, together)
    yield LearnedStep(step.name, dry.exposure, step.stages, dry, of_dry, together)


def _learned(counted: Counted, step: Step, rules: Rules) -> Learned:
    certainty = rules.learning.certainty
    return learned_rate(
        prior=GammaRate(shape=certainty, exposure_years=certainty / step.rate_per_year),
        transitions=counted.transitions,
        exposure_years=counted.exposure_years,
        observations=counted.observations,
        minimum_observations=rules.learning.least_observations,
        interval_probability=rules.learning.interval,
    )


def _sum(one: Counted, other: Counted) -> Counted:
    return Counted(
        one.step,
        one.exposure,
        one.observations + other.observations,
        one.transitions + other.transitions,
        one.exposure_years + other.exposure_years,
    )


def _passed(recheck: Recheck, way: tuple[Step, ...], rules: Rules) -> int | None:
    """How many times the way's first step, or a stage of it, was passed; None where the looks don't tell."""
    if recheck.condition_then in _further_along(way, rules):
        return 1
    if recheck.condition_then is not recheck.condition:
        return None
    if _is_seen_by_condition(way, rules):
        return 0
    return _stages_grown(recheck, way[0], rules) if way[0].stages > 1 else None


def _further_along(way: tuple[Step, ...], rules: Rules) -> frozenset[Condition]:
    """The conditions that stand at a later step of the same way."""
    rest = {way[passed:] for passed in range(1, len(way))}
    return frozenset(condition for condition, ways in rules.progression.ways.items() if rest & set(ways))


def _is_seen_by_condition(way: tuple[Step, ...], rules: Rules) -> bool:
    return bool(_further_along(way, rules))


def _stages_grown(recheck: Recheck, step: Step, rules: Rules) -> int | None:
    """Stages passed, whole ones; never the last, for then it would have failed."""
    stages, told = 0, recheck.trend_then in (Trend.GROWN, Trend.UNCHANGED)
    before, after = recheck.finding.size_mm, recheck.size_then_mm
    if before is not None and after is not None:
        told = True
        if _is_growth(before, after, rules):
            stages = max(1, int((after - before) / rules.growth.mm_per_stage))
    if recheck.trend_then is Trend.GROWN:
        stages = max(1, stages)
    return min(stages, step.stages - 1) if told else None


def _is_growth(before_mm: float, after_mm: float, rules: Rules) -> bool:
    growth, rule = after_mm - before_mm, rules.growth
    return growth >= rule.grown_mm or (growth >= rule.smallest_mm and growth >= rule.grown_fraction * before_mm)


__all__ = [
    "Counted",
    "LearnedStep",
    "Recheck",
    "add_up",
    "count_recheck",
    "count_rechecks",
    "learned_steps",
    "rates_in_use",
    "steps_told_by_looks",
    "years_at_risk",
]
