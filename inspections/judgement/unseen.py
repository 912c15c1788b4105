"""Places out of sight: an unseen part is no sound part, and its clock runs on."""

from __future__ import annotations

from datetime import date
from functools import lru_cache
from typing import TYPE_CHECKING

from inspections.judgement.calendar_months import months_between
from inspections.judgement.facts import ComponentFacts, FindingFacts
from inspections.judgement.phase_type import failure_probability
from inspections.judgement.rules.tables import Rules
from inspections.judgement.vocabulary import Load, Water

if TYPE_CHECKING:
    from inspections.judgement.circumstances import Circumstances

MONTHS_IN_A_YEAR = 12
FASTEST_PER_YEAR = 1e6


def months_out_of_sight(finding: FindingFacts, judged_on: date) -> float | None:
    """How long the hidden part has been out of sight on the day of judging, months.

    Where both the day of the last sight and a number of months were given, the longer holds.

    Returns:
        None where neither was given.
    """
    spans = []
    if finding.unseen_months is not None:
        spans.append(finding.unseen_months + months_between(finding.observed_on, judged_on))
    if finding.last_seen_on is not None:
        spans.append(months_between(finding.last_seen_on, judged_on))
    return max(spans, default=None)


def cap_has_passed(unseen_months: float | None, component: ComponentFacts) -> bool:
    """Whether the hidden part has been closed for longer than its class allows."""
    return unseen_months is not None and unseen_months > component.open_up_months


def failed_unseen(component: ComponentFacts, around: Circumstances, rules: Rules) -> tuple[float, str]:
    """The probability that a hidden face, sound when it was last seen, fails within a season from now.

    The class's interval sets the pace: it is what the yard accepts. Water and load that are milder here than the
    worst that the class may meet slow it down, until the interval has passed.

    Returns:
        A probability from 0 to 1, and how it came about in words, for the trace.
    """
    told = rules.progression
    cap_years = component.open_up_months / MONTHS_IN_A_YEAR
    if around.unseen_months is None:
        closed_years = told.never_seen_caps * cap_years
        words = f"never seen, which counts as {told.never_seen_caps:g} intervals"
    else:
        closed_years = around.unseen_months / MONTHS_IN_A_YEAR
        words = f"closed for {around.unseen_months:.1f} months of {component.open_up_months}"
    pace = told.unseen_mean_times_at_cap / (cap_years + told.least_season_years)
    share = _share_of_the_worst(component, around, rules)
    pace = min(pace * (max(share, 1.0) if closed_years > cap_years else share), FASTEST_PER_YEAR)
    probability = _failed(pace, told.unseen_stages, closed_years + told.least_season_years)
    return probability, f"{words}: {probability:.2g} within a season"


def _share_of_the_worst(component: ComponentFacts, around: Circumstances, rules: Rules) -> float:
    """How fast it goes here, over the worst that the class may meet."""
    tables = rules.progression.multipliers
    waters = component.water - {Water.UNKNOWN} or frozenset(tables.water_on_wood)
    loads = component.load or frozenset(Load)
    water = max(tables.water_on_wood[word] for word in around.waters) / max(
        tables.water_on_wood[word] for word in waters
    )
    load = max(tables.load_on_wood[word] for word in around.loads) / max(
        tables.load_on_wood[word] for word in loads
    )
    return float(water * load)


@lru_cache(maxsize=100_000)
def _failed(pace_per_year: float, stages: int, years: float) -> float:
    return failure_probability(rates_per_year=(pace_per_year,) * stages, years=years)


__all__ = ["cap_has_passed", "failed_unseen", "months_out_of_sight"]
