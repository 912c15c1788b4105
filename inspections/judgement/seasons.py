"""The season that a day belongs to."""

from __future__ import annotations

from datetime import date

from inspections.judgement.calendar_months import add_months
from inspections.judgement.facts import YardFacts

MONTHS_IN_A_YEAR = 12


def season_of(day: date, yard: YardFacts) -> tuple[date, date]:
    """Launch and lay-up of the season that a day belongs to.

    A day after the yard's lay-up belongs to the next season; where its days are not known yet they are taken to be
    those of this one, whole years on.
    """
    years = 0
    layup_on = yard.layup_on
    while layup_on < day:
        years += 1
        layup_on = add_months(yard.layup_on, years * MONTHS_IN_A_YEAR)
    return add_months(yard.launch_on, years * MONTHS_IN_A_YEAR), layup_on


__all__ = ["season_of"]
