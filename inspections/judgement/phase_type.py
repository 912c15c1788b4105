"""How long a chain of states takes, each left at its own rate and passed one after the other.

The time to the end of such a chain is a sum of independent exponential times: a phase-type distribution, in this
acyclic form also called hypoexponential. With x the rates times the years, the probability of having reached the
end is x₁·…·xₙ times the divided difference of exp over the points 0, −x₁, …, −xₙ. That number is a sum of positive
terms, so it can be had without cancellation, however small it is and however close together the rates are:

- points that lie close together: the power series about the lowest of them (what is called uniformisation);
- points that lie far apart: the ordinary recurrence of divided differences, which is harmless there.

Nothing grows with the size of rate times years, and nothing special happens where two rates are equal.
"""

from __future__ import annotations

import math

from inspections.figures import between
from yard.refusals import Refused

MOST_STEPS = 12
FASTEST_PER_YEAR = 1e9
LONGEST_YEARS = 1e6

# The whole chain goes into one series while its fastest rate times the years is below this.
_ONE_SERIES = 4.0
# Otherwise points closer than this share one; beyond five steps the recurrence needs wider clusters.
_CLUSTER = 1.0
_WIDE_CLUSTER = 12.0
# Rate times years beyond this ends at once, to the last digit of a float.
_AT_ONCE = 1e18


def _terms_needed(spread: float) -> int:
    """Terms after which the rest of a series over points within `spread` is below 1e-14 of its first term."""
    count = 1
    while spread**count / math.factorial(count) > 1e-15:
        count += 1
    return count


_INVERSE_FACTORIAL = tuple(1.0 / math.factorial(count) for count in range(120))
# By quarters of the spread, rounded up.
_TERMS = tuple(_terms_needed(quarters / 4.0) for quarters in range(1, 4 * int(_WIDE_CLUSTER) + 2))
# By steps: one over the factorials that go with each degree, for the points without and with 0.
_FACTORS = tuple(
    tuple(zip(_INVERSE_FACTORIAL[steps:], _INVERSE_FACTORIAL[steps + 1 :], strict=False)) for steps in range(6)
)


def failure_probability(*, rates_per_year: tuple[float, ...], years: float) -> float:
    """The probability that the whole chain has been passed within `years`.

    Args:
        rates_per_year: the rate at which each state is left, per year, 0 to 1e9 each, up to 12 of them; their order
            doesn't matter. A rate of 0 is a state that is never left. An empty chain has been passed already.
        years: the time given to it, in years, 0 to 1e6.

    Returns:
        A probability (a share, without unit) from 0 to 1, to about 13 digits however small it is. It never falls,
        beyond rounding, as the years or any of the rates rise.

    Raises:
        Refused: `rates_per_year` or `years` is no number or outside its range, or the chain is too long.

    Source:
        M. F. Neuts, Matrix-Geometric Solutions in Stochastic Models (1981), ch. 2: phase-type distributions. For
        divided differences McCurdy, Ng and Parlett, Mathematics of Computation 43 (1984). Both from memory;
        checked against the matrix exponential of scipy and against partial fractions in 250 digits.

    >>> round(failure_probability(rates_per_year=(0.5, 0.5), years=2), 9)  # 1 − 2/e
    0.264241118
    >>> failure_probability(rates_per_year=(0.5, 0.0), years=100)
    0.0
    """
    _check_rates(rates_per_year)
    if not 0.0 <= years <= LONGEST_YEARS:
        between("years", years, 0.0, LONGEST_YEARS, "years")
    if not rates_per_year:
        return 1.0
    if len(rates_per_year) == 1:
        return -math.expm1(-rates_per_year[0] * years)
    return _passed(sorted(rates_per_year, reverse=True), years)[0]


