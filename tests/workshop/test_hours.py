"""Hours as a distribution: the rules of the sum, and a simulation that knows nothing of the fit."""

import math
import random
from decimal import Decimal
from statistics import NormalDist
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.special import ndtr

from workshop.estimating.beta import beta_cdf, beta_quantile
from workshop.estimating.hours import (
    HoursEstimate,
    ThreePoint,
    quarter_hours,
    sum_of,
    up_to_half_hours,
)
from yard.refusals import Refused

SCARF = ThreePoint(2, 4, 12)
WASH = ThreePoint(Decimal("0.3"), Decimal("0.5"), Decimal("1.0"))
SET_UP = ThreePoint(Decimal("0.3"), Decimal("0.3"), Decimal("0.3"))
PATCH = ThreePoint(1, 2, 4)
WILD = ThreePoint(1, 2, 20)

JOBS = {
    "one operation": [SCARF],
    "set-up, wash and patch": [SET_UP, WASH, PATCH],
    "five alike": [ThreePoint(1, 2, 6)] * 5,
    "one rules the rest": [ThreePoint(2, 4, 16), ThreePoint(0.1, 0.2, 0.4), WASH],
    "more likely late than early": [ThreePoint(1, 4, 5), ThreePoint(2, 7, 8)],
}

figures = st.floats(0, 10_000, allow_nan=False)
three_points = st.lists(figures, min_size=3, max_size=3).map(lambda three: ThreePoint(*sorted(three)))
small_three_points = st.lists(st.integers(0, 400), min_size=3, max_size=3).map(
    lambda three: ThreePoint(*(value / 4 for value in sorted(three)))
)
correlations = st.floats(0, 1)


def simulated(operations: list[ThreePoint], correlation: float, draws: int = 40_000) -> NDArray[np.float64]:
    """Totals of a job in their order, operation by operation from a general library's beta generator.

    One common cause and one own cause, both normal, say how kind the wood is in each operation; the operation then
    takes the hours of that rank in a sample of its own.
    """
    chance = np.random.default_rng(20270403)
    common = chance.standard_normal(draws)
    totals = np.zeros(draws)
    for operation in operations:
        low, width = float(operation.low), float(operation.high) - float(operation.low)
        if not width:
            totals += low
            continue
        hours = np.sort(low + width * chance.beta(operation.alpha, operation.beta, draws))
        cause = math.sqrt(correlation) * common + math.sqrt(1 - correlation) * chance.standard_normal(draws)
        totals += hours[np.minimum(draws - 1, (ndtr(cause) * draws).astype(int))]
    return np.sort(totals)


