"""Twenty-five cases of the trade against the rules.

Source: `trade/judgement_cases.csv`, cases made up for this project with a decision and its reason each: judgement,
and no law. The `in_…` columns are what a technician would record; the prose beside them is for people. All are seen
on 1 April, with the launch on 1 May and the lay-up on 15 October. `leave` is *watch* with nothing to do.

The rules were written with these cases at hand, so that they agree shows that the tables say what their author
meant. It is no evidence of how they judge a case that nobody had before.
"""

import csv
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from inspections.judgement.facts import EarlierLook, FindingFacts
from inspections.judgement.judgement import Judgement
from inspections.judgement.priority import URGENCY
from inspections.judgement.vocabulary import Priority, SafetyRole
from tests.inspections.judgement.builders import SEEN_ON, judged, moisture, stock_classes, stock_signs

WAITS_NO_LONGER_THAN = {
    "repair_before_launch": Priority.BEFORE_LAUNCH,
    "repair_this_season": Priority.THIS_SEASON,
    "next_layup": Priority.NEXT_LAYUP,
    "watch_recheck": Priority.WATCH,
    "leave": Priority.WATCH,
}
CASES_IN_AGREEMENT = 25


@dataclass(frozen=True)
class TradeCase:
    row: dict[str, str]

    @property
    def decision(self) -> str:
        return self.row["decision"]

    @property
    def defensible(self) -> set[str]:
        """The decision and the other one that a sound shipwright could defend."""
        return {self.decision, self.row["acceptable_alternative"].split()[0]} - {"none"}

    def judge(self) -> Judgement:
        signs = stock_signs()
        before = self._number("in_size_before_mm")
        here = self._number("in_moisture_pct")
        words = ("sides", "water", "load", "seal", "moves", "trend")
        told: dict[str, Any] = {word: self.row[f"in_{word}"] for word in words}
        finding = FindingFacts(
            observed_on=SEEN_ON,
            signs=tuple(signs[code] for code in self.row["signs"].split("|")),
            size_mm=self._number("in_size_mm"),
            readings=() if here is None else moisture(here, self._number("in_moisture_beside_pct")),
            in_load_path={"yes": True, "no": False}[self.row["in_load_path"]],
            unseen_months=self._number("in_unseen_months"),
            safety_role=SafetyRole(self.row["safety_role"]),
            earlier=() if before is None else (EarlierLook(date(2026, 4, 1), before),),
            **told,
        )
        return judged(finding, stock_classes()[self.row["component_class"]])

    def _number(self, column: str) -> float | None:
        return float(self.row[column]) if self.row[column] else None


with (Path(__file__).parent / "trade" / "judgement_cases.csv").open(encoding="utf-8") as file:
    CASES = [TradeCase(row) for row in csv.DictReader(file)]


def decision_of(judgement: Judgement) -> str:
    if judgement.priority is Priority.WATCH:
        return "watch_recheck" if judgement.treatments else "leave"
    return {
        Priority.BEFORE_LAUNCH: "repair_before_launch",
        Priority.THIS_SEASON: "repair_this_season",
        Priority.NEXT_LAYUP: "next_layup",
    }[judgement.priority]


def in_all(agrees: Callable[[TradeCase, str], bool]) -> int:
    return sum(agrees(case, decision_of(case.judge())) for case in CASES)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.row["case_id"])
def test_no_case_that_must_be_done_before_launch_comes_out_lower(case: TradeCase) -> None:
    judgement = case.judge()
    if case.decision == "repair_before_launch":
        assert judgement.priority is Priority.BEFORE_LAUNCH, judgement.trace
    least_pressing = max(URGENCY[WAITS_NO_LONGER_THAN[decision]] for decision in case.defensible)
    assert URGENCY[judgement.priority] <= least_pressing, judgement.trace


def test_the_rules_agree_with_as_many_cases_as_is_said() -> None:
    assert len(CASES) == 25
    assert in_all(lambda case, got: got == case.decision) == CASES_IN_AGREEMENT
    assert in_all(lambda case, got: got in case.defensible) == 25


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.row["case_id"])
def test_the_operation_that_the_trade_suggests_is_among_the_advised_ones(case: TradeCase) -> None:
    advised = case.judge().treatments
    if decision_of(case.judge()) == "leave":
        assert advised == ()
    else:
        assert case.row["suggested_treatment"] in advised
