"""Learning from records against published and computed examples, and the quantiles against scipy.

Sources: `planning/learning_from_actuals.json` (Hoff, A First Course in Bayesian Statistical Methods, 2009, ch. 5,
the midge wing lengths; invented hours, computed and checked by numerical integration; its README says what was seen
and what is from memory); `scipy.stats` for the gamma and Student's t distribution.
"""

import json
import math
from pathlib import Path
from typing import Any

import pytest
from scipy import stats

from inspections.learning import GammaRate, LogHours
from inspections.learning.quantiles import gamma_probability, gamma_quantile, t_probability, t_quantile

REFERENCE: dict[str, Any] = json.loads(
    (Path(__file__).parent / "planning" / "learning_from_actuals.json").read_text(encoding="utf-8")
)
TOLERANCE: float = REFERENCE["tolerance"]
HOFF: dict[str, Any] = REFERENCE["published_examples"][0]
HOURS: dict[str, Any] = REFERENCE["computed_hours_examples"]
WING_LENGTHS = [math.exp(length) for length in HOFF["data"]]
QUANTILES = {"p10": 0.1, "p50": 0.5, "p80": 0.8, "p90": 0.9}
SHARES = [1e-9, 1e-4, 0.025, 0.2, 0.5, 0.8, 0.975, 0.9999]


def test_hoff_s_example_with_unknown_variance() -> None:
    example = HOFF["unknown_variance"]
    posterior = LogHours(
        log_mean=example["mu0"],
        weight=example["kappa0"],
        log_sd=math.sqrt(example["sigma0_squared"]),
        degrees_of_freedom=example["nu0"],
    ).with_records(WING_LENGTHS)
    assert posterior.log_mean == pytest.approx(example["mu_n"], abs=TOLERANCE)
    assert (posterior.weight, posterior.degrees_of_freedom) == (example["kappa_n"], example["nu_n"])
    assert posterior.log_sd**2 == pytest.approx(example["sigma_n_squared"], abs=TOLERANCE)
    interval = [math.log(length) for length in posterior.median_interval(0.95)]
    assert interval == pytest.approx(example["interval95_theta"], abs=TOLERANCE)


def test_hoff_s_example_with_known_variance() -> None:
    example = HOFF["known_variance"]
    variance = example["sigma2_is_sample_variance"]
    posterior = LogHours(
        log_mean=example["mu0"],
        weight=variance / example["tau0"] ** 2,
        log_sd=math.sqrt(variance),
        degrees_of_freedom=math.inf,
    ).with_records(WING_LENGTHS)
    assert posterior.log_mean == pytest.approx(example["posterior_mean"], abs=TOLERANCE)
    assert posterior.log_sd**2 / posterior.weight == pytest.approx(example["posterior_variance"], abs=TOLERANCE)
    interval = [math.log(length) for length in posterior.median_interval(0.95)]
    assert interval == pytest.approx(example["interval95"], abs=TOLERANCE)


@pytest.mark.parametrize("example", HOURS["unknown_log_sd"], ids=lambda example: str(example["observed_hours"]))
def test_hours_with_unknown_spread(example: dict[str, Any]) -> None:
    prior, expected, ahead = example["prior"], example["posterior"], example["predictive_next_job"]
    posterior = LogHours.from_median(
        median_hours=prior["median_hours"],
        weight=prior["kappa0"],
        log_sd=prior["log_sd0"],
        degrees_of_freedom=prior["nu0"],
    ).with_records(example["observed_hours"])
    assert (posterior.weight, posterior.degrees_of_freedom) == (expected["kappa_n"], expected["nu_n"])
    assert posterior.log_mean == pytest.approx(expected["log_mean"], abs=TOLERANCE)
    assert posterior.median_hours == pytest.approx(expected["median_hours"], abs=TOLERANCE)
    assert posterior.log_sd**2 == pytest.approx(expected["log_variance"], abs=TOLERANCE)
    assert posterior.predictive_log_scale == pytest.approx(ahead["scale"], abs=TOLERANCE)
    for name, share in QUANTILES.items():
        assert posterior.quantile_hours(share) == pytest.approx(ahead[name], abs=TOLERANCE)


@pytest.mark.parametrize("example", HOURS["known_log_sd"], ids=lambda example: str(example["observed_hours"]))
def test_hours_with_known_spread(example: dict[str, Any]) -> None:
    prior, expected, ahead = example["prior"], example["posterior"], example["predictive_next_job"]
    posterior = LogHours.from_median(
        median_hours=prior["median_hours"], weight=prior["kappa0"], log_sd=prior["known_log_sd"]
    ).with_records(example["observed_hours"])
    assert posterior.weight == expected["kappa_n"]
    assert posterior.log_mean == pytest.approx(expected["log_mean"], abs=TOLERANCE)
    assert posterior.log_sd**2 / posterior.weight == pytest.approx(expected["log_mean_variance"], abs=TOLERANCE)
    assert posterior.predictive_log_scale == pytest.approx(ahead["log_sd"], abs=TOLERANCE)
    assert posterior.mean_hours == pytest.approx(ahead["mean_hours"], abs=TOLERANCE)
    for name in ("p50", "p80", "p90"):
        assert posterior.quantile_hours(QUANTILES[name]) == pytest.approx(ahead[name], abs=TOLERANCE)


@pytest.mark.parametrize("shape", [0.05, 0.5, 1.0, 4.0, 37.3, 900.0, 1e5])
def test_gamma_quantiles_are_scipy_s(shape: float) -> None:
    for share in SHARES:
        expected = float(stats.gamma.ppf(share, shape))
        quantile = gamma_quantile(shape=shape, probability=share)
        assert quantile == pytest.approx(expected, rel=1e-9, abs=0.0)
        assert gamma_probability(shape=shape, value=quantile) == pytest.approx(share, rel=1e-8)


@pytest.mark.parametrize("value", [1e-8, 0.3, 4.0, 9.0, 60.0])
def test_the_incomplete_gamma_function_is_scipy_s(value: float) -> None:
    for shape in (0.05, 1.0, 4.0, 37.3):
        expected = float(stats.gamma.cdf(value, shape))
        assert gamma_probability(shape=shape, value=value) == pytest.approx(expected, rel=1e-11, abs=0.0)


@pytest.mark.parametrize("freedom", [0.5, 1.0, 2.0, 5.0, 9.0, 40.0, 1e3, 1e6, math.inf])
def test_student_s_quantiles_are_scipy_s(freedom: float) -> None:
    for share in SHARES:
        quantile = t_quantile(degrees_of_freedom=freedom, probability=share)
        expected = 0.0 if share == 0.5 else float(stats.t.ppf(share, freedom))
        assert quantile == pytest.approx(expected, rel=1e-8)
        assert t_probability(degrees_of_freedom=freedom, value=quantile) == pytest.approx(share, abs=1e-9)


def test_the_credible_interval_is_scipy_s() -> None:
    posterior = GammaRate.from_mean_and_spread(mean_per_year=0.12, coefficient_of_variation=0.7).with_data(
        transitions=7, exposure_years=31.5
    )
    expected = stats.gamma.interval(0.9, posterior.shape, scale=1 / posterior.exposure_years)
    assert posterior.interval(0.9) == pytest.approx(tuple(map(float, expected)), rel=1e-9)
