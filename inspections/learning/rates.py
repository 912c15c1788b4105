"""Yearly rates learned from counts: a gamma prior, transitions over the years they had, a gamma posterior."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Self

from inspections.figures import between
from inspections.learning.quantiles import gamma_quantile
from yard.refusals import Refused

MINIMUM_OBSERVATIONS = 10
_LEAST = 1e-9
_MOST_TRANSITIONS = 1e6
_LONGEST_EXPOSURE_YEARS = 1e12


@dataclass(frozen=True, slots=True)
class GammaRate:
    """What is believed of a rate per year: as if `shape` transitions had been seen in `exposure_years`.

    Args:
        shape: transitions, without unit, 1e-9 to 1e6.
        exposure_years: years in which they were seen, 1e-9 to 1e12.

    Raises:
        Refused: `shape` or `exposure_years` is no number or outside its range.

    Source:
        The gamma distribution as the conjugate prior of a Poisson rate: Gelman et al., Bayesian Data Analysis (3rd
        ed.), section 2.6, "Poisson model parameterized in terms of rate and exposure"; from memory.

    >>> GammaRate(shape=4, exposure_years=20).with_data(transitions=2, exposure_years=10).mean_per_year
    0.2
    """

    shape: float
    exposure_years: float

    def __post_init__(self) -> None:
        between("shape", self.shape, _LEAST, _MOST_TRANSITIONS, "transitions")
        between("exposure_years", self.exposure_years, _LEAST, _LONGEST_EXPOSURE_YEARS, "years")

    @classmethod
    def from_mean_and_spread(cls, *, mean_per_year: float, coefficient_of_variation: float) -> Self:
        """The prior that a table's rate makes, with how far it may be off.

        Args:
            mean_per_year: the table's rate per year, 1e-6 to 1e4.
            coefficient_of_variation: standard deviation over mean, without unit, 0.01 to 10; 0.5 says "by half".

        Raises:
            Refused: `mean_per_year` or `coefficient_of_variation` is no number or outside its range. A rate of 0 is
                a step that never ends; no record could be weighed against it.

        Source:
            Moments of the gamma distribution: shape 1/cv², exposure shape/mean.

        >>> GammaRate.from_mean_and_spread(mean_per_year=0.2, coefficient_of_variation=0.5)
        GammaRate(shape=4.0, exposure_years=20.0)
        """
        mean = between("mean_per_year", mean_per_year, 1e-6, 1e4, "per year")
        spread = between("coefficient_of_variation", coefficient_of_variation, 0.01, 10.0, "times the mean")
        shape = 1.0 / (spread * spread)
        return cls(shape=shape, exposure_years=shape / mean)

    @property
    def mean_per_year(self) -> float:
        """The expected rate, per year."""
        return self.shape / self.exposure_years

    @property
    def variance(self) -> float:
        """The variance of the rate, per year squared."""
        return self.shape / self.exposure_years**2

    def with_data(self, *, transitions: float, exposure_years: float) -> GammaRate:
        """The posterior after some transitions in some exposure; in one go or one after the other is the same.

        Args:
            transitions: how many were seen, 0 to 1e6; parts of one count as parts.
            exposure_years: years at risk in which they were looked for, 0 to 1e12, summed over the spots.

        Raises:
            Refused: `transitions` or `exposure_years` is no number or outside its range, alone or with what was
                known.

        Source:
            Gamma–Poisson conjugacy: Gelman et al., Bayesian Data Analysis (3rd ed.), section 2.6; from memory.

        >>> GammaRate(shape=4, exposure_years=20).with_data(transitions=1, exposure_years=5)
        GammaRate(shape=5.0, exposure_years=25.0)
        """
        counted = between("transitions", transitions, 0.0, _MOST_TRANSITIONS, "transitions")
        years = between("exposure_years", exposure_years, 0.0, _LONGEST_EXPOSURE_YEARS, "years")
        return GammaRate(shape=self.shape + counted, exposure_years=self.exposure_years + years)

    def interval(self, probability: float) -> tuple[float, float]:
        """The central interval that holds the rate with the given probability.

        Args:
            probability: a share without unit, 0 or more and below 1.

        Returns:
            Two rates per year, the lower first.

        Raises:
            Refused: `probability` is no number or outside its range.

        Source:
            Equal tails of the gamma distribution, `inspections.learning.quantiles.gamma_quantile`.

        >>> [round(rate, 4) for rate in GammaRate(shape=4, exposure_years=20).interval(0.9)]
        [0.0683, 0.3877]
        """
        low, high = tails("probability", probability)
        return (
            gamma_quantile(shape=self.shape, probability=low) / self.exposure_years,
            gamma_quantile(shape=self.shape, probability=high) / self.exposure_years,
        )


@dataclass(frozen=True, slots=True)
class Learned:
    """A rate, what the yard's own records say of it, and which of the two is in use; ready to be shown."""

    prior_mean_per_year: float
    transitions: float
    exposure_years: float
    observations: int
    minimum_observations: int
    posterior_mean_per_year: float
    interval_probability: float
    interval_low_per_year: float
    interval_high_per_year: float

    @property
    def applied(self) -> bool:
        """Whether there are enough observations for the posterior to be used."""
        return self.observations >= self.minimum_observations

    @property
    def in_use_per_year(self) -> float:
        """The rate to reckon with: the posterior's mean if applied, else the prior's."""
        return self.posterior_mean_per_year if self.applied else self.prior_mean_per_year