def quantile_years(*, rates_per_year: tuple[float, ...], probability: float) -> float:
    """The time within which the whole chain has been passed with the given probability.

    Args:
        rates_per_year: the rate at which each state is left, per year, 0 to 1e9 each, up to 12 of them.
        probability: a share from 0 to 1, without unit.

    Returns:
        Years, to a relative 1e-6 or better; `math.inf` where that probability is never reached (a rate of 0, or a
        probability of 1); 0 for an empty chain or a probability of 0.

    Raises:
        Refused: `rates_per_year` or `probability` is no number or outside its range, or the chain is too long.

    Source:
        The inverse of `failure_probability`, by Newton's method kept inside a bracket: on the logarithms below one
        half (where log F is concave in log t) and on the hazard above it (which rises for such chains).

    >>> round(quantile_years(rates_per_year=(0.5,), probability=0.5), 6)  # 2 ln 2
    1.386294
    >>> quantile_years(rates_per_year=(0.5, 0.0), probability=0.01)
    inf
    """
    _check_rates(rates_per_year)
    if not 0.0 <= probability <= 1.0:
        between("probability", probability, 0.0, 1.0, "as a share")
    if probability == 0.0 or not rates_per_year:
        return 0.0
    slowest = min(rates_per_year)
    if slowest == 0.0 or probability == 1.0:
        return math.inf
    if len(rates_per_year) == 1:
        return -math.log1p(-probability) / slowest
    return _quantile(sorted(rates_per_year, reverse=True), probability)


def mean_years(*, rates_per_year: tuple[float, ...]) -> float:
    """The expected time to the end of the chain.

    Args:
        rates_per_year: the rate at which each state is left, per year, 0 to 1e9 each, up to 12 of them.

    Returns:
        Years; `math.inf` where a rate is 0; 0 for an empty chain.

    Raises:
        Refused: `rates_per_year` holds what is no number or outside its range, or the chain is too long.

    Source:
        The sum of the expected stays (Neuts 1981, ch. 2; from memory).

    >>> mean_years(rates_per_year=(0.5, 0.25))
    6.0
    """
    _check_rates(rates_per_year)
    return math.fsum(1.0 / rate if rate > 0.0 else math.inf for rate in rates_per_year)


def _check_rates(rates_per_year: tuple[float, ...]) -> None:
    if len(rates_per_year) > MOST_STEPS:
        raise Refused(
            "rates_per_year",
            f"{len(rates_per_year)} steps are too many",
            f"give a chain of up to {MOST_STEPS} steps",
        )
    for rate in rates_per_year:
        if not 0.0 <= rate <= FASTEST_PER_YEAR:
            between("rates_per_year", rate, 0.0, FASTEST_PER_YEAR, "per year")


def _passed(rates: list[float], years: float) -> tuple[float, float]:
    """The probability F of having passed, and years times its density; `rates` fall and are two or more."""
    steps = len(rates)
    scale = 1.0
    points = []
    for rate in rates:
        chances = rate * years
        if chances > _AT_ONCE:
            chances = _AT_ONCE
        scale *= chances
        points.append(-chances)
    if scale == 0.0:
        return 0.0, 0.0
    if points[0] >= -_ONE_SERIES:
        whole, inner = _short_series(points) if steps <= 5 else _long_series(points)
    else:
        points.append(0.0)
        whole, inner = _table(points, _CLUSTER if steps <= 5 else _WIDE_CLUSTER)
    passed = scale * whole
    return min(1.0, passed), scale * inner


def _short_series(points: list[float]) -> tuple[float, float]:
    """Divided differences of exp over `points` and 0, and over `points` alone; for two to five points.

    Written out: a shorter chain has leading offsets of 0, which add nothing to the symmetric polynomials.
    """
    lowest = points[0]
    steps = len(points)
    offset_1 = points[-4] - lowest if steps == 5 else 0.0
    offset_2 = points[-3] - lowest if steps >= 4 else 0.0
    offset_3 = points[-2] - lowest if steps >= 3 else 0.0
    offset_4 = points[-1] - lowest
    sum_1 = sum_2 = sum_3 = sum_4 = with_zero = 1.0
    inner = _INVERSE_FACTORIAL[steps - 1]
    whole = _INVERSE_FACTORIAL[steps]
    for inverse, next_inverse in _FACTORS[steps][: _TERMS[int(-4.0 * lowest)]]:
        sum_1 *= offset_1
        sum_2 = sum_1 + offset_2 * sum_2
        sum_3 = sum_2 + offset_3 * sum_3
        sum_4 = sum_3 + offset_4 * sum_4
        with_zero = sum_4 - lowest * with_zero
        inner += sum_4 * inverse
        whole += with_zero * next_inverse
    base = math.exp(lowest)
    return base * whole, base * inner


