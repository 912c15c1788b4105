"""Facts for tests: a plain case that each test bends where it matters."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

from inspections.judgement.assess import assess, work_out
from inspections.judgement.case import Line
from inspections.judgement.facts import (
    MOISTURE,
    MOISTURE_BESIDE,
    ComponentFacts,
    FindingFacts,
    Reading,
    SignFacts,
    YardFacts,
)
from inspections.judgement.judgement import ConditionJudged, Judgement
from inspections.judgement.rules import Rules, load_rules
from inspections.judgement.vocabulary import Condition, Contact, Load, SafetyRole, Water

CATALOGUE = Path(__file__).parents[3] / "fixtures" / "catalogue"

SEEN_ON = date(2027, 4, 1)
LAUNCH_ON = date(2027, 5, 1)
LAYUP_ON = date(2027, 10, 15)
YARD = YardFacts(launch_on=LAUNCH_ON, layup_on=LAYUP_ON)


@lru_cache(maxsize=1)
def stock_signs() -> dict[str, SignFacts]:
    items = json.loads((CATALOGUE / "signs.json").read_text(encoding="utf-8"))["items"]
    return {item["code"]: SignFacts(item["code"], tuple(item["conditions"]), item["name"]) for item in items}


@lru_cache(maxsize=1)
def stock_classes() -> dict[str, ComponentFacts]:
    items = json.loads((CATALOGUE / "component_classes.json").read_text(encoding="utf-8"))["items"]
    return {
        item["code"]: ComponentFacts(
            class_code=item["code"],
            safety_role=item["safety_role"],
            recheck_months=item["recheck_months"],
            open_up_months=item["open_up_months"],
            contact=frozenset(item["contact"]),
            load=frozenset(item["load"]),
            water=frozenset(item["water"]),
        )
        for item in items
    }


def a_sign(*conditions: Condition, code: str = "A_SIGN", name: str = "") -> SignFacts:
    return SignFacts(code, conditions, name)


def a_component(**changes: Any) -> ComponentFacts:
    """A part of wood and metal with nothing at stake: yearly looks, opened every two years."""
    plain = ComponentFacts(
        class_code="A_CLASS",
        safety_role=SafetyRole.NONE,
        recheck_months=12,
        open_up_months=24,
        contact=frozenset({Contact.WOOD_TO_WOOD, Contact.METAL_TO_WOOD}),
        load=frozenset({Load.STATIC, Load.CYCLIC}),
        water=frozenset({Water.RAIN, Water.SPLASH}),
    )
    return replace(plain, **changes)


def a_finding(*conditions: Condition, **changes: Any) -> FindingFacts:
    """One sign that speaks for these conditions, on an unloaded place that no water reaches, all else as told."""
    told = {
        "observed_on": SEEN_ON,
        "signs": (a_sign(*(conditions or (Condition.FINISH_ONLY,))),),
        "water": "none",
        "load": "none",
        "seal": "intact",
        "moves": "no",
        "trend": "new",
        "in_load_path": False,
        "sides": "both",
    }
    return FindingFacts(**{**told, **changes})


def moisture(here_pct: float, beside_pct: float | None = None) -> tuple[Reading, ...]:
    readings = [Reading(MOISTURE, here_pct, "%")]
    if beside_pct is not None:
        readings.append(Reading(MOISTURE_BESIDE, beside_pct, "%"))
    return tuple(readings)


def judged(
    finding: FindingFacts,
    component: ComponentFacts | None = None,
    *,
    yard: YardFacts = YARD,
    on: date | None = None,
    rules: Rules | None = None,
) -> Judgement:
    return assess(finding, component or a_component(), yard, on or finding.observed_on, rules or load_rules())


def lines_of(finding: FindingFacts, component: ComponentFacts | None = None) -> tuple[Line, ...]:
    """Every condition that holds, with its figures."""
    return work_out(finding, component or a_component(), YARD, finding.observed_on, load_rules()).lines


def one_condition(judgement: Judgement, condition: Condition) -> ConditionJudged:
    return next(one for one in judgement.conditions if one.condition is condition)


def holding(judgement: Judgement) -> set[Condition]:
    return {one.condition for one in judgement.conditions if one.holds}
