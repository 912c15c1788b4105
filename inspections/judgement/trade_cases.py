"""Cases of the trade, put to judgement: a table of findings with the decision that a shipwright would take.

The columns are those of `tests/reference/trade/judgement_cases.csv`. Those that begin with `in_` are what would be
recorded; the prose beside them is for people.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from inspections.judgement.assess import assess
from inspections.judgement.calendar_months import add_months
from inspections.judgement.facts import (
    MOISTURE,
    MOISTURE_BESIDE,
    ComponentFacts,
    EarlierLook,
    FindingFacts,
    Reading,
    SignFacts,
    YardFacts,
)
from inspections.judgement.judgement import Judgement
from inspections.judgement.rules.tables import Rules
from inspections.judgement.vocabulary import Answer, Condition, Priority
from yard.refusals import Refused

DECISION_OF = {
    Priority.BEFORE_LAUNCH: "repair_before_launch",
    Priority.THIS_SEASON: "repair_this_season",
    Priority.NEXT_LAYUP: "next_layup",
}
# Most pressing first. A watched place with nothing to do is left.
DECISIONS = ("repair_before_launch", "repair_this_season", "next_layup", "watch_recheck", "leave")
WORDS = ("sides", "water", "load", "seal", "moves", "trend")
LOAD_PATH = {"yes": True, "no": False, "": None, "unknown": None}
MONTHS_SINCE_THE_LAST_LOOK = 12


@dataclass(frozen=True, slots=True)
class Catalogue:
    """The signs and component classes that cases speak of, by code."""

    signs: Mapping[str, SignFacts]
    classes: Mapping[str, ComponentFacts]


@dataclass(frozen=True, slots=True)
class TradeCase:
    """A finding with the decision that was expected.

    Args:
        expected: one of `DECISIONS`.
        alternative: a second one that a sound shipwright could defend, or None.
    """

    case_id: str
    finding: FindingFacts
    component: ComponentFacts
    expected: str
    alternative: str | None


def catalogue_of(signs: Iterable[Mapping[str, Any]], classes: Iterable[Mapping[str, Any]]) -> Catalogue:
    """Signs and classes from the items of the catalogue files."""
    return Catalogue(
        signs={item["code"]: SignFacts(item["code"], tuple(item["conditions"]), item["name"]) for item in signs},
        classes={
            item["code"]: ComponentFacts(
                class_code=item["code"],
                safety_role=item["safety_role"],
                recheck_months=item["recheck_months"],
                open_up_months=item["open_up_months"],
                contact=frozenset(item["contact"]),
                load=frozenset(item["load"]),
                water=frozenset(item["water"]),
            )
            for item in classes
        },
    )


def trade_case(
    row: Mapping[str, str], catalogue: Catalogue, *, seen_on: date, durability_class: int | None = None
) -> TradeCase:
    """A row of the table as facts.

    A size at the last look was measured twelve months before.

    Raises:
        Refused: an unknown sign, class, word or decision, or a figure that can't be; under the case's own name.
    """
    case_id = _column(row, "case_id")
    try:
        component = _component(row, catalogue, durability_class)
        return TradeCase(
            case_id=case_id,
            finding=_finding(row, catalogue, seen_on),
            component=component,
            expected=_decision(row, "decision"),
            alternative=_alternative(row),
        )
    except Refused as refusal:
        raise refusal.under(case_id) from None


def decide(case: TradeCase, yard: YardFacts, rules: Rules) -> tuple[str, Judgement]:
    """The decision that judgement comes to on the day of the look, one of `DECISIONS`."""
    judgement = assess(case.finding, case.component, yard, case.finding.observed_on, rules)
    if judgement.priority is Priority.WATCH:
        return ("watch_recheck" if judgement.treatments else "leave"), judgement
    return DECISION_OF[judgement.priority], judgement


def agreement(cases: Sequence[TradeCase], yard: YardFacts, rules: Rules) -> dict[str, Any]:
    """How judgement and the expected decisions agree.

    Returns:
        `cases`, `agree` (equal), `acceptable` (equal or the listed alternative), and in `disagree` each that is not
        equal with what was expected, what came out and the reasons.
    """
    agree = acceptable = 0
    disagree = []
    for case in cases:
        got, judgement = decide(case, yard, rules)
        agree += got == case.expected
        acceptable += got in (case.expected, case.alternative)
        if got != case.expected:
            disagree.append(
                {
                    "case_id": case.case_id,
                    "expected": case.expected,
                    "got": got,
                    "acceptable": got == case.alternative,
                    "reasons": list(judgement.reasons),
                }
            )
    return {"cases": len(cases), "agree": agree, "acceptable": acceptable, "disagree": disagree}


def _finding(row: Mapping[str, str], catalogue: Catalogue, seen_on: date) -> FindingFacts:
    codes = [code.strip() for code in _column(row, "signs").split("|") if code.strip()]
    unknown = [code for code in codes if code not in catalogue.signs]
    if unknown:
        raise Refused("signs", f"{unknown[0]!r} is no sign of the list", "name a sign of the yard's list")
    signs = tuple(catalogue.signs[code] for code in codes)
    before_mm, here_pct = _figure(row, "in_size_before_mm"), _figure(row, "in_moisture_pct")
    beside_pct = _figure(row, "in_moisture_beside_pct")
    readings = [Reading(MOISTURE, here_pct, "%")] if here_pct is not None else []
    readings += [Reading(MOISTURE_BESIDE, beside_pct, "%")] if beside_pct is not None else []
    in_load_path = _column(row, "in_load_path")
    if in_load_path not in LOAD_PATH:
        raise Refused("in_load_path", f"{in_load_path!r} is no answer", "give yes, no, or nothing")
    only_unseen = all(sign.conditions == (Condition.UNSEEN,) for sign in signs)
    told: dict[str, Any] = {word: _column(row, f"in_{word}") for word in WORDS}
    return FindingFacts(
        observed_on=seen_on,
        signs=signs,
        answer=Answer.NOT_SEEN if only_unseen else Answer.FINDING,
        size_mm=_figure(row, "in_size_mm"),
        readings=tuple(readings),
        in_load_path=LOAD_PATH[in_load_path],
        unseen_months=_figure(row, "in_unseen_months"),
        safety_role=_column(row, "safety_role") or None,  # type: ignore[arg-type]  # the facts read the word
        earlier=()
        if before_mm is None
        else (EarlierLook(add_months(seen_on, -MONTHS_SINCE_THE_LAST_LOOK), before_mm),),
        **told,
    )


def _component(row: Mapping[str, str], catalogue: Catalogue, durability_class: int | None) -> ComponentFacts:
    code = _column(row, "component_class")
    if code not in catalogue.classes:
        raise Refused("component_class", f"{code!r} is no class of the list", "name a class of the yard's list")
    stock = catalogue.classes[code]
    return ComponentFacts(
        class_code=stock.class_code,
        safety_role=stock.safety_role,
        recheck_months=stock.recheck_months,
        open_up_months=stock.open_up_months,
        contact=stock.contact,
        load=stock.load,
        water=stock.water,
        durability_class=durability_class,
    )


def _decision(row: Mapping[str, str], column: str) -> str:
    words = _column(row, column).split()
    if not words or words[0] not in DECISIONS:
        raise Refused(column, f"{' '.join(words)!r} is no decision", f"give one of: {', '.join(DECISIONS)}")
    return words[0]


def _alternative(row: Mapping[str, str]) -> str | None:
    """The listed alternative; the months behind it are ignored."""
    text = (row.get("acceptable_alternative") or "").strip()
    return None if text in ("", "none") else _decision(row, "acceptable_alternative")


def _figure(row: Mapping[str, str], column: str) -> float | None:
    text = _column(row, column)
    if not text:
        return None
    try:
        return float(text)
    except ValueError:
        raise Refused(column, f"{text!r} is no figure", "give a number, or leave it empty") from None


def _column(row: Mapping[str, str], column: str) -> str:
    value = row.get(column)
    if value is None:
        raise Refused(column, "the column is missing", "give it, empty where nothing was recorded")
    return value.strip()


__all__ = ["DECISIONS", "Catalogue", "TradeCase", "agreement", "catalogue_of", "decide", "trade_case"]
