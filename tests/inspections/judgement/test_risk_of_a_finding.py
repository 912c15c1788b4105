"""Severity from what is at stake, likelihood from what works on it."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from inspections.judgement.facts import ClimateMonth, EarlierLook
from inspections.judgement.rules import load_rules
from inspections.judgement.vocabulary import Condition, Load, SafetyRole, Trend, Water
from tests.inspections.judgement.builders import (
    YARD,
    a_component,
    a_finding,
    judged,
    lines_of,
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


@pytest.mark.parametrize(
    ("loss", "severity"), [(0, 4), (1_999, 4), (2_000, 3), (20_000, 2), (100_000, 1), (5_000_000, 1)]
)
def test_what_a_failure_costs_counts_by_the_yard_s_own_limits(loss: float, severity: int) -> None:
    own = load_rules(overrides={"severity": {"loss_by_class": {"A_CLASS": loss}}})
    assert judged(a_finding(), rules=own).severity == severity
    assert judged(a_finding(safety_role="rig"), rules=own).severity == min(severity, 2)


LIKELIHOOD: dict[str, tuple[Condition, dict[str, Any], str]] = {
    "way in, dry": (C.WATER_WAY_OPEN, {}, "E"),
    "way in, rain": (C.WATER_WAY_OPEN, {"water": "rain"}, "E"),
    "way in, under water, and it must keep water out": (
        C.WATER_WAY_OPEN,
        {"water": "immersed", "safety_role": "watertightness"},
        "D",
    ),
    "way in, under water and growing": (
        C.WATER_WAY_OPEN,
        {"water": "immersed", "safety_role": "watertightness", "trend": "grown", "moves": "suspected"},
        "C",
    ),
    "water in, unloaded": (C.WATER_IN, {"water": "rain", "readings": moisture(30, 14)}, "E"),
    "water in, loaded and damp": (
        C.WATER_IN,
        {"water": "rain", "load": "cyclic", "readings": moisture(22, 14)},
        "C",
    ),
    "water in, loaded and soaking": (
        C.WATER_IN,
        {"water": "rain", "load": "cyclic", "moves": "yes", "readings": moisture(30, 14)},
        "B",
    ),
    "decay, nothing works on it": (C.DECAY, {}, "D"),
    "decay, moves and grows under shock": (C.DECAY, {"load": "shock", "moves": "yes", "trend": "grown"}, "A"),
    "joint, moves under a load that comes and goes": (C.JOINT_MOVES, {"load": "cyclic", "moves": "yes"}, "A"),
    "split, new and dry": (C.SPLIT_IN_LOAD_PATH, {"load": "cyclic", "in_load_path": True}, "D"),
    "split, new in the rain": (
        C.SPLIT_IN_LOAD_PATH,
        {"load": "cyclic", "in_load_path": True, "water": "rain"},
        "C",
    ),
    "split, unchanged in the rain": (
        C.SPLIT_IN_LOAD_PATH,
        {"load": "cyclic", "in_load_path": True, "trend": "unchanged", "water": "rain"},
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
    measured, still, worse = (judged(each).failure_probability or 0.0 for each in (finding, unchanged, grown))
    if grew:  # though measuring tells how fast, which a word does not
        assert still < measured
        assert any("trend grown" in line for line in judged(finding).trace)
    else:  # less than growth, and far from what a growing one would be
        assert measured < worse / 10


def test_a_crack_that_grew_thirty_millimetres_in_a_year_outweighs_the_table() -> None:
    crack = a_finding(C.SPLIT_IN_LOAD_PATH, load="static", in_load_path=True, water="rain", trend="")
    by_the_table = judged(crack)
    measured = judged(replace(crack, size_mm=90, earlier=(EarlierLook(date(2026, 4, 1), 60),)))
    assert (by_the_table.probability_level, measured.probability_level) == ("D", "C")
    assert (measured.failure_probability or 0) > 3 * (by_the_table.failure_probability or 0)


def test_a_condition_further_along_is_more_likely_to_fail() -> None:
    along = (C.FINISH_ONLY, C.WATER_WAY_OPEN, C.WATER_IN, C.DECAY)
    told: dict[str, Any] = {"water": "rain", "load": "cyclic", "seal": "open", "safety_role": "rig"}
    likely = [
        next(
            line.likelihood.probability
            for line in lines_of(a_finding(condition, **told))
            if line.weighed.condition is condition
        )
        for condition in along
    ]
    assert likely == sorted(likely)


@pytest.mark.parametrize(
    ("milder", "worse"),
    [
        ({"durability_class": 1}, {"durability_class": 5}),
        ({"species": "teak"}, {"species": "Sitka spruce"}),
        ({"species": "Sitka spruce"}, {"species": "Sitka spruce", "durability_class": 5}),
    ],
)
def test_less_durable_wood_decays_sooner(milder: dict[str, Any], worse: dict[str, Any]) -> None:
    wet = a_finding(C.WATER_IN, water="rain", load="cyclic", seal="open")
    one, other = (judged(wet, a_component(**told)).failure_probability or 0.0 for told in (milder, worse))
    assert one <= other
    assert (one < other) or milder["species"] == worse["species"]


def test_a_yard_whose_climate_favours_decay_has_less_time() -> None:
    wet = a_finding(C.WATER_IN, water="rain", load="cyclic", seal="open")
    likely = [
        judged(wet, yard=replace(YARD, scheffer_index=index)).failure_probability or 0.0 for index in (20, 50, 90)
    ]
    assert likely == sorted(set(likely))


def test_twelve_months_of_climate_give_the_index() -> None:
    months = tuple(ClimateMonth(month, 12.0, 80.0, 10.0) for month in range(1, 13))
    assert replace(YARD, climate=months).scheffer_index == pytest.approx(50.3, abs=0.1)
    assert replace(YARD, climate=months, scheffer_index=20.0).scheffer_index == 20.0


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
