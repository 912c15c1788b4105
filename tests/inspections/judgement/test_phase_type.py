"""Time to failure of a chain of states: ends, order, monotone, quantile and mean, and what is refused."""

import doctest
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.judgement import phase_type
from inspections.judgement.phase_type import failure_probability, mean_years, quantile_years
from yard.refusals import Refused

ROUNDING = 1e-12

rates = st.lists(st.floats(1e-4, 1e4), min_size=1, max_size=6).map(tuple)
waits = st.floats(0.0, 200.0)
few = settings(max_examples=50, deadline=None)


def test_the_examples_in_the_docstrings_hold() -> None:
    outcome = doctest.testmod(phase_type)
    assert outcome.attempted >= 5
    assert outcome.failed == 0


def test_one_step_is_the_exponential_distribution() -> None:
    assert failure_probability(rates_per_year=(0.2,), years=3.0) == pytest.approx(1 - math.exp(-0.6), rel=1e-14)
    assert quantile_years(rates_per_year=(0.2,), probability=0.9) == pytest.approx(math.log(10) / 0.2, rel=1e-12)


def test_an_empty_chain_has_been_passed() -> None:
    assert failure_probability(rates_per_year=(), years=0.0) == 1.0
    assert quantile_years(rates_per_year=(), probability=0.5) == 0.0
    assert mean_years(rates_per_year=()) == 0.0


def test_a_step_that_never_ends_holds_the_chain_for_ever() -> None:
    assert failure_probability(rates_per_year=(3.0, 0.0, 1.0), years=1000.0) == 0.0
    assert quantile_years(rates_per_year=(3.0, 0.0, 1.0), probability=1e-9) == math.inf
    assert quantile_years(rates_per_year=(3.0, 0.0), probability=0.0) == 0.0
    assert mean_years(rates_per_year=(3.0, 0.0)) == math.inf


def test_nothing_has_failed_at_once_and_everything_has_in_the_end() -> None:
    assert failure_probability(rates_per_year=(0.5, 2.0), years=0.0) == 0.0
    assert failure_probability(rates_per_year=(0.5, 2.0), years=1e6) == 1.0
    assert quantile_years(rates_per_year=(0.5, 2.0), probability=1.0) == math.inf


@given(rates, waits, st.permutations(range(6)))
@few
def test_the_order_of_the_steps_does_not_matter(chain: tuple[float, ...], years: float, order: list[int]) -> None:
    shuffled = tuple(chain[place] for place in order if place < len(chain))
    assert failure_probability(rates_per_year=shuffled, years=years) == failure_probability(
        rates_per_year=chain, years=years
    )


@given(rates, waits, st.one_of(st.floats(0.0, 1e-9), st.floats(0.0, 10.0)))
@few
def test_more_time_never_lowers_the_probability(chain: tuple[float, ...], years: float, more: float) -> None:
    early = failure_probability(rates_per_year=chain, years=years)
    late = failure_probability(rates_per_year=chain, years=years + more)
    assert 0.0 <= early <= 1.0
    assert late >= early - ROUNDING


@given(rates, waits, st.integers(0, 5), st.one_of(st.floats(1.0, 1.0 + 1e-9), st.floats(1.0, 10.0)))
@few
def test_a_faster_step_never_lowers_the_probability(
    chain: tuple[float, ...], years: float, step: int, factor: float
) -> None:
    place = step % len(chain)
    faster = (*chain[:place], chain[place] * factor, *chain[place + 1 :])
    slow = failure_probability(rates_per_year=chain, years=years)
    assert failure_probability(rates_per_year=faster, years=years) >= slow - ROUNDING


@given(rates, waits, st.floats(1e-4, 1e4))
@few
def test_one_step_more_never_raises_the_probability(chain: tuple[float, ...], years: float, added: float) -> None:
    longer = failure_probability(rates_per_year=(*chain, added), years=years)
    assert longer <= failure_probability(rates_per_year=chain, years=years) + ROUNDING


@pytest.mark.parametrize("before", [1.0, 4.0, 12.0])
def test_nothing_jumps_where_the_method_changes(before: float) -> None:
    """The years at which the fastest step, or two steps apart, leave one series for the table."""
    for chain in [(1.0, 0.5), (1.0, 1e-3, 1e-3), (1.0, 2.0, 2.0, 2.0, 3.0), tuple(1.0 + k / 7 for k in range(8))]:
        years = before / max(chain)
        at, after = (
            failure_probability(rates_per_year=chain, years=years * factor) for factor in (1.0, 1.0 + 1e-13)
        )
        assert after == pytest.approx(at, rel=3e-12)
        assert after >= at - ROUNDING


@given(rates, st.one_of(st.floats(1e-12, 1e-3), st.floats(1e-3, 0.999999)))
@few
def test_the_quantile_is_the_inverse_of_the_probability(chain: tuple[float, ...], probability: float) -> None:
    years = quantile_years(rates_per_year=chain, probability=probability)
    below, above = (
        failure_probability(rates_per_year=chain, years=min(years * factor, 1e6)) for factor in (1 - 1e-6, 1 + 1e-6)
    )
    assert below <= probability * (1 + 1e-11)
    assert above >= probability * (1 - 1e-11)


@given(rates, st.floats(1e-6, 0.99), st.floats(1e-6, 0.99))
@few
def test_a_higher_probability_is_never_reached_earlier(chain: tuple[float, ...], one: float, other: float) -> None:
    lower, higher = sorted((one, other))
    sooner = quantile_years(rates_per_year=chain, probability=lower)
    assert quantile_years(rates_per_year=chain, probability=higher) >= sooner * (1 - 1e-6)


def test_the_mean_is_the_area_above_the_probability() -> None:
    """∫ (1 − F) dt by the trapezoidal rule."""
    chain = (0.9, 2.0, 2.0)
    step = 0.01
    left = [1.0 - failure_probability(rates_per_year=chain, years=step * place) for place in range(4001)]
    assert step * (math.fsum(left) - (left[0] + left[-1]) / 2) == pytest.approx(
        mean_years(rates_per_year=chain), abs=1e-5
    )


@pytest.mark.parametrize(
    ("rates_per_year", "years", "field"),
    [
        ((0.1, -0.1), 1.0, "rates_per_year"),
        ((0.1, math.nan), 1.0, "rates_per_year"),
        ((math.inf,), 1.0, "rates_per_year"),
        ((1e10,), 1.0, "rates_per_year"),
        ((1.0,) * 13, 1.0, "rates_per_year"),
        ((1.0,), -1.0, "years"),
        ((1.0,), math.nan, "years"),
        ((1.0,), math.inf, "years"),
    ],
)
def test_what_can_not_be_is_refused(rates_per_year: tuple[float, ...], years: float, field: str) -> None:
    with pytest.raises(Refused) as refusal:
        failure_probability(rates_per_year=rates_per_year, years=years)
    assert refusal.value.field == field
    assert refusal.value.remedy.startswith("give")


@pytest.mark.parametrize("probability", [-0.1, 1.1, math.nan])
def test_a_probability_outside_0_to_1_is_refused(probability: float) -> None:
    with pytest.raises(Refused) as refusal:
        quantile_years(rates_per_year=(1.0,), probability=probability)
    assert refusal.value.field == "probability"


def test_the_mean_refuses_the_same_rates() -> None:
    with pytest.raises(Refused):
        mean_years(rates_per_year=(1.0, -1.0))
