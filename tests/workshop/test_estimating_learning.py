"""Hours booked on jobs, split onto treatments, and what they make of the catalogue's figures.

Checked against `planning/learning_from_actuals.json` (see `tests/reference/test_learning.py` for its sources) and
against scipy's beta and lognormal distributions.
"""

import json
import math
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from inspections.learning import LogHours
from workshop.estimating.hours import ThreePoint
from workshop.estimating.learning import (
    DoneOperation,
    HoursRecord,
    prior_of,
    split_hours,
    three_points_of,
    told_hours,
)

REFERENCE: dict[str, Any] = json.loads(
    (Path(__file__).parents[1] / "reference" / "planning" / "learning_from_actuals.json").read_text("utf-8")
)
CATALOGUE = ThreePoint(Decimal("1.00"), Decimal("1.50"), Decimal("3.00"))
NOTHING = Decimal(0)


def operation(
    code: str, mean: float = 1.0, units: str = "1", setup: str = "0", once: bool = False
) -> DoneOperation:
    return DoneOperation(code, ThreePoint(mean, mean, mean), Decimal(setup), Decimal(units), once)


def records(*hours: float) -> list[HoursRecord]:
    return [HoursRecord("A", each, alone=True) for each in hours]


def test_a_job_of_one_treatment_counts_fully_less_its_setup_s_part() -> None:
    assert split_hours([operation("A", 2.0)], Decimal(5)) == (HoursRecord("A", 5.0, alone=True),)
    (record,) = split_hours([operation("A", 2.0, setup="0.50")], Decimal(5))
    assert record.hours_per_unit == pytest.approx(4.0)


def test_hours_are_per_unit_and_one_job_is_one_record_of_a_treatment() -> None:
    (record,) = split_hours([operation("A", 3.0, units="3"), operation("A", 1.0, units="1")], Decimal(8))
    assert (record.hours_per_unit, record.alone) == (2.0, True)


def test_several_treatments_share_in_proportion_to_the_estimate() -> None:
    one, other = split_hours([operation("A", 3.0), operation("B", 1.0, units="2")], Decimal(6))
    assert (one.hours_per_unit, other.hours_per_unit) == (4.5, 0.75)
    assert not one.alone
    assert not other.alone


def test_a_setup_is_shared_out_once_a_treatment() -> None:
    twice = [operation("A", 1.0, setup="1"), operation("A", 1.0, setup="1")]
    (record,) = split_hours(twice, Decimal(6))
    assert record.hours_per_unit == pytest.approx(2.0)  # 6 h over 3 h estimated, on 2 h of two units


def test_opening_up_counts_once_at_its_largest() -> None:
    opened = [operation("OPEN_UP", 1.0, once=True), operation("OPEN_UP", 2.0, once=True), operation("A", 2.0)]
    by_code = {record.treatment: record.hours_per_unit for record in split_hours(opened, Decimal(8))}
    assert by_code == {"A": 4.0, "OPEN_UP": 4.0}


@pytest.mark.parametrize("booked", ["0", "-1"])
def test_a_job_without_hours_tells_nothing(booked: str) -> None:
    assert split_hours([operation("A")], Decimal(booked)) == ()
    assert split_hours([operation("A", 0.0)], Decimal(3)) == ()
    assert split_hours([], Decimal(3)) == ()


@settings(max_examples=50, deadline=None)
@given(
    means=st.lists(st.tuples(st.sampled_from("ABC"), st.floats(0.5, 20)), min_size=1, max_size=6),
    booked=st.decimals("5", "200", places=2),
)
def test_what_is_split_adds_up_to_what_was_booked(means: list[tuple[str, float]], booked: Decimal) -> None:
    operations = [operation(code, mean) for code, mean in means]
    units = {code: sum(1 for other, _ in means if other == code) for code, _ in means}
    split = split_hours(operations, booked)
    total = math.fsum(record.hours_per_unit * units[record.treatment] for record in split)
    assert total == pytest.approx(float(booked), rel=1e-9)