@pytest.mark.parametrize("correlation", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("name", JOBS)
def test_median_and_ceiling_agree_with_a_simulation(name: str, correlation: float) -> None:
    estimate = sum_of(JOBS[name], correlation)
    totals = simulated(JOBS[name], correlation)
    # 40 000 draws leave about 0.6 % of the spread to chance; the fit itself is good to 1 %.
    assert estimate.mean == pytest.approx(totals.mean(), rel=0.01)
    assert estimate.sd == pytest.approx(totals.std(), rel=0.02)
    assert estimate.median == pytest.approx(totals[len(totals) // 2], rel=0.015)
    assert estimate.p80 == pytest.approx(totals[len(totals) * 4 // 5], rel=0.015)


def test_one_wild_operation_in_an_uncorrelated_job_stays_within_3_percent() -> None:
    estimate = sum_of([WILD, PATCH], 0.0)
    totals = simulated([WILD, PATCH], 0.0)
    assert estimate.median == pytest.approx(totals[len(totals) // 2], rel=0.035)
    assert estimate.p80 == pytest.approx(totals[len(totals) * 4 // 5], rel=0.015)


@given(three_points, correlations)
@settings(deadline=None)
def test_a_job_of_one_operation_is_that_operation(operation: ThreePoint, correlation: float) -> None:
    estimate = sum_of([operation], correlation)
    assert estimate.likely == float(operation.likely)
    assert estimate.median == pytest.approx(operation.quantile(0.5), rel=1e-6, abs=1e-9)
    assert estimate.p80 == pytest.approx(operation.quantile(0.8), rel=1e-6, abs=1e-9)


@given(small_three_points, st.integers(1, 12))
@settings(deadline=None)
def test_operations_of_one_shape_that_go_wrong_together_are_one_larger_operation(
    operation: ThreePoint, count: int
) -> None:
    together = sum_of([operation] * count, 1.0)
    larger = sum_of([operation.times(count)])
    for name in HoursEstimate.__slots__:
        assert getattr(together, name) == pytest.approx(getattr(larger, name), rel=1e-6, abs=1e-9)


@given(st.lists(small_three_points, max_size=12), correlations)
@settings(deadline=None)
def test_figures_of_a_job_stand_in_their_order(operations: list[ThreePoint], correlation: float) -> None:
    estimate = sum_of(operations, correlation)
    hair = 1e-9 * (1 + estimate.high)
    assert estimate.low <= estimate.median + hair
    assert estimate.median <= estimate.p80
    assert estimate.p80 <= estimate.high + hair
    assert estimate.low - hair <= estimate.mean <= estimate.high + hair
    assert estimate.likely == pytest.approx(math.fsum(float(operation.likely) for operation in operations))
    assert quarter_hours(estimate.median) <= up_to_half_hours(estimate.p80)


@given(st.lists(small_three_points, min_size=2, max_size=8), correlations, st.randoms(use_true_random=False))
@settings(deadline=None)
def test_the_order_of_operations_does_not_matter(
    operations: list[ThreePoint], correlation: float, chance: random.Random
) -> None:
    shuffled = operations[:]
    chance.shuffle(shuffled)
    one, other = sum_of(operations, correlation), sum_of(shuffled, correlation)
    for name in HoursEstimate.__slots__:
        assert getattr(one, name) == pytest.approx(getattr(other, name), rel=1e-9, abs=1e-9)


@given(st.lists(small_three_points, min_size=2, max_size=8), correlations, correlations)
@settings(deadline=None)
def test_a_common_cause_widens_the_spread_and_leaves_the_mean(
    operations: list[ThreePoint], one: float, other: float
) -> None:
    less, more = sum_of(operations, min(one, other)), sum_of(operations, max(one, other))
    assert less.mean == more.mean
    assert less.sd <= more.sd * (1 + 1e-12)


def test_no_operations_take_no_hours() -> None:
    assert sum_of([]) == HoursEstimate(0, 0, 0, 0, 0, 0, 0)


def test_certain_hours_have_no_spread() -> None:
    estimate = sum_of([SET_UP, ThreePoint(2, 2, 2)])
    assert estimate.sd == 0
    assert estimate.median == estimate.p80 == pytest.approx(2.3)
    assert ThreePoint(2, 2, 2).quantile(0.8) == 2
    with pytest.raises(ValueError, match="no distribution"):
        _ = ThreePoint(2, 2, 2).alpha


def test_several_units_of_exact_hours_stay_exact() -> None:
    assert WASH.times(Decimal("2.5")) == ThreePoint(Decimal("0.75"), Decimal("1.25"), Decimal("2.5"))
    assert WASH.times(Decimal("2.5")).likely.__class__ is Decimal
    assert SCARF.times(2) == ThreePoint(4, 8, 24)


@pytest.mark.parametrize(
    ("low", "likely", "high", "field", "problem"),
    [
        pytest.param(2, 1, 3, "likely", "less than low", id="likely below low"),
        pytest.param(1, 3, 2, "high", "less than likely", id="high below likely"),
        pytest.param(-1, 1, 2, "low", "negative", id="negative"),
        pytest.param(1, 2, 10_001, "high", "over 10000", id="over the limit"),
        pytest.param(1, math.nan, 2, "likely", "nan", id="not a number"),
        pytest.param(1, 2, math.inf, "high", "inf", id="infinite"),
        pytest.param(1, Decimal("NaN"), 2, "likely", "NaN", id="decimal not a number"),
        pytest.param("about 2", 3, 4, "low", "not a number", id="prose"),
        pytest.param("2", 3, 4, "low", "not a number", id="number in quotes"),
        pytest.param(True, 3, 4, "low", "not a number", id="truth value"),
        pytest.param(None, 3, 4, "low", "not a number", id="missing"),
    ],
)
def test_hours_that_make_no_sense_are_refused_by_name(
    low: Any, likely: Any, high: Any, field: str, problem: str
) -> None:
    with pytest.raises(Refused) as refusal:
        ThreePoint(low, likely, high)
    assert refusal.value.field == field
    assert problem in refusal.value.problem


def test_the_limits_themselves_are_allowed() -> None:
    assert ThreePoint(0, 0, 10_000).quantile(1) == 10_000
    assert ThreePoint(0, 0, 0).mean == 0


@pytest.mark.parametrize("units", [0, -1, math.nan, "two"])
def test_a_number_of_units_that_makes_no_sense_is_refused(units: Any) -> None:
    with pytest.raises(Refused) as refusal:
        PATCH.times(units)
    assert refusal.value.field == "units"


@pytest.mark.parametrize("correlation", [-0.1, 1.1, math.nan, True])
def test_a_correlation_outside_0_to_1_is_refused(correlation: float) -> None:
    with pytest.raises(Refused) as refusal:
        sum_of([PATCH], correlation)
    assert refusal.value.field == "correlation"


@pytest.mark.parametrize(
    ("hours", "nearest_quarter", "up_to_a_half"),
    [
        ("6.4", "6.5", "6.5"),
        ("6.125", "6.25", "6.5"),
        ("6.12", "6", "6.5"),
        ("6.5", "6.5", "6.5"),
        ("6.51", "6.5", "7"),
        ("6.50000001", "6.5", "6.5"),
        ("0.1", "0", "0.5"),
        ("0", "0", "0"),
        ("9999.9", "10000", "10000"),
    ],
)
def test_told_hours_are_rounded_to_quarters_and_up_to_halves(
    hours: str, nearest_quarter: str, up_to_a_half: str
) -> None:
    for value in (Decimal(hours), float(hours)):
        assert quarter_hours(value) == Decimal(nearest_quarter)
        assert up_to_half_hours(value) == Decimal(up_to_a_half)


@given(st.floats(0, 1), st.floats(1, 200), st.floats(1, 200))
@settings(deadline=None)
def test_quantile_and_distribution_function_undo_each_other(probability: float, alpha: float, beta: float) -> None:
    assert beta_cdf(beta_quantile(probability, alpha, beta), alpha, beta) == pytest.approx(probability, abs=1e-8)


@pytest.mark.parametrize("x", [0, 0.1, 0.5, 0.93, 1])
def test_shapes_with_a_closed_form_agree_with_it(x: float) -> None:
    assert beta_cdf(x, 1, 1) == pytest.approx(x, abs=1e-14)
    assert beta_cdf(x, 3, 1) == pytest.approx(x**3, abs=1e-14)
    assert beta_cdf(x, 1, 5) == pytest.approx(1 - (1 - x) ** 5, abs=1e-14)
    assert beta_cdf(x, 2, 2) == pytest.approx(3 * x**2 - 2 * x**3, abs=1e-14)


def test_a_very_narrow_distribution_is_nearly_normal() -> None:
    # A normal of the same mean and variance; the skew moves the figure by less than 1e-6.
    mean, sd = 0.4, math.sqrt(0.4 * 0.6 / 1_000_001)
    assert beta_quantile(0.8, 4e5, 6e5) == pytest.approx(NormalDist(mean, sd).inv_cdf(0.8), abs=1e-6)


@pytest.mark.parametrize(
    ("probability", "alpha", "beta"), [(-0.1, 2, 2), (1.1, 2, 2), (0.5, 0.5, 2), (0.5, 2, 1e7), (0.5, 2, math.nan)]
)
def test_quantiles_outside_their_range_are_refused(probability: float, alpha: float, beta: float) -> None:
    with pytest.raises(ValueError, match="not"):
        beta_quantile(probability, alpha, beta)


def test_a_share_outside_0_to_1_is_refused() -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        beta_cdf(1.5, 2, 2)
