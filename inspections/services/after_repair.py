"""The next look at a finding that was put right, by the rules that its yard judges by."""

from __future__ import annotations

from datetime import date

from inspections.judgement.repaired import LookAfter, class_cap, look_after_repair
from inspections.judgement.vocabulary import DueBackKind
from inspections.models import Finding
from inspections.selectors.rules import rules_of
from inspections.services.fact_building import component_facts, entries_to_judge, facts_of
from inspections.services.rechecks import learned_rates
from yard.refusals import Refused
from yard.selectors import working_calendar_of


def look_after(*, finding: Finding, seen_on: date, proper_repair_by: date | None = None) -> LookAfter:
    """When somebody must be back at it.

    Where what was recorded makes no facts (the yard has entered no season, say), the class's longest interval
    holds.

    Args:
        finding: with its entry.
        seen_on: the day of the look that found the repair good.
        proper_repair_by: where only what holds it meanwhile was done, the day on which the proper repair is due.
    """
    yard = finding.yard
    rules = rules_of(yard)
    (entry,) = entries_to_judge(yard, [finding.entry_id])
    told = facts_of(yard, [entry], learned_rates(yard=yard, today=seen_on, rules=rules))[entry.pk]
    try:
        if isinstance(told, Refused):
            raise told
        return look_after_repair(
            found=told.finding,
            component=told.component,
            yard=told.yard,
            seen_on=seen_on,
            rules=rules,
            proper_repair_by=proper_repair_by,
        )
    except Refused:
        component = component_facts(entry.component, entry.inspection.boat, seen_on)
        cap = class_cap(seen_on, component, working_calendar_of(yard))
        if proper_repair_by is not None and seen_on < proper_repair_by <= cap:
            reason = "Held for the time being and verified; the proper repair is still due."
            return LookAfter(proper_repair_by, DueBackKind.PUT_RIGHT, cap, reason)
        reason = "Put right and verified; a look at whether it holds, by the longest interval of its class."
        return LookAfter(cap, DueBackKind.LOOK_AGAIN, cap, reason)


__all__ = ["look_after"]
