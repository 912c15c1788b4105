"""Quantiles of the gamma and of Student's t distribution, without a library for statistics."""

from __future__ import annotations

import math
from collections.abc import Callable
from statistics import NormalDist

from inspections.figures import between
from yard.refusals import Refused

LARGEST_SHAPE = 1e6
_EPSILON = 1e-16
_TINY = 1e-300
_MOST_TERMS = 100_000


def gamma_probability(*, shape: float, value: float) -> float:
    """The regularised lower incomplete gamma function P(a, x): the share of a gamma distribution below a value.

    Args:
        shape: a, without unit, above 0 and up to 1e6.
        value: x, the value times the distribution's rate, without unit, 0 or more.

    Returns:
        A share from 0 to 1, without unit.

    Raises:
        Refused: `shape` or `value` is no number or outside its range.

    Source:
        Abramowitz & Stegun, Handbook of Mathematical Functions, 6.5.29 (series) and 6.5.31 (continued fraction);
        from memory, checked against scipy.

    >>> round(gamma_probability(shape=1, value=2), 9)  # 1 − exp(−2)
    0.864664717
    """
    a = _shape(shape)
    x = between("value", value, 0.0, 1e300, "(a figure without unit)")
    return _gamma_shares(a, x)[0]


def gamma_quantile(*, shape: float, probability: float) -> float:
    """The value below which a gamma distribution of rate 1 has the given share.

    Args:
        shape: without unit, above 0 and up to 1e6.
        probability: a share without unit, 0 or more and below 1.

    Returns:
        A figure without unit; divide it by the distribution's rate. A value too small for a float is given as 0.

    Raises:
        Refused: `shape` or `probability` is no number or outside its range.

    Source:
        The inverse of `gamma_probability`, by Newton's method on the logarithm of the value inside a bracket;
        started with the Wilson–Hilferty cube (1931; from memory), checked against scipy.

    >>> round(gamma_quantile(shape=1, probability=0.5), 9)  # ln 2
    0.693147181
    """
    a = _shape(shape)
    p = _share_below_one("probability", probability)
    if p == 0.0:
        return 0.0
    log_gamma = math.lgamma(a)
    # For a small value P(a, x) is x^a / (a Γ(a)), never more: a bound from below, and all there is near 0.
    lowest = (math.log(p) + math.lgamma(a + 1.0)) / a
    if lowest < -700.0:
        return 0.0

    def miss(log_value: float) -> tuple[float, float]:
        value = math.exp(log_value)
        below, above = _gamma_shares(a, value)
        density = math.exp(a * log_value - value - log_gamma)
        if p <= 0.5:
            return math.log(below / p), density / below
        return math.log((1.0 - p) / above) if above > 0.0 else math.inf, density / max(above, _TINY)

    cube = 1.0 - 1.0 / (9.0 * a) + NormalDist().inv_cdf(p) / (3.0 * math.sqrt(a))
    start = math.log(a) + 3.0 * math.log(cube) if cube > 0.1 else lowest
    return math.exp(_root(miss, low=lowest, start=max(start, lowest)))


def t_probability(*, degrees_of_freedom: float, value: float) -> float:
    """The share of Student's t distribution below a value.

    Args:
        degrees_of_freedom: without unit, above 0; `math.inf` is the normal distribution.
        value: without unit, any number.

    Returns:
        A share from 0 to 1, without unit.

    Raises:
        Refused: `degrees_of_freedom` or `value` is no number or outside its range.

    Source:
        Abramowitz & Stegun 26.7.1 with the incomplete beta function's continued fraction 26.5.8; from memory,
        checked against scipy.

    >>> round(t_probability(degrees_of_freedom=1, value=1), 9)  # the Cauchy distribution
    0.75
    """
    freedom = _freedom(degrees_of_freedom)
    t = between("value", value, -1e150, 1e150, "(a figure without unit)")
    if freedom == math.inf:
        return NormalDist().cdf(t)
    tail = _t_tail(freedom, abs(t))
    return tail if t < 0.0 else 1.0 - tail


def t_quantile(*, degrees_of_freedom: float, probability: float) -> float:
    """The value below which Student's t distribution has the given share.

    Args:
        degrees_of_freedom: without unit, 0.1 or more; `math.inf` is the normal distribution.
        probability: a share without unit, above 0 and below 1.

    Returns:
        A figure without unit.

    Raises:
        Refused: `degrees_of_freedom` or `probability` is no number or outside its range.

    Source:
        The inverse of `t_probability`, by Newton's method on the logarithm of the value inside a bracket; checked
        against scipy.

    >>> round(t_quantile(degrees_of_freedom=5, probability=0.975), 4)  # as printed in the usual tables
    2.5706
    """
    freedom = _freedom(degrees_of_freedom)
    p = _share_below_one("probability", probability)
    if p == 0.0:
        raise Refused("probability", "no value has nothing below it", "give a share above 0 and below 1")
    if freedom == math.inf:
        return NormalDist().inv_cdf(p)
    if p == 0.5:
        return 0.0
    wanted = min(p, 1.0 - p)
    log_constant = _log_gamma_half_step(freedom / 2) - 0.5 * math.log(freedom * math.pi)

    def miss(log_value: float) -> tuple[float, float]:
        value = math.exp(log_value)
        tail = _t_tail(freedom, value)
        density = math.exp(log_constant - (freedom + 1) / 2 * math.log1p(value * value / freedom) + log_value)
        return (math.log(wanted / tail), density / tail) if tail > 0.0 else (math.inf, 0.0)

    # The tails are heavier than the normal ones, and the density nowhere above its middle.
    low = math.log(max(-NormalDist().inv_cdf(wanted), (0.5 - wanted) / math.exp(log_constant)) * (1.0 - 1e-12))
    value = math.exp(_root(miss, low=low, start=low))
    return value if p > 0.5 else -value


