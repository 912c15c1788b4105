"""From when wet wood may be sealed: the wait that no hurry shortens."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date
from functools import lru_cache

from inspections.judgement.circumstances import Circumstances
from inspections.judgement.due_back import DueBack
from inspections.judgement.facts import ClimateMonth, ComponentFacts, FindingFacts, YardFacts
from inspections.judgement.judgement import DryingWait
from inspections.judgement.rules.tables import DryingRule, Rules
from inspections.judgement.seasons import MONTHS_IN_A_YEAR
from inspections.judgement.vocabulary import Priority, Sides
from inspections.timber.climate import MonthClimate
from inspections.timber.drying import SealingDates, ShedAir, sealing_dates


def drying_wait(
    *,
    finding: FindingFacts,
    component: ComponentFacts,
    yard: YardFacts,
    around: Circumstances,
    priorities: Collection[Priority],
    due: DueBack,
    rules: Rules,
) -> DryingWait | None:
    """How long a place must dry before it may be sealed, from the day of the look.

    Returns:
        None where nothing is to be put right, where no wet reading was taken, or where the yard has not entered the
        twelve months of its climate.
    """
    here_pct = finding.moisture_pct
    if here_pct is None or here_pct < rules.moisture.wet_pct or set(priorities) == {Priority.WATCH}:
        return None
    if len(yard.climate) != MONTHS_IN_A_YEAR:
        return None
    outside, shed = _dates(
        finding.observed_on,
        round(here_pct),
        2 if finding.sides is Sides.BOTH else 1,
        yard.climate,
        component.species,
        around.salt,
        rules.drying,
    )
    put_right_on = due.put_right_on
    return DryingWait(
        target_pct=rules.drying.target_pct,
        earliest_on=outside.earliest_on,
        likely_on=outside.likely_on,
        cautious_on=outside.cautious_on,
        shed_likely_on=shed.likely_on,
        wash_first=around.salt,
        too_late=put_right_on is not None and (outside.likely_on is None or outside.likely_on > put_right_on),
    )


@lru_cache(maxsize=10_000)
def _dates(
    start_on: date,
    start_pct: float,
    faces_open: int,
    climate: tuple[ClimateMonth, ...],
    species: str | None,
    salt: bool,
    rule: DryingRule,
) -> tuple[SealingDates, SealingDates]:
    """In the yard's own air, and in a heated shed."""
    months = tuple(
        MonthClimate(
            month=normal.month,
            temperature_c=normal.air_temperature_c,
            relative_humidity_pct=normal.relative_humidity_pct,
        )
        for normal in climate
    )
    shed = ShedAir(temperature_c=rule.shed_temperature_c, relative_humidity_pct=rule.shed_humidity_pct)
    outside, inside = (
        sealing_dates(
            start_on=start_on,
            start_pct=start_pct,
            target_pct=rule.target_pct,
            thickness_mm=rule.thickness_mm,
            faces_open=faces_open,
            months=air,
            shed=heated,
            species=species,
            salt_recorded=salt,
        )
        for air, heated in ((months, None), ((), shed))
    )
    return outside, inside


__all__ = ["drying_wait"]
