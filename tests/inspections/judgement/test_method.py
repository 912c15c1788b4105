"""The worked examples of the method's page: the page must hold each figure, and the code must find it."""

from dataclasses import replace
from datetime import date
from math import log
from pathlib import Path

import pytest

import inspections.judgement
from inspections.judgement.assess import work_out
from inspections.judgement.case import Case
from inspections.judgement.facts import EarlierLook, FindingFacts
from inspections.judgement.rules import load_rules
from inspections.judgement.vocabulary import Answer, Load, Moves, Priority, Seal, Sides, Trend, Water
from tests.inspections.judgement.builders import SEEN_ON, YARD, stock_classes, stock_signs

PAGE = " ".join((Path(inspections.judgement.__file__).parent / "METHOD.md").read_text(encoding="utf-8").split())
AT_INDEX_50 = replace(YARD, scheffer_index=50.0)
BITT = FindingFacts(
    observed_on=SEEN_ON,
    signs=(stock_signs()["CRACK_BOTH_SIDES"],),
    size_mm=120,
    sides=Sides.BOTH,
    water=Water.RAIN,
    load=Load.CYCLIC,
    seal=Seal.OPEN,
    moves=Moves.NO,
    trend=Trend.NEW,
    in_load_path=True,
)
STEADY = replace(BITT, signs=(stock_signs()["CRACK_WOOD"],), load=Load.STATIC, trend=Trend.UNKNOWN, size_mm=None)


def worked_out(finding: FindingFacts, component_class: str = "BOWSPRIT") -> Case:
    component = replace(stock_classes()[component_class], durability_class=3)
    return work_out(finding, component, AT_INDEX_50, SEEN_ON, load_rules())


def said(text: str) -> None:
    assert text in PAGE, text


def test_the_bitt_s_chain() -> None:
    line = worked_out(BITT).deciding
    said("2.304 a year in each of three stages")
    assert pytest.approx(2.304) == 1.2 * 2.4 * 0.5 * 1.6
    assert line.likelihood.told == ("split_runs 2.3 a year (3 stages): 0.13 in 0.54 years",)
    said("Until 15 October it is 0.539 years")
    assert worked_out(BITT).around.season_years == pytest.approx(0.539, abs=0.0005)
    said("The probability is 0.130: level B")
    assert line.likelihood.probability == pytest.approx(0.130, abs=0.0005)
    assert line.level == "B"


def test_the_bitt_s_probability_by_hand() -> None:
    """Three equal stages are an Erlang distribution: 1 − e^(−x)(1 + x + x²/2), from any textbook."""
    x = 2.304 * worked_out(BITT).around.season_years
    by_hand = 1 - 2.718281828459045**-x * (1 + x + x * x / 2)
    assert worked_out(BITT).deciding.likelihood.probability == pytest.approx(by_hand, rel=1e-9)


def test_the_bitt_s_risk_and_day() -> None:
    case = worked_out(BITT)
    said("1B is high: before launch")
    assert (case.deciding.severity, case.deciding.risk, case.pressing.priority) == (
        1,
        "high",
        Priority.BEFORE_LAUNCH,
    )
    said("PF is 0.478 years, n = ln(0.0001) / ln(1 − 0.8) = 5.72, so a look every 1.0 months")
    assert case.deciding.likelihood.pf_years == pytest.approx(0.478, abs=0.0005)
    assert case.deciding.looks == pytest.approx(log(0.0001) / log(1 - 0.8))
    assert case.deciding.looks == pytest.approx(5.72, abs=0.005)
    assert case.deciding.look_every_years * 12 == pytest.approx(1.0, abs=0.05)
    said("put it right by Friday 30 April")
    assert case.due.on == date(2027, 4, 30)


@pytest.mark.parametrize(
    ("text", "now_mm", "before_mm", "trend", "probability", "level"),
    [
        ("probability 0.082: level C", 90, 60, Trend.UNKNOWN, 0.082, "C"),
        ("whether it grew, it is 0.0044: level D", None, None, Trend.UNKNOWN, 0.0044, "D"),
        ("Measured and not grown it is 0.0001: level E", 60, 60, Trend.UNKNOWN, 0.0001, "E"),
    ],
)
def test_measured_growth(
    text: str, now_mm: float | None, before_mm: float | None, trend: Trend, probability: float, level: str
) -> None:
    said(text)
    earlier = () if before_mm is None else (EarlierLook(date(2026, 4, 1), before_mm),)
    finding = replace(STEADY, size_mm=now_mm, earlier=earlier, trend=trend)
    line = worked_out(finding).deciding
    assert line.likelihood.probability == pytest.approx(probability, rel=0.06)
    assert line.level == level


def test_the_rate_after_measuring() -> None:
    said("(0.5 + 2) / (0.5 / 1.5 + 0.999) = 1.876 a year")
    assert pytest.approx(1.876, abs=0.0005) == (0.5 + 2) / (0.5 / 1.5 + 0.999)
    finding = replace(STEADY, size_mm=90, earlier=(EarlierLook(date(2026, 4, 1), 60),))
    assert "1.5 a year by the table, 1.88 with 30 mm" in worked_out(finding).deciding.likelihood.told[0]


@pytest.mark.parametrize(
    ("text", "months", "probability", "level", "priority"),
    [
        (
            "At 60 months the probability within a season is 0.001: E, and planned",
            60,
            0.001,
            "E",
            Priority.NEXT_LAYUP,
        ),
        ("At 72 months it is 0.0018: D", 72, 0.0018, "D", Priority.BEFORE_LAUNCH),
        ("At 90 months it is 0.0038", 90, 0.0038, "D", Priority.BEFORE_LAUNCH),
        ("never seen 0.034: C", None, 0.034, "C", Priority.BEFORE_LAUNCH),
    ],
)
def test_the_mast_step(text: str, months: float | None, probability: float, level: str, priority: Priority) -> None:
    said(text)
    finding = FindingFacts(SEEN_ON, answer=Answer.NOT_SEEN, unseen_months=months)
    case = worked_out(finding, "MAST_STEP")
    assert case.deciding.likelihood.probability == pytest.approx(probability, rel=0.02)
    assert (case.deciding.level, case.pressing.priority) == (level, priority)


def test_the_figures_of_the_page_are_those_of_the_rules() -> None:
    rules = load_rules()
    bands = dict(rules.progression.bands)
    said(f"A from {bands['A']}, B from {bands['B']}, C from {bands['C']}, D from {bands['D']}, E below")
    said(f"stages run through ({rules.growth.mm_per_stage:g} mm each)")
    said("for half a year at least")
    assert rules.progression.least_season_years == 0.5
    said("closed for three intervals")
    assert rules.progression.never_seen_caps == 3
    said("afloat none sooner than a fortnight")
    assert rules.looks.least_days == 14
    said("within which one place in ten would have failed")
    assert rules.looks.pf_quantile == 0.1
