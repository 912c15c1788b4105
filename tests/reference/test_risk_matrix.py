"""The 24 cells of the risk matrix.

Source: `planning/risk_matrix.csv`, MIL-STD-882E (US Department of Defense, 11 May 2012), Table III; all cells were
read in a text extract of the table, and the values of MIL-STD-882D, Table A-III, give the same levels.
"""

import csv
import doctest
from pathlib import Path

import pytest

from inspections.judgement import risk
from inspections.judgement.risk import RISK_RANK, risk_level, risk_matrix
from inspections.judgement.vocabulary import RiskLevel
from yard.refusals import Refused

with (Path(__file__).parent / "planning" / "risk_matrix.csv").open(encoding="utf-8") as file:
    CELLS = list(csv.DictReader(file))


@pytest.mark.parametrize("cell", CELLS, ids=lambda cell: cell["code"])
def test_the_cell_is_the_published_one(cell: dict[str, str]) -> None:
    category, level = cell["severity_category"], cell["probability_level"]
    assert risk_level(int(category), level).value == cell["risk_level"].lower()
    assert risk_level(category, level) is risk_level(int(category), level)


def test_there_are_24_cells_and_no_other() -> None:
    assert len(CELLS) == 24
    assert set(risk_matrix()) == {(int(cell["severity_category"]), cell["probability_level"]) for cell in CELLS}


def test_the_levels_follow_the_order_of_the_older_standard_s_values() -> None:
    valued = [
        (int(cell["mil_std_882d_value"]), RiskLevel(cell["risk_level"].lower()))
        for cell in CELLS
        if cell["mil_std_882d_value"]
    ]
    ranks = [RISK_RANK[level] for _, level in sorted(valued)]
    assert len(ranks) == 20
    assert ranks == sorted(ranks)


@pytest.mark.parametrize(
    ("severity", "level", "field"),
    [(0, "A", "severity"), (5, "A", "severity"), ("two", "A", "severity"), (1, "G", "probability_level")],
)
def test_what_the_standard_does_not_have_is_refused(severity: int | str, level: str, field: str) -> None:
    with pytest.raises(Refused) as refusal:
        risk_level(severity, level)
    assert refusal.value.field == field
    assert refusal.value.remedy


def test_the_examples_in_the_docstring_hold() -> None:
    failed, tried = doctest.testmod(risk)
    assert (failed, tried) == (0, 2)
