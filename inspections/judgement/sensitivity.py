"""Which decisions hang on a single figure: each rate and multiplier is halved and doubled in turn."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from inspections.judgement.facts import YardFacts
from inspections.judgement.rules import DEFAULT_RULES, Rules, load_rules
from inspections.judgement.trade_cases import DECISIONS, TradeCase, decide
from yard.refusals import Refused

FACTORS = (0.5, 2.0)


def sensitivity(cases: Sequence[TradeCase], yard: YardFacts) -> dict[str, Any]:
    """Halve and double each rate and multiplier of the stock rules in turn.

    Returns:
        `changes`, how many such changes were tried; `not_tried`, those that the rules refuse (a value that may not
        be below 1, say), with why; `moved`, each case that came out otherwise with the figure that moved it; and
        `furthest_fall_of_before_launch`, by how many steps a case fell that comes before launch as the rules stand.
    """
    as_it_is = _decided(cases, yard, load_rules())
    tried, furthest = 0, 0
    not_tried: list[dict[str, str]] = []
    moved: list[dict[str, Any]] = []
    for path, value in figures_of(json.loads(DEFAULT_RULES.read_text(encoding="utf-8"))):
        for factor in FACTORS:
            told = {"figure": ".".join(path), "from": value, "to": value * factor}
            try:
                rules = load_rules(overrides=_nested(path, value * factor))
            except Refused as refusal:
                not_tried.append({"figure": ".".join(path), "why": str(refusal)})
                continue
            tried += 1
            for case, before, got in zip(cases, as_it_is, _decided(cases, yard, rules), strict=True):
                if got != before:
                    moved.append({**told, "case_id": case.case_id, "decision": before, "got": got})
                    if before == DECISIONS[0]:
                        furthest = max(furthest, DECISIONS.index(got))
    return {"changes": tried, "not_tried": not_tried, "moved": moved, "furthest_fall_of_before_launch": furthest}


def figures_of(data: Mapping[str, Any]) -> Iterator[tuple[tuple[str, ...], float]]:
    """Every rate and multiplier of the rule data, with the names that lead to it."""
    progression = data["progression"]
    for name, step in progression["steps"].items():
        if name != "source":
            yield ("progression", "steps", name, "rate_per_year"), float(step["rate_per_year"])
    for path, value in _leaves(("progression", "multipliers"), progression["multipliers"]):
        yield path, value
    for path, value in _leaves(("signs", "multipliers"), data["signs"]["multipliers"]):
        yield path, value


def _leaves(path: tuple[str, ...], table: Mapping[str, Any]) -> Iterator[tuple[tuple[str, ...], float]]:
    for name, value in table.items():
        if isinstance(value, Mapping):
            yield from _leaves((*path, name), value)
        elif isinstance(value, int | float) and not isinstance(value, bool) and value:
            yield (*path, name), float(value)


def _nested(path: tuple[str, ...], value: float) -> dict[str, Any]:
    inner: Any = value
    for name in reversed(path):
        inner = {name: inner}
    return dict(inner)


def _decided(cases: Sequence[TradeCase], yard: YardFacts, rules: Rules) -> list[str]:
    return [decide(case, yard, rules)[0] for case in cases]


__all__ = ["figures_of", "sensitivity"]
