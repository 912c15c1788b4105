"""What share of a month's working hours lets a coat go on outdoors: an estimate, from normals or observations.

The diurnal assumption: the air is warmest at 15 h and follows a cosine round the day's mean; its dew point stays
the same all day; days differ from the month's mean in temperature and in dryness. A start counts only if the
weather stays within the limits until dew no longer marks the film.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, sqrt
from statistics import NormalDist

from inspections.figures import Number, between
from inspections.timber.climate import MonthClimate
from inspections.timber.coating import DEW_POINT_MARGIN_C, Coating, CoatingLimits, coat_now, limits_of
from inspections.timber.humid_air import dew_point_c, humidity_at_pct
from yard.refusals import Refused

WARMEST_HOUR = 15
DAYS_IN_A_MONTH = 30.4

# How days of one month differ, as standard deviations: temperate coast, common practice, no source.
DAY_TEMPERATURE_SPREAD_C = 3.0
DAY_DRYNESS_SPREAD_C = 2.0
TEMPERATURE_STEPS = 7
DRYNESS_STEPS = 5

# Probability that a Wilson interval of observations holds the true share.
OBSERVED_CONFIDENCE = 0.8


@dataclass(frozen=True, slots=True)
class _Weather:
    """One reading of what normals leave open."""

    half_swing_c: float
    surface_over_air_c: float
    rain_day_loses: float
    rain_days_if_unknown: float


# Cautious, likely, hopeful: common practice, no source. On a rain day some hours before or after may still serve.
READINGS = (
    _Weather(half_swing_c=3.0, surface_over_air_c=-1.0, rain_day_loses=1.0, rain_days_if_unknown=16),
    _Weather(half_swing_c=4.0, surface_over_air_c=0.0, rain_day_loses=0.8, rain_days_if_unknown=12),
    _Weather(half_swing_c=5.0, surface_over_air_c=1.0, rain_day_loses=0.6, rain_days_if_unknown=8),
)


@dataclass(frozen=True, slots=True)
class WorkableShare:
    """The share of working hours in which a coat may be started outdoors, as an estimate with its spread."""

    coating: Coating
    share_low: float
    share_likely: float
    share_high: float
    basis: str
    """`normals` or `observations`."""
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Observation:
    """The weather at one working hour, as somebody noted it.

    Attributes:
        air_temperature_c: in °C, -40 to 50.
        relative_humidity_pct: in %, 1 to 100.
        surface_temperature_c: of the wood, in °C, -40 to 80; None where nobody measured.
        raining: whether rain or spray reached the place.
    """

    air_temperature_c: float
    relative_humidity_pct: float
    surface_temperature_c: float | None = None
    raining: bool = False


def share_from_normals(
    *, coating: Coating, month: MonthClimate, from_hour: Number = 8, to_hour: Number = 17
) -> WorkableShare:
    """The share (0 to 1) of a month's working hours in which a coat may be started outdoors, in sun or shade.

    An estimate. Low, likely and high are three readings of what monthly normals leave open: how far the day swings
    (3, 4 or 5 °C about its mean), how the wood's surface stands to the air (-1, 0 or 1 °C), how much of a rain day
    is lost (all, 80 or 60 %). Days are taken to differ by 3 °C in temperature and 2 °C in dryness (one standard
    deviation), independently.

    Args:
        coating: varnish or epoxy.
        month: the normals: mean temperature in °C, mean relative humidity in %, rain days (None: 16, 12 or 8).
        from_hour: when work begins, in whole hours of local time, 0 to 23.
        to_hour: when work ends, in whole hours of local time, 1 to 24, after `from_hour`.

    Raises:
        Refused: a figure outside its range, no working hour, or a coating not known.

    Source: limits as in `coating.limits_of`, 3 °C practice under ISO 8502-4; the diurnal cosine and the spreads are
    common practice, no source.

    >>> may = MonthClimate(5, temperature_c=14, relative_humidity_pct=70, rain_days=9)
    >>> share = share_from_normals(coating=Coating.VARNISH, month=may)
    >>> round(share.share_low, 2), round(share.share_likely, 2), round(share.share_high, 2)
    (0.61, 0.71, 0.78)
    """
    limits = limits_of(coating=coating)
    starts = _working_hours(from_hour, to_hour)
    dew_point = dew_point_c(
        temperature_c=month.temperature_c, relative_humidity_pct=max(month.relative_humidity_pct, 1)
    )
    shares = []
    for reading in READINGS:
        rain_days = reading.rain_days_if_unknown if month.rain_days is None else month.rain_days
        dry = 1 - reading.rain_day_loses * min(rain_days / DAYS_IN_A_MONTH, 1)
        shares.append(dry * _share_of_starts(limits, reading, month.temperature_c, dew_point, starts))
    low, likely, high = sorted(shares)
    rain = "an unknown number of" if month.rain_days is None else f"{month.rain_days:g}"
    return WorkableShare(
        coating=limits.coating,
        share_low=low,
        share_likely=likely,
        share_high=high,
        basis="normals",
        reasons=(
            f"An estimate from {month.temperature_c:g} °C, {month.relative_humidity_pct:g} % and {rain} rain days.",
            f"Work is taken to go on from {starts[0]} to {starts[-1] + 1} h, outdoors and without a cover.",
            f"About {likely:.0%} of the working hours, between {low:.0%} and {high:.0%}.",
            f"A start counts if the weather stays within the limits for {limits.hold_hours} h after it.",
        ),
    )


def _working_hours(from_hour: Number, to_hour: Number) -> range:
    first = int(between("from_hour", from_hour, 0, 23, "h"))
    last = int(between("to_hour", to_hour, 1, 24, "h"))
    if last <= first:
        raise Refused("to_hour", "work ends before it begins", "give an hour after from_hour")
    return range(first, last)


def _share_of_starts(
    limits: CoatingLimits, reading: _Weather, mean_c: float, dew_point: float, starts: range
) -> float:
    hours = range(starts[0], starts[-1] + limits.hold_hours + 1)
    swing = [reading.half_swing_c * cos(2 * pi * (hour - WARMEST_HOUR) / 24) for hour in hours]
    counted = 0
    for warmer in _quantiles(DAY_TEMPERATURE_SPREAD_C, TEMPERATURE_STEPS):
        for drier in _quantiles(DAY_DRYNESS_SPREAD_C, DRYNESS_STEPS):
            day_dew = dew_point + warmer - drier
            fit = [_fits(limits, mean_c + warmer + part, reading.surface_over_air_c, day_dew) for part in swing]
            counted += sum(
                all(fit[start - starts[0] : start - starts[0] + limits.hold_hours + 1]) for start in starts
            )
    return counted / (TEMPERATURE_STEPS * DRYNESS_STEPS * len(starts))


def _fits(limits: CoatingLimits, air_c: float, surface_over_air_c: float, dew_point: float) -> bool:
    surface_c = air_c + surface_over_air_c
    if min(air_c, surface_c) < limits.temperature_min_c or max(air_c, surface_c) > limits.temperature_max_c:
        return False
    if surface_c - dew_point < DEW_POINT_MARGIN_C:
        return False
    humidity = humidity_at_pct(temperature_c=air_c, dew_point_c=dew_point)
    return humidity <= limits.relative_humidity_max_pct


def _quantiles(spread: float, steps: int) -> list[float]:
    """The middles of equally likely slices of a normal distribution."""
    normal = NormalDist(0, spread)
    return [normal.inv_cdf((step + 0.5) / steps) for step in range(steps)]


def share_from_observations(*, coating: Coating, observations: Sequence[Observation]) -> WorkableShare:
    """The share (0 to 1) of observed working hours in which a coat was possible, with an 80 % interval.

    Args:
        coating: varnish or epoxy.
        observations: weather at working hours of the same kind of month; at least one. Units as in `Observation`.

    Raises:
        Refused: none given, a figure outside its range, or a coating not known.

    Source: limits as in `coating.limits_of`; interval of Wilson (J. Amer. Stat. Assoc. 22, 1927), a paper. Hours of
    one day resemble each other, so the true interval is wider: note different days.

    >>> seen = [Observation(15, 60), Observation(8, 70), Observation(16, 65), Observation(14, 95)]
    >>> share = share_from_observations(coating=Coating.VARNISH, observations=seen)
    >>> round(share.share_low, 2), share.share_likely, round(share.share_high, 2)
    (0.23, 0.5, 0.77)
    """
    limits = limits_of(coating=coating)
    number = len(observations)
    if number == 0:
        raise Refused("observations", "there are none", "note the weather of at least one working hour")
    fit = 0
    for place, seen in enumerate(observations):
        try:
            check = coat_now(
                coating=limits.coating,
                air_temperature_c=seen.air_temperature_c,
                relative_humidity_pct=seen.relative_humidity_pct,
                surface_temperature_c=seen.surface_temperature_c,
                raining=seen.raining,
            )
        except Refused as refused:
            raise refused.under(f"observations.{place}") from None
        fit += check.possible
    low, high = _wilson(fit, number)
    return WorkableShare(
        coating=limits.coating,
        share_low=low,
        share_likely=fit / number,
        share_high=high,
        basis="observations",
        reasons=(
            f"A coat was possible in {fit} of {number} hours noted.",
            f"At {OBSERVED_CONFIDENCE:.0%} confidence the share lies between {low:.0%} and {high:.0%}.",
            "Hours of one day resemble each other: the more different days, the better the figure.",
        ),
    )


def _wilson(successes: int, number: int) -> tuple[float, float]:
    z = NormalDist().inv_cdf((1 + OBSERVED_CONFIDENCE) / 2)
    share = successes / number
    middle = (share + z * z / (2 * number)) / (1 + z * z / number)
    half = z * sqrt(share * (1 - share) / number + z * z / (4 * number * number)) / (1 + z * z / number)
    return max(0.0, middle - half), min(1.0, middle + half)


__all__ = [
    "Observation",
    "WorkableShare",
    "share_from_normals",
    "share_from_observations",
]
