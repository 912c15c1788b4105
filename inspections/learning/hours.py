"""Hours learned from work logs: their logarithms are normal with unknown mean and unknown variance.

What the next job takes is then the exponential of a Student t. Its mean is infinite, so the median and quantiles
are what may be quoted.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Self

from inspections.figures import between
from inspections.learning.quantiles import t_quantile
from inspections.learning.rates import MINIMUM_OBSERVATIONS, count, tails

SHORTEST_HOURS = 0.01
LONGEST_HOURS = 1e5
WILD_BEYOND = 0.99


@dataclass(frozen=True, slots=True)
class LogHours:
    """What is believed of the hours of one kind of job, on the scale of natural logarithms.

    Args:
        log_mean: μ, the logarithm of the median in hours, −4.61 to 11.52.
        weight: κ, how many records the median is worth, without unit, 1e-6 to 2e6.
        log_sd: σ, the spread of single jobs on the log scale, without unit, 1e-6 to 10.
        degrees_of_freedom: ν, how many records the spread is worth, without unit, 0.1 to 2e6; `math.inf` where the
            spread is known and is not to be learned.

    Raises:
        Refused: one of the four is no number or outside its range.

    Source:
        Normal–inverse-gamma conjugacy: Gelman et al., Bayesian Data Analysis (3rd ed.), ch. 2–3 (from memory);
        Hoff, A First Course in Bayesian Statistical Methods (2009), ch. 5, whose example is reproduced in the
        tests.

    >>> table = LogHours.from_median(median_hours=8, weight=4, log_sd=0.3, degrees_of_freedom=5)
    >>> round(table.with_records([9.5, 7.0, 11.2, 8.8]).median_hours, 6)
    8.484188
    """

    log_mean: float
    weight: float
    log_sd: float
    degrees_of_freedom: float

    def __post_init__(self) -> None:
        between("log_mean", self.log_mean, -4.61, 11.52, "(the logarithm of hours)")
        between("weight", self.weight, 1e-6, 2e6, "records")
        between("log_sd", self.log_sd, 1e-6, 10.0, "(on the log scale)")
        if self.degrees_of_freedom != math.inf:
            between("degrees_of_freedom", self.degrees_of_freedom, 0.1, 2e6, "records")

    @classmethod
    def from_median(
        cls, *, median_hours: float, weight: float, log_sd: float, degrees_of_freedom: float = math.inf
    ) -> Self:
        """The prior that a table's hours make.

        Args:
            median_hours: the likely time of the table, 0.01 to 1e5 hours.
            weight: how many records it is worth, without unit, 1e-6 to 2e6.
            log_sd: the spread of single jobs on the log scale, without unit, 1e-6 to 10; 0.3 says "about a third".
            degrees_of_freedom: how many records that spread is worth, without unit; `math.inf` for a known spread.

        Raises:
            Refused: one of the figures is no number or outside its range.

        Source:
            The median of a lognormal distribution is the exponential of its log mean.

        >>> round(LogHours.from_median(median_hours=8, weight=4, log_sd=0.3).median_hours, 9)
        8.0
        """
        return cls(
            log_mean=math.log(_hours("median_hours", median_hours)),
            weight=weight,
            log_sd=log_sd,
            degrees_of_freedom=degrees_of_freedom,
        )

    @property
    def median_hours(self) -> float:
        """The median of the next job, in hours."""
        return math.exp(self.log_mean)

    @property
    def predictive_log_scale(self) -> float:
        """The next job's scale on the log scale, without unit: its own spread and the doubt of the median."""
        return self.log_sd * math.sqrt(1.0 + 1.0 / self.weight)

    @property
    def mean_hours(self) -> float:
        """The mean of the next job, in hours: infinite unless the spread is known."""
        if self.degrees_of_freedom != math.inf:
            return math.inf
        return math.exp(self.log_mean + self.predictive_log_scale**2 / 2.0)

    def quantile_hours(self, probability: float) -> float:
        """The hours within which the next job is done with the given probability.

        Args:
            probability: a share without unit, above 0 and below 1.

        Returns:
            Hours; `math.inf` where they pass what a float holds.

        Raises:
            Refused: `probability` is no number or outside its range.

        Source:
            The predictive distribution, a Student t on the log scale (normal where the spread is known).

        >>> table = LogHours.from_median(median_hours=8, weight=4, log_sd=0.3, degrees_of_freedom=5)
        >>> round(table.quantile_hours(0.8), 4)
        10.8902
        """
        return self._at(probability, self.predictive_log_scale)

    def median_interval(self, probability: float) -> tuple[float, float]:
        """The central interval that holds the true median with the given probability.

        Args:
            probability: a share without unit, 0 or more and below 1.

        Returns:
            Two figures in hours, the lower first.

        Raises:
            Refused: `probability` is no number or outside its range.

        Source:
            The marginal of the mean, a Student t with scale σ/√κ: Hoff 2009, ch. 5; from memory.

        >>> table = LogHours.from_median(median_hours=8, weight=4, log_sd=0.3)
        >>> [round(hours, 3) for hours in table.median_interval(0.95)]
        [5.962, 10.734]
        """
        low, high = tails("probability", probability)
        scale = self.log_sd / math.sqrt(self.weight)
        return self._at(low, scale), self._at(high, scale)

    def with_records(self, hours: Iterable[float]) -> LogHours:
        """The posterior after some records; in one go or one after the other is the same.

        Args:
            hours: hours really spent, per record, 0.01 to 1e5 each.

        Raises:
            Refused: one of the `hours` is no number or outside its range.

        Source:
            Hoff 2009, ch. 5 (normal–inverse-gamma conjugacy); the formulas were seen in stored public sources.
        """
        logs = [math.log(_hours("hours", record)) for record in hours]
        if not logs:
            return self
        average = math.fsum(logs) / len(logs)
        return self._after(len(logs), average, math.fsum((one - average) ** 2 for one in logs))

    def _after(self, records: int, average: float, squares: float) -> LogHours:
        """The posterior after so many records, their average and the squares about it, on the log scale."""
        weight = self.weight + records
        log_sd, freedom = self.log_sd, self.degrees_of_freedom
        if freedom != math.inf:
            freedom += records
            apart = self.weight * records / weight * (average - self.log_mean) ** 2
            log_sd = math.sqrt((self.degrees_of_freedom * self.log_sd**2 + squares + apart) / freedom)
        return LogHours(
            log_mean=(self.weight * self.log_mean + records * average) / weight,
            weight=weight,
            log_sd=log_sd,
            degrees_of_freedom=freedom,
        )

    def _at(self, probability: float, scale: float) -> float:
        steps = t_quantile(degrees_of_freedom=self.degrees_of_freedom, probability=probability)
        try:
            return math.exp(self.log_mean + steps * scale)
        except OverflowError:
            return math.inf


