"""Rates learned from counts: coherent, monotone, shown and not applied while records are few, refused where
wrong."""

import doctest
import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.learning import GammaRate, grown_rate, learned_rate, rates
from yard.refusals import Refused

TABLE = GammaRate(shape=4.0, exposure_years=20.0)
few = settings(max_examples=50, deadline=None)
priors = st.builds(GammaRate, shape=st.floats(0.01, 1e3), exposure_years=st.floats(0.01, 1e4))
data = st.tuples(st.floats(0.0, 100.0), st.floats(0.0, 100.0))


def test_the_examples_in_the_docstrings_hold() -> None:
    outcome = doctest.testmod(rates)
    assert outcome.attempted >= 7
    assert outcome.failed == 0


def test_the_prior_has_the_table_s_mean_and_the_stated_spread() -> None:
    prior = GammaRate.from_mean_and_spread(mean_per_year=0.35, coefficient_of_variation=0.8)
    assert prior.mean_per_year == pytest.approx(0.35)
    assert math.sqrt(prior.variance) / prior.mean_per_year == pytest.approx(0.8)


def test_no_data_changes_nothing() -> None:
    assert TABLE.with_data(transitions=0, exposure_years=0) == TABLE


@given(priors, st.lists(data, max_size=5))
@few
def test_records_one_by_one_teach_the_same_as_all_at_once(
    prior: GammaRate, records: list[tuple[float, float]]
) -> None:
    one_by_one = prior
    for transitions, years in records:
        one_by_one = one_by_one.with_data(transitions=transitions, exposure_years=years)
    at_once = prior.with_data(
        transitions=math.fsum(transitions for transitions, _ in records),
        exposure_years=math.fsum(years for _, years in records),
    )
    assert one_by_one.shape == pytest.approx(at_once.shape, rel=1e-12)
    assert one_by_one.exposure_years == pytest.approx(at_once.exposure_years, rel=1e-12)


@given(priors, st.floats(0.0, 100.0), st.floats(0.001, 100.0))
@few
def test_the_posterior_lies_between_the_table_and_what_was_counted(
    prior: GammaRate, transitions: float, years: float
) -> None:
    counted = transitions / years
    mean = prior.with_data(transitions=transitions, exposure_years=years).mean_per_year
    slack = 1e-9 * max(counted, prior.mean_per_year)
    assert min(counted, prior.mean_per_year) - slack <= mean <= max(counted, prior.mean_per_year) + slack


@given(priors, data, st.floats(0.0, 50.0))
@few
def test_more_transitions_never_lower_the_rate_and_more_quiet_years_never_raise_it(
    prior: GammaRate, seen: tuple[float, float], more: float
) -> None:
    transitions, years = seen
    mean = prior.with_data(transitions=transitions, exposure_years=years).mean_per_year
    assert prior.with_data(transitions=transitions + more, exposure_years=years).mean_per_year >= mean
    assert prior.with_data(transitions=transitions, exposure_years=years + more).mean_per_year <= mean


@given(priors, st.floats(0.0, 0.98), st.floats(0.001, 0.01))
@few
def test_a_surer_interval_holds_the_less_sure_one(prior: GammaRate, probability: float, more: float) -> None:
    low, high = prior.interval(probability)
    lower, higher = prior.interval(probability + more)
    assert 0.0 <= lower <= low * (1 + 1e-9)
    assert low <= high * (1 + 1e-9)
    assert high <= higher * (1 + 1e-9)


@given(priors, st.floats(-50.0, 500.0), st.floats(0.0, 500.0), st.floats(0.01, 20.0), st.floats(1.0, 100.0))
@few
def test_more_measured_growth_in_the_same_time_never_lowers_the_rate(
    prior: GammaRate, growth_mm: float, more_mm: float, years: float, mm_per_step: float
) -> None:
    less = grown_rate(prior=prior, growth_mm=growth_mm, years=years, mm_per_step=mm_per_step)
    more = grown_rate(prior=prior, growth_mm=growth_mm + more_mm, years=years, mm_per_step=mm_per_step)
    assert more.mean_per_year >= less.mean_per_year


def test_a_crack_that_grew_outweighs_the_table() -> None:
    table = GammaRate.from_mean_and_spread(mean_per_year=0.2, coefficient_of_variation=1.0)
    grown = grown_rate(prior=table, growth_mm=30, years=1, mm_per_step=10)
    assert grown.mean_per_year == pytest.approx((1 + 3) / (5 + 1))
    assert grown.mean_per_year > 3 * table.mean_per_year


def test_what_seems_to_have_shrunk_counts_as_still() -> None:
    assert grown_rate(prior=TABLE, growth_mm=-4, years=2, mm_per_step=10) == grown_rate(
        prior=TABLE, growth_mm=0, years=2, mm_per_step=10
    )


@pytest.mark.parametrize(("observations", "applied"), [(0, False), (9, False), (10, True), (500, True)])
def test_below_ten_observations_the_posterior_is_shown_and_not_applied(observations: int, applied: bool) -> None:
    result = learned_rate(prior=TABLE, transitions=6, exposure_years=10, observations=observations)
    assert result.posterior_mean_per_year == pytest.approx(1 / 3)
    assert result.interval_low_per_year < result.posterior_mean_per_year < result.interval_high_per_year
    assert result.applied is applied
    assert result.in_use_per_year == (result.posterior_mean_per_year if applied else TABLE.mean_per_year)
    assert result.observations == observations


def test_a_yard_without_history_has_the_table() -> None:
    result = learned_rate(prior=TABLE, transitions=0, exposure_years=0, observations=0)
    assert result.in_use_per_year == result.posterior_mean_per_year == TABLE.mean_per_year


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"transitions": -1}, "transitions"),
        ({"transitions": math.nan}, "transitions"),
        ({"exposure_years": -0.5}, "exposure_years"),
        ({"observations": -1}, "observations"),
        ({"observations": 2.5}, "observations"),
        ({"minimum_observations": 0}, "minimum_observations"),
        ({"interval_probability": 1.0}, "interval_probability"),
        ({"interval_probability": -0.1}, "interval_probability"),
    ],
)
def test_counts_that_can_not_be_are_refused(wrong: dict[str, Any], field: str) -> None:
    right: dict[str, Any] = {"prior": TABLE, "transitions": 1, "exposure_years": 1, "observations": 1}
    with pytest.raises(Refused) as refusal:
        learned_rate(**{**right, **wrong})
    assert refusal.value.field == field


@pytest.mark.parametrize(
    ("mean", "spread", "field"),
    [(0.0, 0.5, "mean_per_year"), (-1.0, 0.5, "mean_per_year"), (0.2, 0.0, "coefficient_of_variation")],
)
def test_a_table_that_can_not_be_learned_from_is_refused(mean: float, spread: float, field: str) -> None:
    with pytest.raises(Refused) as refusal:
        GammaRate.from_mean_and_spread(mean_per_year=mean, coefficient_of_variation=spread)
    assert refusal.value.field == field


@pytest.mark.parametrize(("field", "figure"), [("growth_mm", math.nan), ("years", -1.0), ("mm_per_step", 0.0)])
def test_a_growth_that_can_not_be_is_refused(field: str, figure: float) -> None:
    right = {"growth_mm": 1.0, "years": 1.0, "mm_per_step": 1.0}
    with pytest.raises(Refused) as refusal:
        grown_rate(prior=TABLE, **{**right, field: figure})
    assert refusal.value.field == field