def _root(miss: Callable[[float], tuple[float, float]], *, low: float, start: float) -> float:
    """Where a rising function of a logarithm is 0, given it and its slope; never below `low`."""
    high = math.inf
    here = start
    for _ in range(300):
        value, slope = miss(here)
        if value <= 0.0:
            low = max(low, here)
        else:
            high = min(high, here)
        there = here - value / slope if slope > 0.0 and math.isfinite(value) else math.nan
        if not low <= there <= high:
            there = low + 1.0 if high == math.inf else (low + high) / 2.0
        if abs(there - here) <= 1e-14 * max(1.0, abs(here)):
            return there
        here = there
    return here


def _gamma_shares(a: float, x: float) -> tuple[float, float]:
    """P(a, x) and 1 − P(a, x), each with its own digits where it is the small one."""
    if x == 0.0:
        return 0.0, 1.0
    front = math.exp(a * math.log(x) - x - math.lgamma(a))
    if x < a + 1.0:
        term = total = 1.0 / a
        place = a
        for _ in range(_MOST_TERMS):
            place += 1.0
            term *= x / place
            total += term
            if term <= _EPSILON * total:
                break
        below = min(1.0, front * total)
        return below, 1.0 - below
    above = min(1.0, front / _lentz(x + 1.0 - a, lambda n: (-n * (n - a), x + 2.0 * n + 1.0 - a)))
    return 1.0 - above, above


def _t_tail(freedom: float, t: float) -> float:
    """The share of Student's t above t ≥ 0: half the incomplete beta function I(ν/(ν+t²); ν/2, ½)."""
    if t == 0.0:
        return 0.5
    half = freedom / 2.0
    part = t * t / freedom
    x, rest = 1.0 / (1.0 + part), part / (1.0 + part)
    front = math.exp(_log_gamma_half_step(half) - half * math.log1p(part)) * math.sqrt(rest / math.pi)
    if x < (half + 1.0) / (half + 2.5):
        return 0.5 * front / (half * _beta_fraction(half, 0.5, x))
    return 0.5 - front / _beta_fraction(0.5, half, rest)


def _log_gamma_half_step(a: float) -> float:
    """log Γ(a + ½) − log Γ(a), by its asymptotic series where the two are large and nearly equal."""
    if a > 1e4:
        return 0.5 * math.log(a) - 1.0 / (8.0 * a)
    return math.lgamma(a + 0.5) - math.lgamma(a)


def _beta_fraction(a: float, b: float, x: float) -> float:
    """The continued fraction under xᵃ(1−x)ᵇ/(a·B(a, b)) in I(x; a, b), for x below (a + 1)/(a + b + 2)."""

    def fraction(n: int) -> tuple[float, float]:
        half, odd = divmod(n, 2)
        if odd:
            return -(a + half) * (a + b + half) * x / ((a + n - 1) * (a + n)), 1.0
        return half * (b - half) * x / ((a + n - 1) * (a + n)), 1.0

    return _lentz(1.0, fraction)


def _lentz(first: float, coefficients: Callable[[int], tuple[float, float]]) -> float:
    """The continued fraction first + a₁/(b₁ + a₂/(b₂ + …)), by the modified method of Lentz."""
    value = first or _TINY
    up, down = value, 0.0
    for n in range(1, _MOST_TERMS):
        a, b = coefficients(n)
        down = 1.0 / ((b + a * down) or _TINY)
        up = (b + a / up) or _TINY
        value *= up * down
        if abs(up * down - 1.0) <= 2e-16:
            break
    return value


def _shape(shape: float) -> float:
    return between("shape", shape, _TINY, LARGEST_SHAPE, "(a figure without unit)")


def _freedom(degrees_of_freedom: float) -> float:
    if degrees_of_freedom == math.inf:
        return math.inf
    return between("degrees_of_freedom", degrees_of_freedom, 0.1, 1e9, "degrees of freedom")


def _share_below_one(field: str, share: float) -> float:
    figure = between(field, share, 0.0, 1.0, "as a share")
    if figure == 1.0:
        raise Refused(field, "a share of 1 is never reached", "give a share below 1")
    return figure


__all__ = ["LARGEST_SHAPE", "gamma_probability", "gamma_quantile", "t_probability", "t_quantile"]
