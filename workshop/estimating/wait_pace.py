"""How fast a wait passes in the air of a day, and the moment on which one that has begun is over."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from math import log
from typing import Final

from inspections.figures import between
from inspections.timber.cure import ACTIVATION_ENERGY_KJ_PER_MOL, cure_time_factor
from workshop.estimating.calendar_parts import Air, Pace
from workshop.estimating.steps import DRYING, SLOWEST_COLD_FACTOR, Wait

# What is waited for within one working day: common practice, no source.
WITHIN_A_DAY_H: Final = 4.0
HORIZON_DAYS: Final = 3 * 365
# Most glues and varnishes stop here instead of slowing down: common practice, no source.
STOPS_BELOW_C: Final = 0.0
# The catalogue's waits are those at 20 °C, its cold factors those at 10 °C.
CATALOGUE_C: Final = 20.0
COLD_C: Final = 10.0
HOURS_A_DAY: Final = 24.0


def wait_factor(*, cold_factor: float, temperature_c: float) -> float:
    """How many times longer than at 20 °C a wait takes; no unit.

    Args:
        cold_factor: how many times longer at 10 °C, no unit, 1 to 10.
        temperature_c: of the air and the wood, in °C, 0 to 60.

    Raises:
        Refused: a figure outside its range; below 0 °C nothing cures.

    Source: Arrhenius's equation as in `inspections.timber.cure.cure_time_factor` (a textbook matter), through the
    factor at 20 °C (1) and the product's own at 10 °C (from the catalogue, mostly from memory).

    >>> round(wait_factor(cold_factor=2.6, temperature_c=10), 3), wait_factor(cold_factor=2.6, temperature_c=20)
    (2.6, 1.0)
    """
    cold = between("cold_factor", cold_factor, 1, SLOWEST_COLD_FACTOR, "")
    celsius = between("temperature_c", temperature_c, STOPS_BELOW_C, 60, "°C")
    here, there = (
        log(
            cure_time_factor(
                activation_energy_kj_per_mol=ACTIVATION_ENERGY_KJ_PER_MOL,
                temperature_c=each,
                reference_temperature_c=CATALOGUE_C,
            )
        )
        for each in (celsius, COLD_C)
    )
    # The logarithm grows with the activation energy alone, so the product's own energy drops out of the ratio.
    return float(cold ** (here / there))


def warm_enough(minimum_c: float | None, temperature_c: float) -> bool:
    """Whether an operation with such a minimum is begun, and what it leaves cures on. Both in °C."""
    return temperature_c >= max(STOPS_BELOW_C if minimum_c is None else minimum_c, STOPS_BELOW_C)


def hour_worth(wait: Wait, *, temperature_c: float, minimum_c: float | None) -> float:
    """How much of an hour at 20 °C an hour of this air is worth; no unit, 0 where nothing goes on.

    Args:
        wait: which.
        temperature_c: of the air, in °C, -60 to 60.
        minimum_c: below it nothing of the operation cures, in °C; None for no bound.

    Raises:
        Refused: warmer than 60 °C.

    Source: see `wait_factor`; that a film stops below its minimum is common practice, no source.
    """
    if wait.cold_factor == 1:
        return 1.0
    # Water goes on drying in the cold, only slower; a film below its minimum doesn't go on at all.
    if wait.what != DRYING and not warm_enough(minimum_c, temperature_c):
        return 0.0
    if temperature_c < STOPS_BELOW_C:
        return 0.0
    return 1 / wait_factor(cold_factor=wait.cold_factor, temperature_c=temperature_c)


def hours_of(wait: Wait, pace: Pace) -> float:
    """The hours at 20 °C of one of its three figures [h]."""
    return {Pace.EARLY: wait.hours_low, Pace.LIKELY: wait.hours_likely, Pace.CAUTIOUS: wait.hours_high}[pace]


def wait_over(
    wait: Wait, *, since: datetime, air: Air, minimum_c: float | None = None, pace: Pace = Pace.LIKELY
) -> datetime | None:
    """When a wait that has begun is over, counted hour by hour in the air of each day.

    Args:
        wait: which.
        since: when it began, with the zone of the place.
        air: where the work is.
        minimum_c: below it nothing of the operation cures, in °C; None for no bound.
        pace: which of the three figures.

    Returns:
        A moment in the same zone; None where it isn't over within three years.

    Raises:
        Refused: an air warmer than 60 °C.

    Source: see `wait_factor`.
    """
    left = hours_of(wait, pace)
    now = since
    last = since.date() + timedelta(days=HORIZON_DAYS)
    while now.date() <= last:
        midnight = datetime.combine(now.date() + timedelta(days=1), time(), tzinfo=since.tzinfo)
        # real hours, not those of the clock on the wall, which jumps twice a year
        today = (midnight.astimezone(UTC) - now.astimezone(UTC)) / timedelta(hours=1)
        worth = hour_worth(wait, temperature_c=air.on(now.date()), minimum_c=minimum_c)
        if worth > 0 and left <= today * worth + 1e-9:
            over = now.astimezone(UTC) + timedelta(hours=left / worth)
            return over.astimezone(since.tzinfo)
        left -= today * worth
        now = midnight
    return None


__all__ = [
    "CATALOGUE_C",
    "HORIZON_DAYS",
    "HOURS_A_DAY",
    "STOPS_BELOW_C",
    "WITHIN_A_DAY_H",
    "hour_worth",
    "hours_of",
    "wait_factor",
    "wait_over",
    "warm_enough",
]
