"""Diffusion out of a plane sheet: the share that has left, what remains in the middle, and both turned round.

Time comes in as D·t/l², a pure number: diffusion coefficient times time over the full thickness squared.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from inspections.figures import between

LONGEST: Final = 1e6
# Up to here the error-function series converges in a few terms, from here on the trigonometric one does.
_SHORT_TIME: Final = 0.06
# So little lost that neither face feels the other, and the loss goes with the root of time.
_FACES_APART: Final = 0.1
_NEGLIGIBLE: Final = 40.0


def fraction_lost(*, dt_over_thickness_squared: float) -> float:
    """The share of its way to equilibrium that a sheet's mean moisture has gone, both faces open.

    One face open is a sheet of twice the thickness with both open.

    Args:
        dt_over_thickness_squared: D·t/l², no unit (m²/s times s over m²), l the full thickness, 0 to 1 000 000.

    Returns:
        The fraction, without unit, 0 to 1.

    Raises:
        Refused: the figure is negative, too large or no number.

    Source:
        J. Crank, The Mathematics of Diffusion, 2nd edition 1975, plane sheet with constant surface concentration:
        equation 4.18 for long times, 4.20 for short ones (a textbook; equation numbers from memory).

    >>> round(fraction_lost(dt_over_thickness_squared=0.04918), 3)
    0.5
    """
    x = between("dt_over_thickness_squared", dt_over_thickness_squared, 0, LONGEST, "as D·t/l²")
    if x == 0:
        return 0.0
    if x < _SHORT_TIME:
        root = math.sqrt(x)
        ends = sum((-1.0) ** n * _integrated_erfc(n / (2 * root)) for n in range(1, 4))
        return 4 * root * (1 / math.sqrt(math.pi) + 2 * ends)
    remaining = sum(math.exp(-(odd**2) * math.pi**2 * x) / odd**2 for odd in _odd_numbers(x))
    return 1 - 8 / math.pi**2 * remaining


def middle_fraction_remaining(*, dt_over_thickness_squared: float) -> float:
    """The share of the start's distance from equilibrium that is still there in the middle, both faces open.

    One face open: twice the thickness, and the middle is then the closed face.

    Args:
        dt_over_thickness_squared: D·t/l², no unit (m²/s times s over m²), l the full thickness, 0 to 1 000 000.

    Returns:
        The fraction, without unit, 1 to 0.

    Raises:
        Refused: the figure is negative, too large or no number.

    Source:
        J. Crank, The Mathematics of Diffusion, 2nd edition 1975, equations 4.17 and 4.19 at the middle (a textbook;
        equation numbers from memory).

    >>> round(middle_fraction_remaining(dt_over_thickness_squared=0.1), 3)
    0.474
    """
    x = between("dt_over_thickness_squared", dt_over_thickness_squared, 0, LONGEST, "as D·t/l²")
    if x == 0:
        return 1.0
    if x < _SHORT_TIME:
        return 1 - 2 * sum((-1.0) ** n * math.erfc((2 * n + 1) / (4 * math.sqrt(x))) for n in range(3))
    terms = ((-1.0) ** (odd // 2) / odd * math.exp(-(odd**2) * math.pi**2 * x) for odd in _odd_numbers(x))
    return 4 / math.pi * sum(terms)


def time_to_fraction(*, fraction: float) -> float:
    """D·t/l² at which a sheet with both faces open has lost a given share: `fraction_lost` turned round.

    Args:
        fraction: lost, without unit, 0 to 0.999999.

    Returns:
        D·t/l², no unit, l the full thickness.

    Raises:
        Refused: the fraction lies outside its range or is no number.

    Source:
        As `fraction_lost` (a textbook), turned round by halving the interval.

    >>> round(time_to_fraction(fraction=0.9), 3)
    0.212
    """
    wanted = between("fraction", fraction, 0, 0.999999, "as a fraction")
    if wanted < _FACES_APART:
        return math.pi * (wanted / 4) ** 2
    low, high = 0.0, 2.0
    while high - low > 1e-12:
        middle = (low + high) / 2
        if fraction_lost(dt_over_thickness_squared=middle) < wanted:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _integrated_erfc(z: float) -> float:
    return math.exp(-z * z) / math.sqrt(math.pi) - z * math.erfc(z)


def _odd_numbers(x: float) -> Iterator[int]:
    """1, 3, 5 … as long as their term counts; always the first."""
    odd = 1
    while odd == 1 or odd**2 * math.pi**2 * x < _NEGLIGIBLE:
        yield odd
        odd += 2


__all__ = ["fraction_lost", "middle_fraction_remaining", "time_to_fraction"]
