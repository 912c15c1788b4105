"""Hours learned from work logs: coherent, monotone, deaf to one wild record, refused where wrong."""

import doctest
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.learning import LogHours, draw_in_wild, hours, learned_hours, quantiles
from yard.refusals import Refused

TABLE = LogHours.from_median(median_hours=8.0, weight=4.0, log_sd=0.3, degrees_of_freedom=5.0)
few = settings(max_examples=50, deadline=None)
records = st.lists(st.floats(0.1, 500.0), max_size=8)
priors = st.builds(
    LogHours.from_median,
    median_hours=st.floats(0.5, 200.0),
    weight=st.floats(0.1, 50.0),
    log_sd=st.floats(0.05, 1.5),
    degrees_of_freedom=st.one_of(st.floats(1.0, 50.0), st.just(math.inf)),
)


@pytest.mark.parametrize("module", [hours, quantiles], ids=lambda module: module.__name__)
def test_the_examples_in_the_docstrings_hold(module: object) -> None:
    outcome = doctest.testmod(module)  # type: ignore[arg-type]
    assert outcome.attempted >= 4
    assert outcome.failed == 0


@given(priors, records, st.integers(0, 8))
@few
def test_records_in_two_parts_teach_the_same_as_all_at_once(prior: LogHours, spent: list[float], cut: int) -> None:
    at_once = prior.with_records(spent)
    in_parts = prior.with_records(spent[:cut]).with_records(spent[cut:])
    assert in_parts.log_mean == pytest.approx(at_once.log_mean, abs=1e-9)
    assert in_parts.log_sd == pytest.approx(at_once.log_sd, rel=1e-9)
    assert in_parts.weight == pytest.approx(at_once.weight)
    assert in_parts.degrees_of_freedom == pytest.approx(at_once.degrees_of_freedom)


@given(priors, st.lists(st.floats(0.1, 500.0), min_size=1, max_size=8), st.integers(0, 7), st.floats(1.0, 100.0))
@few
def test_a_longer_record_never_lowers_the_median(
    prior: LogHours, spent: list[float], place: int, factor: float
) -> None:
    longer = list(spent)
    longer[place % len(spent)] *= factor
    assert prior.with_records(longer).log_mean >= prior.with_records(spent).log_mean - 1e-12


@given(priors, st.floats(0.01, 0.98), st.floats(0.001, 0.01))
@few
def test_a_surer_promise_is_never_shorter(prior: LogHours, probability: float, more: float) -> None:
    assert prior.quantile_hours(probability + more) >= prior.quantile_hours(probability)


def test_the_half_way_hours_are_the_median_and_the_mean_needs_a_known_spread() -> None:
    known = LogHours.from_median(median_hours=8.0, weight=4.0, log_sd=0.3)
    assert TABLE.quantile_hours(0.5) == TABLE.median_hours == pytest.approx(8.0)
    assert TABLE.mean_hours == math.inf
    assert known.median_hours < known.mean_hours < known.quantile_hours(0.8)


def test_what_is_beyond_floats_is_never_reached() -> None:
    wide = LogHours.from_median(median_hours=1e5, weight=0.1, log_sd=10.0, degrees_of_freedom=1.0)
    assert wide.quantile_hours(0.999) == math.inf


def test_the_median_is_known_better_than_the_next_job() -> None:
    taught = TABLE.with_records([9.5, 7.0, 11.2, 8.8])
    low, high = taught.median_interval(0.8)
    assert taught.quantile_hours(0.1) < low < taught.median_hours < high < taught.quantile_hours(0.9)


@given(records)
@few
def test_a_record_is_held_to_what_the_others_and_the_table_predict(spent: list[float]) -> None:
    for place, (before, after) in enumerate(zip(spent, draw_in_wild(prior=TABLE, hours=spent), strict=True)):
        others = TABLE.with_records(spent[:place] + spent[place + 1 :])
        low, high = others.quantile_hours(0.005), others.quantile_hours(0.995)
        assert after == pytest.approx(min(max(before, low), high), rel=1e-9)


@pytest.mark.parametrize("ordinary", [[], [8.0], [9.5, 7.0, 11.2, 8.8], [8.0] * 12])
def test_beyond_a_point_it_does_not_matter_how_wild_a_record_is(ordinary: list[float]) -> None:
    medians = [learned_hours(prior=TABLE, hours=[*ordinary, wild]).posterior.median_hours for wild in (60.0, 6e4)]
    assert medians[1] == pytest.approx(medians[0], rel=1e-12)
    assert medians[0] < TABLE.with_records([*ordinary, 60.0]).median_hours


def test_ordinary_records_stay_as_they_are_beside_a_wild_one() -> None:
    spent = [9.5, 7.0, 11.2, 8.8, 7.7, 60_000.0]
    assert draw_in_wild(prior=TABLE, hours=spent)[:-1] == tuple(spent[:-1])


def test_a_yard_that_is_always_slower_than_the_table_is_believed() -> None:
    result = learned_hours(prior=TABLE, hours=[24.0, 27.0, 22.0, 25.0, 30.0, 23.0, 26.0, 24.0, 28.0, 25.0])
    assert result.drawn_in == 0
    assert result.applied
    assert result.in_use.median_hours > 17.0


def test_below_ten_records_the_posterior_is_shown_and_not_applied() -> None:
    result = learned_hours(prior=TABLE, hours=[12.0] * 9)
    assert (result.records, result.applied, result.in_use) == (9, False, TABLE)
    assert result.posterior.median_hours > TABLE.median_hours
    assert learned_hours(prior=TABLE, hours=[12.0] * 9, minimum_observations=9).in_use == result.posterior


@pytest.mark.parametrize("spent", [0.0, -3.0, math.nan, math.inf, 1e6])
def test_hours_that_can_not_be_are_refused(spent: float) -> None:
    with pytest.raises(Refused) as refusal:
        learned_hours(prior=TABLE, hours=[8.0, spent])
    assert refusal.value.field == "hours"


@pytest.mark.parametrize("field", ["median_hours", "weight", "log_sd", "degrees_of_freedom"])
def test_a_prior_that_can_not_be_is_refused(field: str) -> None:
    right = {"median_hours": 8.0, "weight": 4.0, "log_sd": 0.3, "degrees_of_freedom": 5.0}
    with pytest.raises(Refused) as refusal:
        LogHours.from_median(**{**right, field: 0.0})
    assert refusal.value.field == field


@pytest.mark.parametrize("probability", [0.0, 1.0, -0.1, math.nan])
def test_a_promise_for_no_or_for_every_job_is_refused(probability: float) -> None:
    with pytest.raises(Refused) as refusal:
        TABLE.quantile_hours(probability)
    assert refusal.value.field == "probability"