def learned_rate(
    *,
    prior: GammaRate,
    transitions: float,
    exposure_years: float,
    observations: int,
    minimum_observations: int = MINIMUM_OBSERVATIONS,
    interval_probability: float = 0.9,
) -> Learned:
    """What the records of a yard make of a table's rate.

    Args:
        prior: the table's rate with its spread.
        transitions: steps seen to have been passed, 0 to 1e6, without unit.
        exposure_years: years at risk, 0 to 1e12, summed over the spots.
        observations: looks that were counted, 0 or more: pairs of looks at one spot, with or without a transition.
        minimum_observations: below it the posterior is shown and not applied, 1 or more; common practice, no
            source.
        interval_probability: of the interval that is shown, a share without unit, 0 or more and below 1.

    Raises:
        Refused: one of the figures is no number or outside its range.

    Source:
        Gamma–Poisson conjugacy: Gelman et al., Bayesian Data Analysis (3rd ed.), section 2.6; from memory.

    >>> table = GammaRate(shape=4, exposure_years=20)
    >>> few = learned_rate(prior=table, transitions=4, exposure_years=5, observations=9)
    >>> round(few.posterior_mean_per_year, 2), few.applied, few.in_use_per_year
    (0.32, False, 0.2)
    """
    count("observations", observations, least=0)
    count("minimum_observations", minimum_observations, least=1)
    posterior = prior.with_data(transitions=transitions, exposure_years=exposure_years)
    tails("interval_probability", interval_probability)
    low, high = posterior.interval(interval_probability)
    return Learned(
        prior_mean_per_year=prior.mean_per_year,
        transitions=float(transitions),
        exposure_years=float(exposure_years),
        observations=observations,
        minimum_observations=minimum_observations,
        posterior_mean_per_year=posterior.mean_per_year,
        interval_probability=interval_probability,
        interval_low_per_year=low,
        interval_high_per_year=high,
    )


def grown_rate(*, prior: GammaRate, growth_mm: float, years: float, mm_per_step: float) -> GammaRate:
    """The rate of one step after the growth that was measured at one spot.

    The growth is counted in steps: `mm_per_step` of it is one transition. At equal exposure more growth never
    lowers the posterior's mean. What seems to have shrunk has not grown: a measuring error counts as 0 mm.

    Args:
        prior: the step's rate before the measuring.
        growth_mm: the later size less the earlier one, in mm, −1e5 to 1e5.
        years: between the two measurings, 0 to 200.
        mm_per_step: growth that makes one step of the chain, in mm, 0.01 to 1e5.

    Raises:
        Refused: one of the figures is no number or outside its range.

    Source:
        Gamma–Poisson conjugacy as in `GammaRate.with_data`; that growth counts in steps is common practice of our
        own, no source.

    >>> table = GammaRate(shape=4, exposure_years=20)
    >>> grown_rate(prior=table, growth_mm=30, years=1, mm_per_step=10)
    GammaRate(shape=7.0, exposure_years=21.0)
    >>> grown_rate(prior=table, growth_mm=-2, years=1, mm_per_step=10)
    GammaRate(shape=4.0, exposure_years=21.0)
    """
    growth = between("growth_mm", growth_mm, -1e5, 1e5, "mm")
    step = between("mm_per_step", mm_per_step, 0.01, 1e5, "mm")
    exposure = between("years", years, 0.0, 200.0, "years")
    # More steps than the count's range holds say no more than the most it holds.
    return prior.with_data(transitions=min(max(0.0, growth) / step, _MOST_TRANSITIONS / 2), exposure_years=exposure)


def tails(field: str, probability: float) -> tuple[float, float]:
    """The shares below and up to the end of a central interval that holds `probability`, a share below 1."""
    share = between(field, probability, 0.0, 1.0, "as a share")
    if share == 1.0:
        raise Refused(field, "an interval that holds everything says nothing", "give a share below 1")
    return (1.0 - share) / 2.0, (1.0 + share) / 2.0


def count(field: str, counted: int, *, least: int) -> None:
    """Refuse what is no whole number of observations from `least` on."""
    if between(field, counted, least, 1e9, "observations") % 1.0:
        raise Refused(field, f"{counted:g} is no whole number", "give a whole number")


__all__ = ["MINIMUM_OBSERVATIONS", "GammaRate", "Learned", "grown_rate", "learned_rate"]