def _long_series(points: list[float]) -> tuple[float, float]:
    """The same for any number of points."""
    *_, inner, whole = _series_row([*points, 0.0], 0, math.inf)
    return whole, inner


def _table(points: list[float], cluster: float) -> tuple[float, float]:
    """The divided differences of exp over all of the rising `points`, and over all but the last, by the table."""
    last = len(points) - 1
    # Of the rows that reach the last point within one cluster, only the first is needed.
    first = 0
    while points[first] < -cluster:
        first += 1
    row = _series_row(points, first, cluster)
    while first > 0:
        below = row
        first -= 1
        row = _series_row(points, first, cluster)
        lowest = points[first]
        for end in range(first + len(row), last + 1):
            row.append((below[end - first - 1] - row[-1]) / (points[end] - lowest))
    return row[last], row[last - 1]


def _series_row(points: list[float], first: int, cluster: float) -> list[float]:
    """Divided differences of exp over the points from `first` to itself, to the next, … within one cluster."""
    lowest = points[first]
    base = math.exp(lowest)
    offsets = []
    for point in points[first + 1 :]:
        if point - lowest > cluster:
            break
        offsets.append(point - lowest)
    if not offsets:
        return [base]
    if len(offsets) == 1:
        return [base, base * math.expm1(offsets[0]) / offsets[0] if offsets[0] else base]
    if offsets[-1] == 0.0:
        return [base * inverse for inverse in _INVERSE_FACTORIAL[: len(offsets) + 1]]
    # Complete homogeneous symmetric polynomials over the first, the first two, … offsets, each over its factorial.
    terms = list(_INVERSE_FACTORIAL[1 : len(offsets) + 1])
    totals = list(terms)
    for degree in range(1, _TERMS[int(4.0 * offsets[-1])] + 1):
        running = 0.0
        divisor = degree
        for place, offset in enumerate(offsets):
            divisor += 1
            running = (running + offset * terms[place]) / divisor
            terms[place] = running
            totals[place] += running
    return [base, *[base * total for total in totals]]


def _quantile(rates: list[float], probability: float) -> float:
    """Newton's method inside a bracket; `rates` fall, are above 0 and two or more."""
    waiting = -math.log1p(-probability)
    # No chain is faster than its slowest step. Either bound may be the answer: the bracket starts just below.
    years = max(waiting / rates[-1], _not_before(rates, probability))
    low, high = years * (1.0 - 1e-9), math.inf
    upper_half = probability > 0.5
    for _ in range(200):
        passed, slope = _passed(rates, years)
        if passed < probability:
            low = years
        else:
            high = years
        proposal = math.nan
        if slope > 0.0:
            if upper_half:
                left = 1.0 - passed
                if left > 0.0:
                    proposal = years + years * left * (math.log(left) + waiting) / slope
            else:
                proposal = years * math.exp(min(math.log(probability / passed) * passed / slope, 5.0))
        close = 2e-4  # what is left after a step of Newton's method is of the order of its square
        if not low <= proposal <= high:
            proposal = 2.0 * low if high == math.inf else math.sqrt(low) * math.sqrt(high)
            close = 1e-9
        if abs(proposal - years) <= close * years:
            return proposal
        years = proposal
    return years


def _not_before(rates: list[float], probability: float) -> float:
    """A bound of the quantile from below: F is at most x₁·…·xₙ/n!."""
    steps = len(rates)
    exponent = (math.log(probability * math.factorial(steps)) - math.fsum(map(math.log, rates))) / steps
    return math.exp(min(exponent, 700.0))


__all__ = ["FASTEST_PER_YEAR", "LONGEST_YEARS", "MOST_STEPS", "failure_probability", "mean_years", "quantile_years"]
