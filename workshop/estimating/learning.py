"""What the hours really booked say of a treatment's figures.

A work log is booked on a job; figures belong to treatments. So the hours of a job that is done are split first, in
the proportion in which it was estimated: by the mean of each operation with its quantity, what is done once for the
job once, and each treatment's set-up once. What falls on the set-up is left out, for the catalogue counts it apart
and it is not learned. A job of one treatment counts fully, less its set-up's part. One job is one record of each
treatment in it, in hours per unit, because the operations of one job go well or badly together. Splitting by the
estimate is common practice, no source; what it can't tell is which of two treatments that always come together is
the slow one, and so it is also told how many records stand alone.

The catalogue's three figures become a prior that says the same two figures that are quoted (median and 80 %); the
records update it by `inspections.learning`. The posterior's two figures are turned into three again for the
catalogue.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from inspections.learning import LearnedHours, LogHours, learned_hours
from inspections.learning.hours import SHORTEST_HOURS
from inspections.learning.quantiles import t_quantile
from workshop.estimating.beta import beta_quantile
from workshop.estimating.hours import CEILING_PROBABILITY, MOST_HOURS, ThreePoint

# How many jobs the catalogue's median and its spread are worth. Our own assumption, no source: with ten records the
# yard's own hours outweigh the catalogue by more than two to one.
CATALOGUE_WEIGHT: Final = 4.0
CATALOGUE_DEGREES_OF_FREEDOM: Final = 5.0

# No trade is so even that its jobs differ by less. Our own assumption, no source.
LEAST_LOG_SD: Final = 0.05

# One job in twenty is quicker than the low figure. Our own reading of "when all goes well", no source.
LOW_PROBABILITY: Final = 0.05

CENT: Final = Decimal("0.01")
_STEPS: Final = 45


@dataclass(frozen=True, slots=True)
class DoneOperation:
    """An operation of a job that is done, as it was estimated.

    Attributes:
        treatment: code.
        hours: of the whole operation [h], set-up not counted.
        setup_hours: once a job and treatment [h], 0 to 1000.
        quantity: units of work, more than 0.
        once: the job does it once, whatever the number of findings it is advised for (opening up).
    """

    treatment: str
    hours: ThreePoint
    setup_hours: Decimal
    quantity: Decimal
    once: bool = False


@dataclass(frozen=True, slots=True)
class HoursRecord:
    """What one job says of one treatment.

    Attributes:
        treatment: code.
        hours_per_unit: [h], 0.01 to 10 000; what is beyond is taken as the nearer end.
        alone: there was no other treatment in the job, so that nothing was split but the set-up.
    """

    treatment: str
    hours_per_unit: float
    alone: bool


def split_hours(operations: Sequence[DoneOperation], booked_hours: Decimal) -> tuple[HoursRecord, ...]:
    """Split the hours of one job that is done onto its treatments.

    Args:
        operations: of the job.
        booked_hours: all that was booked on it, corrections counted in [h].

    Returns:
        A record for each treatment that was estimated at some time; none where nothing was booked or estimated.

    Source:
        Common practice, no source: in proportion to the estimate's means.

    >>> fitting = DoneOperation("REBED", ThreePoint(1.0, 1.5, 3.0), Decimal("0.3"), Decimal(1))
    >>> [round(record.hours_per_unit, 4) for record in split_hours([fitting], Decimal("3.3"))]
    [2.7966]
    """
    means: dict[str, float] = {}
    units: dict[str, float] = {}
    setups: dict[str, float] = {}
    for operation in _counted(operations):
        means[operation.treatment] = means.get(operation.treatment, 0.0) + operation.hours.mean
        units[operation.treatment] = units.get(operation.treatment, 0.0) + float(operation.quantity)
    for operation in operations:
        had = setups.get(operation.treatment, 0.0)
        setups[operation.treatment] = max(had, float(operation.setup_hours))
    estimated = math.fsum(means.values())
    if booked_hours <= 0 or estimated <= 0:
        return ()
    taken = float(booked_hours) / (estimated + math.fsum(setups.values()))
    return tuple(
        HoursRecord(code, _plausible(taken * mean / units[code]), alone=len(means) == 1)
        for code, mean in means.items()
        if mean > 0
    )


@dataclass(frozen=True, slots=True)
class ToldHours:
    """A treatment's hours per unit: by the catalogue, by the yard's records, and what would stand in the catalogue.

    Attributes:
        catalogue: the three figures that the records are held against [h].
        learned: prior, posterior, number of jobs and of wild records that were drawn in.
        alone: jobs that had no other treatment.
        proposed: the three figures to adopt [h]; None where there are too few jobs.
    """

    catalogue: ThreePoint
    learned: LearnedHours
    alone: int
    proposed: ThreePoint | None

    @property
    def median_hours(self) -> float:
        """As likely more as less [h], by catalogue and records."""
        return self.learned.posterior.median_hours

    @property
    def p80_hours(self) -> float:
        """Not passed by four jobs out of five [h], by catalogue and records; at most 10 000."""
        return min(self.learned.posterior.quantile_hours(CEILING_PROBABILITY), float(MOST_HOURS))


def told_hours(catalogue: ThreePoint, records: Iterable[HoursRecord]) -> ToldHours:
    """What the records of one treatment make of its figures.

    Args:
        catalogue: hours per unit [h] as they were before any of these records was adopted. (Held against figures
            that were learned from them, the records would count twice.)
        records: of this treatment, one a job.

    Source:
        `inspections.learning.learned_hours`, which draws a wild record in; below its least number of observations
        nothing is proposed.
    """
    given = tuple(records)
    learned = learned_hours(prior=prior_of(catalogue), hours=[record.hours_per_unit for record in given])
    return ToldHours(
        catalogue=catalogue,
        learned=learned,
        alone=sum(record.alone for record in given),
        proposed=three_points_of(learned.posterior) if learned.applied else None,
    )


def prior_of(catalogue: ThreePoint) -> LogHours:
    """The prior whose next job has the median and the 80 % figure of the catalogue.

    Args:
        catalogue: hours per unit [h]; what is below 0.01 h is taken as 0.01 h.

    Source:
        The two figures are those of the beta-PERT distribution; matching them is our own choice. The weight of the
        catalogue is an assumption, no source.

    >>> prior = prior_of(ThreePoint(1.0, 1.5, 3.0))
    >>> round(prior.median_hours, 3), round(prior.quantile_hours(0.8), 3)
    (1.628, 1.98)
    """
    median = max(catalogue.quantile(0.5), SHORTEST_HOURS)
    p80 = max(catalogue.quantile(CEILING_PROBABILITY), median)
    steps = t_quantile(degrees_of_freedom=CATALOGUE_DEGREES_OF_FREEDOM, probability=CEILING_PROBABILITY)
    log_sd = math.log(p80 / median) / (steps * math.sqrt(1 + 1 / CATALOGUE_WEIGHT))
    return LogHours.from_median(
        median_hours=median,
        weight=CATALOGUE_WEIGHT,
        log_sd=max(log_sd, LEAST_LOG_SD),
        degrees_of_freedom=CATALOGUE_DEGREES_OF_FREEDOM,
    )


def three_points_of(hours: LogHours) -> ThreePoint:
    """Low, likely and high, to the hundredth, whose beta-PERT distribution has the median and the 80 % figure.

    Low is what one job in twenty undercuts. Where jobs differ so much that no such distribution has both figures,
    low is less, down to 0; where that is not enough either, the 80 % figure is kept, which the owner is told as
    the ceiling, and the median comes out higher.

    Args:
        hours: what is believed of the treatment.

    Returns:
        Hours per unit [h], 0 to 10 000.

    Source:
        Our own choice; the quantiles are those of `workshop.estimating.beta`.
    """
    most = float(MOST_HOURS)
    median = min(hours.median_hours, most)
    p80 = min(hours.quantile_hours(CEILING_PROBABILITY), most)
    low = min(hours.quantile_hours(LOW_PROBABILITY), median)
    if p80 <= median:
        return _to_the_hundredth(low, median, median)
    # How far up in its range the likely figure lies decides on (80 % figure - low) / (median - low); it falls.
    widest, narrowest = _reach(0.0), _reach(1.0)
    if low == median or (p80 - low) / (median - low) > widest:
        low = max(0.0, (widest * median - p80) / (widest - 1))
    wanted = (p80 - low) / (median - low)
    left, right = 0.0, 1.0
    if wanted >= widest:
        right = 0.0
    elif wanted <= narrowest:
        left = 1.0
    else:
        for _ in range(_STEPS):
            middle = (left + right) / 2
            left, right = (middle, right) if _reach(middle) > wanted else (left, middle)
    where = (left + right) / 2
    width = (p80 - low) / _quantile(CEILING_PROBABILITY, where)
    return _to_the_hundredth(low, min(low + where * width, most), min(low + width, most))


def _counted(operations: Sequence[DoneOperation]) -> list[DoneOperation]:
    """Every operation, but of those that are done once for the job only the largest, as the estimate has it."""
    counted = [operation for operation in operations if not operation.once]
    for treatment in dict.fromkeys(operation.treatment for operation in operations if operation.once):
        same = [operation for operation in operations if operation.once and operation.treatment == treatment]
        counted.append(max(same, key=lambda operation: (operation.hours.mean, operation.quantity)))
    return counted


def _plausible(hours: float) -> float:
    return min(max(hours, SHORTEST_HOURS), float(MOST_HOURS))


def _quantile(probability: float, where: float) -> float:
    """Of the beta-PERT distribution on 0 to 1 whose likely figure is `where`."""
    return beta_quantile(probability, 1 + 4 * where, 5 - 4 * where)


def _reach(where: float) -> float:
    return _quantile(CEILING_PROBABILITY, where) / _quantile(0.5, where)


def _to_the_hundredth(low: float, likely: float, high: float) -> ThreePoint:
    return ThreePoint(*(Decimal(hours).quantize(CENT) for hours in (low, likely, high)))


__all__ = [
    "DoneOperation",
    "HoursRecord",
    "ToldHours",
    "prior_of",
    "split_hours",
    "three_points_of",
    "told_hours",
]
