"""A yard's own rechecks: what counts, what does not, and what they make of a rate."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from math import exp
from pathlib import Path
from typing import Any

import pytest
from scipy import integrate, stats

import inspections.judgement
from inspections.judgement.assess import assess
from inspections.judgement.calendar_months import DAYS_IN_A_YEAR
from inspections.judgement.facts import LearnedRate
from inspections.judgement.rechecks import (
    Counted,
    LearnedStep,
    Recheck,
    count_recheck,
    count_rechecks,
    learned_steps,
    rates_in_use,
    steps_told_by_looks,
    years_at_risk,
)
from inspections.judgement.rules import load_rules
from inspections.judgement.vocabulary import Condition, Exposure, Trend
from tests.inspections.judgement.builders import SEEN_ON, YARD, a_component, a_finding
from yard.refusals import Refused

RULES = load_rules()
A_YEAR_ON = SEEN_ON + timedelta(days=365)
IN_THE_RAIN = {"water": "rain", "seal": "open", "moves": "no", "load": "none"}
WAY_OPEN, WATER_IN, DECAY = Condition.WATER_WAY_OPEN, Condition.WATER_IN, Condition.DECAY


def recheck(condition: Condition, then: Condition | None, /, **changes: Any) -> Recheck:
    """A place in the rain, found a year ago and seen again."""
    about = {"condition_then": then, "seen_again_on": A_YEAR_ON, "component": a_component(), "yard": YARD}
    finding = a_finding(condition, **{**IN_THE_RAIN, **changes.pop("found", {})})
    return Recheck(finding=finding, condition=condition, **{**about, **changes})


def one(counted: tuple[Counted, ...]) -> Counted:
    (only,) = counted
    return only


def step_of(counts: list[Counted], step: str, exposure: Exposure) -> LearnedStep:
    return next(each for each in learned_steps(counts, RULES) if (each.step, each.exposure) == (step, exposure))


def counted(observations: int, transitions: float, years: float, **changes: Any) -> Counted:
    plain = Counted("water_enters", Exposure.WET, observations, transitions, years)
    return replace(plain, **changes)


# --- what counts -------------------------------------------------------------------------------------


def test_a_step_that_was_not_passed_counts_its_years_times_what_speeds_it_up() -> None:
    plain = one(count_recheck(recheck(WAY_OPEN, WAY_OPEN), RULES))
    assert (plain.step, plain.exposure, plain.observations, plain.transitions) == (
        "water_enters",
        Exposure.WET,
        1,
        0,
    )
    multipliers = RULES.progression.multipliers
    assert plain.exposure_years == pytest.approx(365 / DAYS_IN_A_YEAR * multipliers.trend[Trend.UNKNOWN])
    worse = one(count_recheck(recheck(WAY_OPEN, WAY_OPEN, found={"water": "standing", "trend": "grown"}), RULES))
    assert worse.exposure_years / plain.exposure_years == pytest.approx(2 * 2.5)  # of the table


@pytest.mark.parametrize(
    ("condition", "then", "step"),
    [
        (Condition.FINISH_ONLY, WAY_OPEN, "film_opens"),
        (Condition.FINISH_ONLY, DECAY, "film_opens"),
        (WAY_OPEN, WATER_IN, "water_enters"),
        (WAY_OPEN, DECAY, "water_enters"),
        (WATER_IN, DECAY, "decay_starts"),
    ],
)
def test_a_condition_further_along_the_way_has_passed_the_first_step(
    condition: Condition, then: Condition, step: str
) -> None:
    passed = one(count_recheck(recheck(condition, then), RULES))
    assert (passed.step, passed.transitions) == (step, 1)
    stood = one(count_recheck(recheck(condition, condition), RULES))
    assert 0 < passed.exposure_years < stood.exposure_years / 2


@pytest.mark.parametrize(
    ("then", "changes"),
    [
        (None, {}),  # sound without a repair
        (Condition.FINISH_ONLY, {}),  # better without a repair
        (Condition.JOINT_MOVES, {}),  # another chain
        (Condition.UNSEEN, {}),
        (Condition.GONE, {}),
        (WATER_IN, {"repaired": True}),
        (WATER_IN, {"trend_then": "reopened"}),
        (WATER_IN, {"seen_again_on": SEEN_ON + timedelta(days=13)}),
    ],
)
def test_what_tells_nothing_is_not_counted(then: Condition | None, changes: dict[str, Any]) -> None:
    assert count_recheck(recheck(WAY_OPEN, then, **changes), RULES) == ()


def test_looks_a_fortnight_apart_count() -> None:
    assert count_recheck(recheck(WAY_OPEN, WATER_IN, seen_again_on=SEEN_ON + timedelta(days=14)), RULES)


@pytest.mark.parametrize("condition", [Condition.UNSEEN, Condition.GONE])
def test_no_chain_begins_at_what_was_not_seen_or_is_gone(condition: Condition) -> None:
    assert count_recheck(recheck(condition, DECAY), RULES) == ()


@pytest.mark.parametrize(
    ("found_mm", "then_mm", "trend", "stages"),
    [
        (None, None, "unchanged", 0),
        (None, None, "grown", 1),
        (None, None, "new", None),
        (None, None, None, None),
        (40, None, None, None),
        (None, 40, None, None),
        (40, 41, None, 0),
        (40, 38, "unknown", 0),
        (40, 46, None, 1),  # told from measuring error, and not yet one stage of the table
        (40, 46, "unchanged", 1),  # what was measured outweighs what was said
        (40, 41, "grown", 1),  # and what was said outweighs what was measured, where it is graver
        (40, 70, None, 2),  # two stages of 15 mm
        (40, 84, None, 2),  # whole stages alone
        (40, 400, None, 2),  # never the last of three: it has not come apart
    ],
)
def test_a_split_is_seen_to_run_by_its_growth(
    found_mm: float | None, then_mm: float | None, trend: str | None, stages: int | None
) -> None:
    split = Condition.SPLIT_IN_LOAD_PATH
    got = count_recheck(
        recheck(split, split, found={"size_mm": found_mm}, size_then_mm=then_mm, trend_then=trend), RULES
    )
    assert [(count.step, count.transitions) for count in got] == (
        [] if stages is None else [("split_runs", stages)]
    )
    still = one(count_recheck(recheck(split, split, trend_then="unchanged"), RULES))
    assert all(count.exposure_years == still.exposure_years for count in got)  # at risk all the time


def test_decay_counts_for_the_way_that_growth_tells_of() -> None:
    assert one(count_recheck(recheck(DECAY, DECAY, trend_then="grown"), RULES)).step == "decayed_part_weakens"


def test_places_that_water_does_not_reach_are_counted_apart() -> None:
    dry = {"water": "shielded"}
    counts = count_rechecks(
        [recheck(WAY_OPEN, WATER_IN), recheck(WAY_OPEN, WAY_OPEN, found=dry), recheck(WAY_OPEN, WAY_OPEN)], RULES
    )
    assert [(count.exposure, count.observations, count.transitions) for count in counts] == [
        (Exposure.DRY, 1, 0),
        (Exposure.WET, 2, 1),
    ]


def test_steps_that_no_look_can_see_passed_are_not_learned() -> None:
    assert [step.name for step in steps_told_by_looks(RULES)] == [
        "film_opens", "water_enters", "decay_starts", "decayed_part_weakens", "joint_works_loose", "split_runs",
        "metal_wastes",
    ]  # fmt: skip


def test_looks_in_the_wrong_order_are_refused() -> None:
    with pytest.raises(Refused) as refused:
        recheck(WAY_OPEN, WAY_OPEN, seen_again_on=date(2020, 1, 1))
    assert refused.value.field == "seen_again_on"


# --- what it makes of a rate -------------------------------------------------------------------------


@pytest.mark.parametrize(("years", "rate"), [(0.001, 0.2), (0.5, 0.3), (1, 1.5), (4, 2.5), (900, 1.5)])
def test_the_time_at_risk_of_a_passed_step_is_the_mean_of_a_cut_off_exponential(years: float, rate: float) -> None:
    mean, _ = integrate.quad(
        lambda t: t * stats.expon.pdf(t, scale=1 / rate), 0, min(years, 60 / rate), epsabs=1e-13
    )
    assert years_at_risk(years=years, rate_per_year=rate) == pytest.approx(
        mean / stats.expon.cdf(years, scale=1 / rate), rel=2e-4
    )


def test_a_yard_that_fares_as_the_table_says_learns_the_tables_rate() -> None:
    # 100 places a year apart, of which the table expects 1 - exp(-rate) to have passed.
    rate = RULES.progression.steps["water_enters"].rate_per_year
    stood, passed = (one(count_recheck(recheck(WAY_OPEN, then), RULES)) for then in (WAY_OPEN, WATER_IN))
    share = 1 - exp(-rate * stood.exposure_years)
    years = 100 * (share * passed.exposure_years + (1 - share) * stood.exposure_years)
    learned = step_of([counted(100, 100 * share, years)], "water_enters", Exposure.WET)
    assert learned.factor == pytest.approx(1)
    low, high = learned.learned.interval_low_per_year, learned.learned.interval_high_per_year
    assert low < rate < high


def test_the_posterior_is_scipys_gamma() -> None:
    learned = step_of([counted(14, 6, 9.5)], "water_enters", Exposure.WET).learned
    rate, certainty = 1.5, RULES.learning.certainty
    posterior = stats.gamma(a=certainty + 6, scale=1 / (certainty / rate + 9.5))
    assert learned.prior_mean_per_year == pytest.approx(rate)
    assert learned.posterior_mean_per_year == pytest.approx(posterior.mean())
    assert (learned.interval_low_per_year, learned.interval_high_per_year) == pytest.approx(
        posterior.interval(RULES.learning.interval)
    )


def test_below_ten_rechecks_it_is_shown_and_not_applied() -> None:
    nine = step_of([counted(9, 9, 3.0)], "water_enters", Exposure.WET)
    ten = step_of([counted(10, 9, 3.0)], "water_enters", Exposure.WET)
    assert nine.learned.posterior_mean_per_year == ten.learned.posterior_mean_per_year > 1.5
    assert (nine.learned.applied, nine.factor) == (False, 1)
    assert ten.learned.applied
    assert ten.factor == pytest.approx(ten.learned.posterior_mean_per_year / 1.5)
    assert rates_in_use([nine]) == ()
    assert rates_in_use([ten]) == (LearnedRate("water_enters", Exposure.WET, ten.factor, 10),)


def test_more_passed_in_the_same_time_is_a_higher_rate_and_more_time_a_lower_one() -> None:
    by_transitions = [step_of([counted(20, n, 10)], "water_enters", Exposure.WET).factor for n in range(21)]
    assert by_transitions == sorted(set(by_transitions))
    by_years = [step_of([counted(20, 10, n)], "water_enters", Exposure.WET).factor for n in range(1, 30)]
    assert by_years == sorted(set(by_years), reverse=True)


@pytest.mark.parametrize(
    ("wet", "dry"),
    [((30, 2, 30.0), (30, 25, 5.0)), ((30, 0, 40.0), (0, 0, 0.0)), ((3, 3, 1.0), (20, 20, 4.0))],
)
def test_the_dry_never_come_out_faster_against_the_table_than_the_wet(
    wet: tuple[int, float, float], dry: tuple[int, float, float]
) -> None:
    counts = [counted(*wet), counted(*dry, exposure=Exposure.DRY)]
    both = [step_of(counts, "water_enters", exposure) for exposure in (Exposure.WET, Exposure.DRY)]
    assert [each.together for each in both] == [True, True]
    assert both[0].learned == both[1].learned
    assert both[0].learned.observations == wet[0] + dry[0]
    assert [each.own.observations for each in both] == [wet[0], dry[0]]


def test_wet_places_may_be_faster_by_themselves() -> None:
    counts = [counted(30, 40, 5.0), counted(30, 5, 30.0, exposure=Exposure.DRY)]
    wet, dry = (step_of(counts, "water_enters", exposure) for exposure in (Exposure.WET, Exposure.DRY))
    assert (wet.together, dry.together) == (False, False)
    assert wet.factor > 1 > dry.factor


# --- what it makes of a judgement --------------------------------------------------------------------


def judgement_with(learned: tuple[LearnedRate, ...], *conditions: Condition) -> dict[str, Any]:
    finding = a_finding(*conditions, **{**IN_THE_RAIN, "load": "cyclic", "in_load_path": True})
    return assess(finding, a_component(), replace(YARD, learned=learned), SEEN_ON, RULES).as_document()


@pytest.mark.parametrize(
    "condition", [each for each in Condition if each not in (Condition.UNSEEN, Condition.GONE)]
)
def test_a_yard_without_a_history_is_judged_by_the_table_alone(condition: Condition) -> None:
    none = rates_in_use(learned_steps(count_rechecks([], RULES), RULES))
    assert none == ()
    few = rates_in_use(learned_steps(count_rechecks([recheck(condition, DECAY)] * 9, RULES), RULES))
    assert few == ()
    assert judgement_with(few, condition) == judgement_with((), condition)


def test_what_was_learned_moves_the_probability_of_what_it_is_about_and_of_nothing_else() -> None:
    split, told = Condition.SPLIT_IN_LOAD_PATH, {}
    for trend in ("unchanged", "grown"):
        rechecks = [recheck(split, split, trend_then=trend)] * 30
        told[trend] = rates_in_use(learned_steps(count_rechecks(rechecks, RULES), RULES))
    slow, fast = told["unchanged"], told["grown"]
    chance = [judgement_with(rates, split)["failure_probability"] for rates in (slow, (), fast)]
    assert chance == sorted(set(chance))
    assert "by 30 rechecks of the yard's own" in " ".join(judgement_with(fast, split)["trace"])
    assert judgement_with(fast, Condition.METAL_WASTING) == judgement_with((), Condition.METAL_WASTING)


def test_the_worked_example_of_the_methods_page() -> None:
    page = " ".join((Path(inspections.judgement.__file__).parent / "METHOD.md").read_text(encoding="utf-8").split())
    wet = [recheck(WAY_OPEN, WATER_IN)] * 5 + [recheck(WAY_OPEN, WAY_OPEN)] * 7
    for years, each in zip(("0.379", "0.999"), (wet[0], wet[-1]), strict=True):
        assert f"{one(count_recheck(each, RULES)).exposure_years:.3f}" == years
        assert f"for {years}" in page
    got = {
        each.exposure: each
        for each in learned_steps(count_rechecks(wet, RULES), RULES)
        if each.step == "water_enters"
    }
    learned = got[Exposure.WET].learned
    prior = RULES.learning.certainty / 1.5
    reckoned = f"(4 + 5) / ({prior:.3f} + {learned.exposure_years:.3f}) = {learned.in_use_per_year:.3f} a year"
    assert reckoned in page
    assert f"between {learned.interval_low_per_year:.3f} and {learned.interval_high_per_year:.3f}" in page
    assert f"{got[Exposure.WET].factor:.3f} times the table's" in page
    assert got[Exposure.DRY].learned == learned