def draw_in_wild(*, prior: LogHours, hours: Iterable[float], within: float = WILD_BEYOND) -> tuple[float, ...]:
    """The records with the wild ones drawn in, so that a slip of the pen or one disaster doesn't set the estimate.

    Each record is held against what the prior and all the *other* records predict for a job. Beyond the central
    interval of that prediction it counts as its nearer end, however far out it is. A yard that is always slower
    than the table is not drawn in: its records vouch for each other. The rule guards against one wild record among
    others or alone; two that agree may vouch for each other.

    Args:
        prior: what was believed before.
        hours: hours really spent, per record, 0.01 to 1e5 each.
        within: the share of the prediction that counts as ordinary, without unit, 0.5 to 0.9999.

    Returns:
        As many records, in their order, in hours; an equal figure where nothing was drawn in.

    Raises:
        Refused: `within` or one of the `hours` is no number or outside its range.

    Source:
        Winsorising at leave-one-out predictive limits; common practice, no source.

    >>> table = LogHours.from_median(median_hours=8, weight=4, log_sd=0.3, degrees_of_freedom=5)
    >>> [round(hours, 2) for hours in draw_in_wild(prior=table, hours=[60.0])]
    [30.93]
    """
    share = between("within", within, 0.5, 0.9999, "as a share")
    records = [_hours("hours", record) for record in hours]
    if not records:
        return ()
    logs = [math.log(record) for record in records]
    others = len(logs) - 1
    average = math.fsum(logs) / len(logs)
    squares = math.fsum((one - average) ** 2 for one in logs)
    reach = t_quantile(degrees_of_freedom=prior.degrees_of_freedom + others, probability=(1.0 + share) / 2.0)
    drawn = []
    for record, one in zip(records, logs, strict=True):
        expected = prior
        if others:
            away = one - average
            left = max(0.0, squares - away * away * (others + 1) / others)
            expected = prior._after(others, average - away / others, left)
        furthest = reach * expected.predictive_log_scale
        if abs(one - expected.log_mean) <= furthest:
            drawn.append(record)
        else:
            drawn.append(math.exp(expected.log_mean + math.copysign(furthest, one - expected.log_mean)))
    return tuple(drawn)


@dataclass(frozen=True, slots=True)
class LearnedHours:
    """A table's hours, what the yard's records say of them, and which of the two is in use; ready to be shown."""

    prior: LogHours
    posterior: LogHours
    records: int
    drawn_in: int
    minimum_observations: int

    @property
    def applied(self) -> bool:
        """Whether there are enough records for the posterior to be used."""
        return self.records >= self.minimum_observations

    @property
    def in_use(self) -> LogHours:
        """What to reckon with: the posterior if applied, else the prior."""
        return self.posterior if self.applied else self.prior


def learned_hours(
    *, prior: LogHours, hours: Iterable[float], minimum_observations: int = MINIMUM_OBSERVATIONS
) -> LearnedHours:
    """What the work logs of a yard make of a table's hours; a wild record is drawn in first.

    Args:
        prior: the table's hours with their weight and spread.
        hours: hours really spent, per record, 0.01 to 1e5 each.
        minimum_observations: below it the posterior is shown and not applied, 1 or more; common practice, no
            source.

    Raises:
        Refused: one of the figures is no number or outside its range.

    Source:
        `LogHours.with_records` on what `draw_in_wild` leaves.

    >>> table = LogHours.from_median(median_hours=8, weight=4, log_sd=0.3, degrees_of_freedom=5)
    >>> result = learned_hours(prior=table, hours=[8.0] * 9 + [60.0])
    >>> result.records, result.drawn_in, result.applied, round(result.in_use.median_hours, 1)
    (10, 1, True, 8.3)
    """
    count("minimum_observations", minimum_observations, least=1)
    records = tuple(hours)
    drawn = draw_in_wild(prior=prior, hours=records)
    return LearnedHours(
        prior=prior,
        posterior=prior.with_records(drawn),
        records=len(records),
        drawn_in=sum(before != after for before, after in zip(records, drawn, strict=True)),
        minimum_observations=minimum_observations,
    )


def _hours(field: str, hours: float) -> float:
    return between(field, hours, SHORTEST_HOURS, LONGEST_HOURS, "hours")


__all__ = ["LearnedHours", "LogHours", "draw_in_wild", "learned_hours"]
