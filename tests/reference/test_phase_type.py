"""The time to the end of a chain of states against general tools.

Sources: `scipy.linalg.expm` on the generator of the chain (matrix exponential), `scipy.stats.gamma` for equal rates
(Erlang), and for what lies below the reach of floats the textbook's partial fractions 1 − Σ cᵢ·exp(−rᵢt) in 250
digits, equal rates being set apart by one part in 10²⁰.
"""

import math
from decimal import Context, Decimal, localcontext
from random import Random

import numpy as np
import pytest
from scipy import linalg, optimize, stats

from inspections.judgement.phase_type import failure_probability, quantile_years

NASTY = [
    ((1.0, 1.0, 1.0), 2.0),
    ((1.0, 1.0 + 1e-15, 1.0 - 1e-9), 0.3),
    ((1e-9, 1e-9), 1.0),
    ((1e-4, 1e-3, 1e-2, 1e-1, 1.0), 0.5),
    ((1e-7, 1e3), 5.0),
    ((50.0, 20.0, 1.0, 0.1, 0.1), 1.0),
    ((500.0, 500.0, 500.0), 0.01),
    ((0.999, 1.0, 1.001, 4.999, 5.0), 1.0),
    ((1e6, 1e6, 0.3, 0.3), 4.0),
    ((3.0, 3.0, 3.0, 3.0, 3.0, 3.0, 3.0, 3.0), 0.2),
    (tuple(float(rate) for rate in range(1, 13)), 1.5),
    (tuple(1.0 + 0.01 * place for place in range(12)), 20.0),
]


def drawn(count: int, most_steps: int) -> list[tuple[tuple[float, ...], float]]:
    """Chains whose rates spread over six powers of ten or lie within a few parts of each other."""
    random = Random(1981)
    chains = []
    for place in range(count):
        steps = random.randint(1, most_steps)
        if place % 2:
            rates = tuple(10 ** random.uniform(-3, 3) for _ in range(steps))
        else:
            middle = 10 ** random.uniform(-2, 2)
            rates = tuple(
                middle * (1 + random.choice((0.0, 1e-13, 1e-6, 0.1)) * random.random()) for _ in range(steps)
            )
        chains.append((rates, 10 ** random.uniform(-2, 1.5)))
    return chains


def by_matrix_exponential(rates: tuple[float, ...], years: float) -> float:
    """From the first state to the last.

    The states are numbered end first, then as they come: for triangular matrices scipy takes another formula, which
    loses its digits where two rates are nearly equal.
    """
    steps = len(rates)
    generator = np.zeros((steps + 1, steps + 1))
    for state, rate in enumerate(rates, start=1):
        generator[state, state] = -rate
        generator[state, (state + 1) % (steps + 1)] = rate
    return float(linalg.expm(generator * years)[1, 0])


def in_many_digits(rates: tuple[float, ...], years: float) -> Decimal:
    with localcontext(Context(prec=250, Emin=-(10**12), Emax=10**12)):
        apart = [
            Decimal(rate) * Decimal(years) * (1 + place * Decimal("1e-20")) for place, rate in enumerate(rates)
        ]
        left = Decimal(0)
        for place, one in enumerate(apart):
            share = Decimal(1)
            for other_place, other in enumerate(apart):
                if other_place != place:
                    share *= other / (other - one)
            left += share * (-one).exp()
        return 1 - left


@pytest.mark.parametrize(("rates", "years"), [*NASTY, *drawn(60, 8)])
def test_it_is_the_matrix_exponential(rates: tuple[float, ...], years: float) -> None:
    assert failure_probability(rates_per_year=rates, years=years) == pytest.approx(
        by_matrix_exponential(rates, years), abs=1e-10
    )


@pytest.mark.parametrize(("rates", "years"), [*NASTY, *drawn(40, 6)])
def test_it_keeps_its_digits_however_small_it_is(rates: tuple[float, ...], years: float) -> None:
    expected = float(in_many_digits(rates, years))
    assert failure_probability(rates_per_year=rates, years=years) == pytest.approx(expected, rel=1e-12, abs=0.0)


@pytest.mark.parametrize("steps", [2, 3, 5, 9, 12])
@pytest.mark.parametrize("probability", [1e-12, 1e-4, 0.2, 0.5, 0.9, 0.9999])
def test_equal_rates_give_the_erlang_quantile(steps: int, probability: float) -> None:
    expected = float(stats.gamma.ppf(probability, steps, scale=1 / 0.7))
    assert quantile_years(rates_per_year=(0.7,) * steps, probability=probability) == pytest.approx(
        expected, rel=1e-7
    )


@pytest.mark.parametrize("rates", [rates for rates, _ in NASTY if min(rates) >= 1e-4])
@pytest.mark.parametrize("probability", [1e-9, 1e-3, 0.1, 0.5, 0.99])
def test_bisection_finds_the_same_quantile(rates: tuple[float, ...], probability: float) -> None:
    years = quantile_years(rates_per_year=rates, probability=probability)
    by_bisection = optimize.bisect(
        lambda time: failure_probability(rates_per_year=rates, years=time) - probability,
        years / 2,
        years * 2,
        rtol=1e-9,
        xtol=1e-300,
    )
    assert years == pytest.approx(by_bisection, rel=1e-6)


def test_the_first_order_of_a_tiny_probability_is_the_product_of_the_rates_over_the_factorial() -> None:
    rates = (2e-4, 3e-4, 5e-4)
    assert failure_probability(rates_per_year=rates, years=0.01) == pytest.approx(
        math.prod(rates) * 0.01**3 / 6, rel=1e-5, abs=0.0
    )
