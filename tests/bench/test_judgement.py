"""How many findings are judged in a second, and how far that is from only writing facts and judgement down."""

from __future__ import annotations

from dataclasses import fields, replace
from itertools import cycle, islice
from typing import Any

import pytest

from inspections.judgement.assess import assess
from inspections.judgement.facts import ComponentFacts, FindingFacts
from inspections.judgement.judgement import Judgement
from inspections.judgement.rules import load_rules
from inspections.judgement.vocabulary import Load, Moves, Seal, Water
from tests.bench.measuring import in_turns, ratio, report
from tests.inspections.judgement.builders import SEEN_ON, YARD, moisture, stock_classes, stock_signs

pytestmark = pytest.mark.bench

FINDINGS = 500
ROUNDS, WARM_UP = 20, 2
# Judging may take so many times what it takes to write the facts and the judgement down.
BOUND = 300

Said = tuple[dict[str, Any], dict[str, Any]]


def test_judging_against_writing_it_down() -> None:
    rules = load_rules()
    said = said_of_findings()
    judgements = [judged(*one) for one in said]
    assert len({(one.condition, one.priority, one.risk) for one in judgements}) > 10, "they are all alike"

    def judge() -> None:
        for finding, component in said:
            assess(FindingFacts(**finding), ComponentFacts(**component), YARD, SEEN_ON, rules)

    def write_down() -> None:
        for (finding, component), judgement in zip(said, judgements, strict=True):
            FindingFacts(**finding)
            ComponentFacts(**component)
            replace(judgement, conditions=tuple(replace(one) for one in judgement.conditions))

    seconds = in_turns({"judging": judge, "dataclasses alone": write_down}, rounds=ROUNDS, warm_up=WARM_UP)
    median = sorted(seconds["judging"])[ROUNDS // 2]
    report(
        "judgement",
        seconds,
        [ratio("judging a finding", seconds, of="judging", to="dataclasses alone", bound=BOUND)],
        facts={"findings": FINDINGS, "judged in a second": round(FINDINGS / median)},
    )


def judged(finding: dict[str, Any], component: dict[str, Any]) -> Judgement:
    return assess(FindingFacts(**finding), ComponentFacts(**component), YARD, SEEN_ON, load_rules())


def said_of_findings() -> list[Said]:
    """Every stock sign on every stock class in turn, with one more sign and other circumstances each time."""
    signs = [sign for sign in stock_signs().values() if sign.code != "NOT_SEEN"]
    classes = [_said(one) for one in stock_classes().values()]
    water, load, seal, moves = cycle(Water), cycle(Load), cycle(Seal), cycle(Moves)
    found = []
    for number, component in enumerate(islice(cycle(classes), FINDINGS)):
        first, second = signs[number % len(signs)], signs[(number * 7 + 3) % len(signs)]
        finding = {
            "observed_on": SEEN_ON,
            "signs": (first,) if first is second else (first, second),
            "size_mm": float(5 + number % 90),
            "readings": moisture(14.0 + number % 15, 14.0),
            "water": next(water),
            "load": next(load),
            "seal": next(seal),
            "moves": next(moves),
        }
        found.append((finding, component))
    return found


def _said(facts: ComponentFacts) -> dict[str, Any]:
    return {field.name: getattr(facts, field.name) for field in fields(facts)}
