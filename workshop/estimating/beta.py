"""The beta distribution on 0 to 1, as far as an estimate of hours needs it: distribution function and quantiles.

The regularised incomplete beta function is worked out by its continued fraction, NIST Digital Library of
Mathematical Functions 8.17.22 with the symmetry 8.17.4 (formulas from memory), evaluated by the modified method of
Lentz (Thompson and Barnett 1986, as in Press et al., Numerical Recipes, from memory). A statistics library of some
60 MB for these two functions was not worth it; the tests hold them against tables computed with one.
"""

import math
from statistics import NormalDist
from typing import Final

LARGEST_PARAMETER: Final = 1e6

_TINY: Final = 1e-300
_PRECISION: Final = 1e-15
_STEP_PRECISION: Final = 1e-11
_MOST_TERMS: Final = 5_000
_MOST_STEPS: Final = 200
_STANDARD_NORMAL: Final = NormalDist()


def beta_cdf(x: float, alpha: float, beta: float) -> float:
    """Probability that a beta-distributed share is not over `x`.

    Args:
        x: share [-], 0 to 1.
        alpha: first shape parameter [-], over 0 to 1 000 000.
        beta: second shape parameter [-], over 0 to 1 000 000.

    Returns:
        Probability [-], 0 to 1, to about 1e-11.

    Raises:
        ValueError: an argument is outside its range.
        ArithmeticError: the fraction did not settle, which no argument in range is known to cause.
    """
    _check_shape(alpha, beta)
    if not 0 <= x <= 1:
        raise ValueError(f"x must be between 0 and 1, not {x}")
    if x in (0, 1):
        return float(x)
    # The fraction converges fast below the mean; above it the complement is taken (DLMF 8.17.4).
    if x <= (alpha + 1) / (alpha + beta + 2):
        return _front(x, alpha, beta) * _fraction(x, alpha, beta) / alpha
    return 1 - _front(1 - x, beta, alpha) * _fraction(1 - x, beta, alpha) / beta


def beta_quantile(probability: float, alpha: float, beta: float) -> float:
    """Share that is not passed with the given probability: the inverse of `beta_cdf`.

    Args:
        probability: [-], 0 to 1.
        alpha: first shape parameter [-], 1 to 1 000 000.
        beta: second shape parameter [-], 1 to 1 000 000. (Below 1 the density has poles, which hours never have.)

    Returns:
        Share [-], 0 to 1, to about 1e-11 (1e-8 in the last thousand-millionth of a tail).

    Raises:
        ValueError: an argument is outside its range.
        ArithmeticError: the fraction did not settle, which no argument in range is known to cause.
    """
    _check_shape(alpha, beta)
    if min(alpha, beta) < 1:
        raise ValueError(f"both parameters must be at least 1, not {alpha} and {beta}")
    if not 0 <= probability <= 1:
        raise ValueError(f"a probability is between 0 and 1, not {probability}")
    if probability in (0, 1):
        return float(probability)
    # Newton's steps, and halving of the bracket known to hold the answer wherever such a step would leave it, or is
    # not half as long as the one before.
    lowest, highest = 0.0, 1.0
    mean = alpha / (alpha + beta)
    spread = math.sqrt(mean * (1 - mean) / (alpha + beta + 1))
    x = min(max(mean + spread * _STANDARD_NORMAL.inv_cdf(probability), 1e-6), 1 - 1e-6)
    last_step = 1.0
    for _ in range(_MOST_STEPS):
        excess = beta_cdf(x, alpha, beta) - probability
        if excess > 0:
            highest = x
        else:
            lowest = x
        density = _front(x, alpha, beta) / (x * (1 - x))
        step = -excess / density if density > 0 else math.inf
        if abs(step) > _STEP_PRECISION and not (lowest < x + step < highest and abs(step) < last_step / 2):
            step = (lowest + highest) / 2 - x
        x += step
        last_step = abs(step)
        if last_step <= _STEP_PRECISION:
            return min(max(x, 0.0), 1.0)
    raise ArithmeticError(f"no quantile found for {probability}, {alpha}, {beta}")


def _check_shape(alpha: float, beta: float) -> None:
    if not (0 < alpha <= LARGEST_PARAMETER and 0 < beta <= LARGEST_PARAMETER):
        raise ValueError(f"shape parameters lie between 0 and {LARGEST_PARAMETER:.0f}, not {alpha} and {beta}")


def _front(x: float, alpha: float, beta: float) -> float:
    """x^alpha (1 - x)^beta / B(alpha, beta)."""
    log_beta = math.lgamma(alpha) + math.lgamma(beta) - math.lgamma(alpha + beta)
    return math.exp(alpha * math.log(x) + beta * math.log1p(-x) - log_beta)


def _fraction(x: float, alpha: float, beta: float) -> float:
    """The continued fraction 1/(1 + d1/(1 + d2/(1 + …))) of DLMF 8.17.22."""
    c = 1.0
    d = 1 - (alpha + beta) * x / (alpha + 1)
    d = 1 / (d if abs(d) > _TINY else _TINY)
    value = d
    for m in range(1, _MOST_TERMS):
        even = m * (beta - m) * x / ((alpha + 2 * m - 1) * (alpha + 2 * m))
        odd = -(alpha + m) * (alpha + beta + m) * x / ((alpha + 2 * m) * (alpha + 2 * m + 1))
        step = 1.0
        for term in (even, odd):
            d = 1 + term * d
            c = 1 + term / c
            d = 1 / (d if abs(d) > _TINY else _TINY)
            c = c if abs(c) > _TINY else _TINY
            step = c * d
            value *= step
        if abs(step - 1) < _PRECISION:
            return value
    raise ArithmeticError(f"the continued fraction did not settle at {x}, {alpha}, {beta}")
