"""How likely it fails to do its job within the season: level A (frequent) to E (improbable), F once it is gone.

A plain table: a level to begin with, and whole steps up or down for what speeds or slows the condition.
"""

from __future__ import annotations

from inspections.judgement.circumstances import Circumstances
from inspections.judgement.evidence import Evidence
from inspections.judgement.facts import FindingFacts
from inspections.judgement.rules.tables import ELIMINATED, LEVELS, Rules
from inspections.judgement.unseen import unseen_level
from inspections.judgement.vocabulary import Condition


def likelihood_of(
    condition: Condition, finding: FindingFacts, around: Circumstances, rules: Rules
) -> tuple[str, tuple[str, ...]]:
    """The level of one condition, and what made it so.

    Returns:
        A letter from A to F and the steps in words, for the trace.
    """
    rule = rules.conditions[condition]
    if rule.base == ELIMINATED:
        return ELIMINATED, ("the part is gone",)
    level = LEVELS.index(rule.base)
    told = [f"begins at {rule.base}"]
    for table in rule.steps:
        if table == "unseen":
            level = max(level, LEVELS.index(unseen_level(around.unseen_share, rules)))
            told.append(_unseen_in_words(around.unseen_share))
            continue
        step, why = _step(table, around, rules)
        if step:
            level += step
            told.append(f"{why}: {step:+d}")
    for sign in sorted(finding.signs, key=lambda sign: sign.code):
        step = rules.sign_steps.get(sign.code, {}).get(condition, 0)
        if step:
            level += step
            told.append(f"{sign.code}: {step:+d}")
    return LEVELS[min(max(level, 0), len(LEVELS) - 1)], tuple(told)


def _step(table: str, around: Circumstances, rules: Rules) -> tuple[int, str]:
    match table:
        case "water":
            return rules.water_step.get(around.water, 0), around.water.label
        case "load":
            return rules.load_step.get(around.load, 0), around.load.label
        case "moves":
            return rules.moves_step.get(around.moves, 0), around.moves.label
        case "movement_seen":
            return rules.movement_seen_step.get(around.moves, 0), around.moves.label
        case "trend":
            return rules.trend_step.get(around.trend, 0), around.trend.label
        case "growth_seen":
            return rules.growth_seen_step.get(around.trend, 0), around.trend.label
        case "measured_still":
            return rules.measured_still_step * around.measured_still, "measured twice and not grown"
        case "soaking":
            soaking = Evidence.SOAKING in around.evidence
            return rules.soaking_step * soaking, Evidence.SOAKING.label
    raise ValueError(f"There is no table of steps named {table!r}.")


def _unseen_in_words(share: float | None) -> str:
    return "never seen" if share is None else f"{share:.2f} of the open-up interval has run"


__all__ = ["likelihood_of"]
