"""From risk to when: is it progressive and can it be stopped; when is it seen again; seaworthiness or upkeep."""

from __future__ import annotations

from types import MappingProxyType

from inspections.judgement.circumstances import WORSE_TRENDS, Circumstances
from inspections.judgement.facts import ComponentFacts
from inspections.judgement.rules.tables import ConditionRule, Rules
from inspections.judgement.unseen import cap_has_passed
from inspections.judgement.vocabulary import (
    Because,
    Condition,
    Load,
    Moves,
    Priority,
    RiskLevel,
    Seal,
    Trend,
    Water,
)

URGENCY = MappingProxyType(
    {Priority.BEFORE_LAUNCH: 0, Priority.THIS_SEASON: 1, Priority.NEXT_LAYUP: 2, Priority.WATCH: 3}
)
MOVING = frozenset({Moves.YES, Moves.SUSPECTED})


def priority_of(
    condition: Condition,
    severity: int,
    risk: RiskLevel,
    component: ComponentFacts,
    around: Circumstances,
    rules: Rules,
) -> tuple[Priority, Because]:
    """When this condition is to be put right, and why then.

    Returns:
        The priority and its reason.
    """
    if risk is RiskLevel.ELIMINATED:
        return Priority.WATCH, Because.NOTHING_LEFT
    if risk in rules.urgent:
        return _urgent(severity, around, rules)
    if condition is Condition.UNSEEN and around.unseen_months is not None:
        if around.unseen_months < component.open_up_months * rules.progression.plan_from_share:
            return Priority.WATCH, Because.NOT_LONG_UNSEEN
        if not cap_has_passed(around.unseen_months, component):
            return Priority.NEXT_LAYUP, Because.CLOSED_LONG_ENOUGH
    driver = what_drives(rules.conditions[condition], around)
    if driver and _needs_doing(condition, around):
        return rules.conditions[condition].driven_priority, driver
    if _nothing_is_gained(condition, severity, around, rules):
        return Priority.WATCH, Because.NOTHING_GAINED
    return Priority.NEXT_LAYUP, Because.STANDS_STILL


def _urgent(severity: int, around: Circumstances, rules: Rules) -> tuple[Priority, Because]:
    unloaded = around.load is Load.NONE or not around.in_load_path
    if severity >= rules.may_wait_unloaded_from and unloaded:
        return Priority.THIS_SEASON, Because.TOO_HIGH_TO_LEAVE
    return Priority.BEFORE_LAUNCH, Because.TOO_HIGH_AFLOAT


def what_drives(rule: ConditionRule, around: Circumstances) -> Because | None:
    """What makes this condition go on; None where it stands still."""
    if around.trend in WORSE_TRENDS:
        return Because.GETS_WORSE
    if around.moves is Moves.YES:
        return Because.MOVES
    if around.trend is Trend.UNCHANGED:
        return None
    if "load" in rule.driven_by and around.load_works:
        return Because.LOAD
    if "water" in rule.driven_by and around.water_reaches:
        return Because.WATER
    return None


def may_be_left(
    severity: int,
    conditions: frozenset[Condition],
    priorities: frozenset[Priority],
    around: Circumstances,
    rules: Rules,
) -> bool:
    """Whether it is a mark and no defect.

    Nothing goes on there, nobody's safety hangs on it, and the film alone is touched and whole; or it is open, but
    no water and no load ever comes there, and it was measured twice and stood still.
    """
    if around.trend in WORSE_TRENDS or around.moves in MOVING or around.read_again:
        return False
    if severity < rules.may_be_left_from or Condition.UNSEEN in conditions:
        return False
    if conditions == {Condition.FINISH_ONLY} and around.seal is Seal.INTACT:
        return True
    nothing_comes_there = around.loads == {Load.NONE} and around.waters == {Water.NONE}
    return nothing_comes_there and around.measured_still and priorities == {Priority.WATCH}


def _needs_doing(condition: Condition, around: Circumstances) -> bool:
    """A whole film is in order however the weather beats on it."""
    return condition is not Condition.FINISH_ONLY or around.seal is not Seal.INTACT or around.trend in WORSE_TRENDS


def _nothing_is_gained(condition: Condition, severity: int, around: Circumstances, rules: Rules) -> bool:
    if condition is Condition.FINISH_ONLY:
        return around.seal is Seal.INTACT or not around.water_reaches
    # what nobody saw may be measured on its face and unchanged there, and is opened all the same
    if condition is Condition.UNSEEN or around.moves in MOVING:
        return False
    if around.measured_still and not around.water_reaches:
        return True
    sealed_and_unchanged = around.seal is Seal.INTACT and around.trend is Trend.UNCHANGED
    return sealed_and_unchanged and severity >= rules.may_be_left_from and condition is not Condition.DECAY


__all__ = ["URGENCY", "may_be_left", "priority_of", "what_drives"]
