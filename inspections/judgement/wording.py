"""The words judgement speaks in."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from types import MappingProxyType

from inspections.judgement.vocabulary import Condition, DueBackKind, Priority, RiskLevel, SafetyRole, Trend

WHAT_IT_IS = MappingProxyType(
    {
        Condition.FINISH_ONLY: "Only the finish is touched",
        Condition.WATER_WAY_OPEN: "Water has a way in",
        Condition.WATER_IN: "Water is in the wood",
        Condition.DECAY: "The wood has lost its soundness, or must be taken to have",
        Condition.JOINT_MOVES: "The joint works loose",
        Condition.SPLIT_IN_LOAD_PATH: "The wood is split where it carries its load",
        Condition.METAL_WASTING: "The metal is wasting, or must be taken to be",
        Condition.UNSEEN: "The hidden part was not seen, and what was not seen is not taken for sound",
        Condition.GONE: "The part is gone",
    }
)
IF_IT_FAILS = MappingProxyType(
    {
        SafetyRole.NONE: "If it fails, the harm stays with the part itself",
        SafetyRole.PERSONAL_SAFETY: "If it fails, somebody can be hurt or go overboard",
        SafetyRole.WATERTIGHTNESS: "If it fails, water comes into the boat",
        SafetyRole.ANCHORING: "If it fails, the boat can break loose from her anchor or mooring",
        SafetyRole.RIG: "If it fails, the rig can come down",
        SafetyRole.STEERING: "If it fails, the boat can no longer be steered",
    }
)
HOW_LIKELY = MappingProxyType(
    {
        "A": "As it is, it may well fail within the season",
        "B": "As it is, there is a real chance that it fails within the season",
        "C": "As it is, it can fail within the season",
        "D": "It is not likely to fail within the season, but it can",
        "E": "It is very unlikely to fail within the season",
        "F": "It can't fail any more",
    }
)
RISK_IN_WORDS = MappingProxyType(
    {
        RiskLevel.HIGH: "a high risk",
        RiskLevel.SERIOUS: "a serious risk",
        RiskLevel.MEDIUM: "a medium risk",
        RiskLevel.LOW: "a low risk",
        RiskLevel.ELIMINATED: "no risk any more",
    }
)
WHEN = MappingProxyType(
    {
        Priority.BEFORE_LAUNCH: "It comes before launch",
        Priority.THIS_SEASON: "It is work for this season",
        Priority.NEXT_LAYUP: "It can wait for the next lay-up",
        Priority.WATCH: "It is watched",
    }
)
TO_DO = MappingProxyType(
    {
        DueBackKind.PUT_RIGHT: "Put it right",
        DueBackKind.LOOK_AGAIN: "Look again",
        DueBackKind.OPEN_UP: "Open it up and look",
    }
)
TREND_IN_WORDS = MappingProxyType(
    {
        Trend.NEW: "is new since the last look",
        Trend.UNCHANGED: "has not changed since the last look",
        Trend.GROWN: "has grown since the last look",
        Trend.REOPENED: "has opened again after a repair",
    }
)
HUNDREDTH = 0.01
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def day_in_words(day: date) -> str:
    """A day as an owner reads it: 1 May 2027."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def odds(probability: float) -> str:
    """A probability as people weigh it: about 3 in 100, about 1 in 400.

    Args:
        probability: above 0, at most 1; no unit.
    """
    if probability >= HUNDREDTH:
        return f"about {min(round(probability * 100), 99)} in 100"
    digits = len(str(round(1 / probability))) - 1
    return f"about 1 in {round(1 / probability, -digits):,.0f}".replace(",", " ")


def within_a_sentence(name: str) -> str:
    """A name without its capital, save where it begins with a single letter or an abbreviation."""
    return name[0].lower() + name[1:] if name[1:2].islower() else name


def joined(words: Sequence[str]) -> str:
    """Words as people list them: one, two and three."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