@pytest.mark.parametrize("example", REFERENCE["computed_hours_examples"]["unknown_log_sd"])
def test_the_prior_is_worth_what_the_reference_gives_it(example: dict[str, Any]) -> None:
    """A catalogue with the reference's median and spread learns what the reference learns."""
    prior, expected = example["prior"], example["posterior"]
    spread = LogHours.from_median(
        median_hours=prior["median_hours"],
        weight=prior["kappa0"],
        log_sd=prior["log_sd0"],
        degrees_of_freedom=prior["nu0"],
    )
    ours = prior_of(three_points_of(spread))
    assert (ours.weight, ours.degrees_of_freedom) == (prior["kappa0"], prior["nu0"])
    posterior = ours.with_records(example["observed_hours"])
    assert posterior.median_hours == pytest.approx(expected["median_hours"], rel=2e-3)
    assert posterior.log_sd == pytest.approx(expected["log_sd"], rel=1e-2)


@pytest.mark.parametrize("figures", [("1", "1.5", "3"), ("0", "0", "4"), ("2", "5", "6"), ("10", "14", "40")])
def test_without_records_the_quoted_figures_are_the_catalogue_s(figures: tuple[str, str, str]) -> None:
    catalogue = ThreePoint(*map(Decimal, figures))
    low, likely, high = (float(figure) for figure in figures)
    shape = 1 + 4 * (likely - low) / (high - low), 1 + 4 * (high - likely) / (high - low)
    told = told_hours(catalogue, [])
    for share, ours in ((0.5, told.median_hours), (0.8, told.p80_hours)):
        assert ours == pytest.approx(float(stats.beta.ppf(share, *shape, low, high - low)), rel=1e-6)
    assert told.proposed is None


@pytest.mark.parametrize("log_sd", [0.05, 0.2, 0.3, 0.5, 0.7, 0.85])
def test_the_three_figures_to_adopt_quote_the_learned_median_and_ceiling(log_sd: float) -> None:
    learned = LogHours.from_median(median_hours=40, weight=1e6, log_sd=log_sd)
    three = three_points_of(learned)
    assert three.quantile(0.5) == pytest.approx(40, rel=1e-3)
    expected = float(stats.lognorm.ppf(0.8, log_sd, scale=40))
    assert three.quantile(0.8) == pytest.approx(expected, rel=1e-3)
    if log_sd <= 0.5:
        assert float(three.low) == pytest.approx(float(stats.lognorm.ppf(0.05, log_sd, scale=40)), rel=1e-3)


@pytest.mark.parametrize("log_sd", [1.0, 3.0, 10.0])
def test_where_jobs_differ_beyond_measure_the_ceiling_is_kept(log_sd: float) -> None:
    learned = LogHours.from_median(median_hours=2, weight=1e6, log_sd=log_sd)
    three = three_points_of(learned)
    assert three.low == 0
    assert three.quantile(0.5) > 2
    if log_sd == 1.0:
        assert three.quantile(0.8) == pytest.approx(float(stats.lognorm.ppf(0.8, 1.0, scale=2)), rel=1e-2)
    assert three.high <= 10_000


def test_nine_jobs_propose_nothing_and_ten_do() -> None:
    assert told_hours(CATALOGUE, records(*[3.0] * 9)).proposed is None
    ten = told_hours(CATALOGUE, records(*[3.0] * 10))
    assert ten.proposed is not None
    assert CATALOGUE.quantile(0.5) < ten.proposed.quantile(0.5) < 3.0
    assert ten.proposed.quantile(0.5) == pytest.approx(ten.median_hours, rel=1e-2)
    assert ten.proposed.quantile(0.8) == pytest.approx(ten.p80_hours, rel=1e-2)


def test_one_wild_job_hardly_moves_the_figure() -> None:
    calm = told_hours(CATALOGUE, records(*[1.6] * 11))
    wild = told_hours(CATALOGUE, records(*[1.6] * 10, 160.0))
    assert (calm.learned.drawn_in, wild.learned.drawn_in) == (0, 1)
    assert calm.median_hours < wild.median_hours < 1.2 * calm.median_hours
    untamed = prior_of(CATALOGUE).with_records([1.6] * 10 + [160.0])
    assert untamed.median_hours > 1.2 * calm.median_hours


def test_a_catalogue_of_nothing_still_learns() -> None:
    told = told_hours(ThreePoint(NOTHING, NOTHING, NOTHING), records(*[1.0] * 20))
    assert told.proposed is not None
    assert told.proposed.quantile(0.5) > 0.3
