"""Severity from what is at stake, likelihood from what works on it."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from inspections.judgement.facts import EarlierLook
from inspections.judgement.vocabulary import Condition, Load, SafetyRole, Trend, Water
from tests.inspections.judgement.builders import (
    a_component,
    a_finding,
    judged,
    moisture,
    one_condition,
    stock_signs,
)

C = Condition

SEVERITY: dict[str, tuple[Condition, dict[str, Any], int]] = {
    "trim": (C.WATER_WAY_OPEN, {}, 4),
    "rig, water finds a way": (C.WATER_WAY_OPEN, {"safety_role": "rig", "load": "cyclic", "in_load_path": True}, 2),
    "rig, split where the load runs": (
        C.SPLIT_IN_LOAD_PATH,
        {"safety_role": "rig", "load": "cyclic", "in_load_path": True},
        1,
    ),
    "rig, load path not known": (C.DECAY, {"safety_role": "rig", "load": "shock", "in_load_path": None}, 1),
    "rig, load runs past": (C.DECAY, {"safety_role": "rig", "load": "cyclic"}, 2),
    "rig, steady load": (C.DECAY, {"safety_role": "rig", "load": "static", "in_load_path": True}, 2),
    "watertight, in the rain": (C.WATER_WAY_OPEN, {"safety_role": "watertightness", "water": "rain"}, 3),
    "watertight, under water": (C.WATER_WAY_OPEN, {"safety_role": "watertightness", "water": "immersed"}, 2),
    "anchoring, decayed under shock": (
        C.DECAY,
        {"safety_role": "anchoring", "load": "shock", "in_load_path": True},
        2,
    ),
    "trim, decayed where a load works": (C.DECAY, {"load": "cyclic", "in_load_path": True}, 3),
}


@pytest.mark.parametrize("case", SEVERITY)
def test_severity(case: str) -> None:
    condition, told, severity = SEVERITY[case]
    judgement = judged(a_finding(condition, **{"seal": "open", **told}))
    assert one_condition(judgement, condition).severity == severity


LIKELIHOOD: dict[str, tuple[Condition, dict[str, Any], str]] = {
    "way in, dry": (C.WATER_WAY_OPEN, {}, "E"),
    "way in, rain": (C.WATER_WAY_OPEN, {"water": "rain"}, "D"),
    "way in, under water": (C.WATER_WAY_OPEN, {"water": "immersed"}, "C"),
    "way in, under water and unchanged": (C.WATER_WAY_OPEN, {"water": "immersed", "trend": "unchanged"}, "D"),
    "water in, soaking": (C.WATER_IN, {"water": "rain", "readings": moisture(30, 14)}, "C"),
    "water in, damp": (C.WATER_IN, {"water": "rain", "readings": moisture(22, 14)}, "D"),
    "decay, nothing works on it": (C.DECAY, {}, "D"),
    "decay, moves and grows under shock": (C.DECAY, {"load": "shock", "moves": "yes", "trend": "grown"}, "A"),
    "joint, moves under a load that comes and goes": (C.JOINT_MOVES, {"load": "cyclic", "moves": "yes"}, "A"),
    "split, new and still": (C.SPLIT_IN_LOAD_PATH, {"load": "cyclic", "in_load_path": True}, "C"),
    "split, unchanged": (
        C.SPLIT_IN_LOAD_PATH,
        {"load": "cyclic", "in_load_path": True, "trend": "unchanged"},
        "D",
    ),
    "split, measured twice": (
        C.SPLIT_IN_LOAD_PATH,
        {
            "load": "cyclic",
            "in_load_path": True,
            "trend": "unchanged",
            "size_mm": 600,
            "earlier": (EarlierLook(date(2026, 4, 1), 600),),
        },
        "E",
    ),
}


@pytest.mark.parametrize("case", LIKELIHOOD)
def test_likelihood(case: str) -> None:
    condition, told, level = LIKELIHOOD[case]
    judgement = judged(a_finding(condition, **{"seal": "open", **told}))
    assert one_condition(judgement, condition).probability_level == level


@pytest.mark.parametrize(
    ("before_mm", "now_mm", "stated", "grew"),
    [
        (100, 105, "unchanged", True),
        (100, 104.9, "unchanged", False),
        (20, 22, "unchanged", True),
        (20, 21.9, "unchanged", False),
        (3, 3.9, "unchanged", False),
        (0, 1, "", True),
        (100, 90, "", False),
        (100, 100, "grown", True),
    ],
    ids=[
        "5 mm",
        "nearly 5 mm",
        "a tenth",
        "nearly a tenth",
        "measuring error",
        "from nothing",
        "less",
        "as stated",
    ],
)
def test_measured_growth_outweighs_a_milder_word(before_mm: float, now_mm: float, stated: str, grew: bool) -> None:
    finding = a_finding(
        C.SPLIT_IN_LOAD_PATH,
        load="cyclic",
        in_load_path=True,
        trend=stated,
        size_mm=now_mm,
        earlier=(EarlierLook(date(2026, 4, 1), before_mm),),
    )
    unchanged = replace(finding, trend=Trend.UNCHANGED, size_mm=None)
    grown = replace(finding, trend=Trend.GROWN, size_mm=None)
    level = one_condition(judged(finding), C.SPLIT_IN_LOAD_PATH).probability_level
    if grew:
        assert level == one_condition(judged(grown), C.SPLIT_IN_LOAD_PATH).probability_level
    else:  # measured and still is one better than only said to be unchanged
        assert (level, one_condition(judged(unchanged), C.SPLIT_IN_LOAD_PATH).probability_level) == ("E", "D")


def test_what_was_not_recorded_counts_as_the_worst_that_the_class_allows() -> None:
    told = {"safety_role": "rig", "seal": "open", "in_load_path": None}
    silent = a_finding(C.SPLIT_IN_LOAD_PATH, water="", load="", **told)
    component = a_component(
        water=frozenset({Water.INTERIOR, Water.SPLASH}), load=frozenset({Load.STATIC, Load.SHOCK})
    )
    spoken = a_finding(C.SPLIT_IN_LOAD_PATH, water="splash", load="shock", **told)
    assert judged(silent, component).risk is judged(spoken, component).risk
    assert judged(silent, component).priority is judged(spoken, component).priority
    assert any("worst that such a part meets" in reason for reason in judged(silent, component).reasons)


def test_where_the_class_says_nothing_the_worst_of_all_is_taken() -> None:
    component = a_component(water=frozenset(), load=frozenset(), safety_role=SafetyRole.WATERTIGHTNESS)
    judgement = judged(a_finding(C.WATER_WAY_OPEN, water="unknown", load="", seal="open"), component)
    assert any("water immersed, load shock" in line for line in judgement.trace)


def test_the_gravest_of_several_conditions_decides() -> None:
    signs = stock_signs()
    both = a_finding(
        signs=(signs["STAIN_FAST"], signs["CRACK_BOTH_SIDES"]),
        safety_role="rig",
        load="cyclic",
        in_load_path=True,
        seal="open",
        water="rain",
    )
    judgement = judged(both)
    assert judgement.condition is C.SPLIT_IN_LOAD_PATH
    assert (judgement.severity, judgement.probability_level, judgement.risk) == (1, "B", "high")
    assert next(one.condition for one in judgement.conditions if one.holds) is C.SPLIT_IN_LOAD_PATH
