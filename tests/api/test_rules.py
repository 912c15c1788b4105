"""The rules a yard judges by, over the API."""

from typing import Any

import pytest

from tests.api.callers import Caller, problem_of

pytestmark = pytest.mark.django_db

OWN: dict[str, Any] = {"moisture": {"wet_pct": 18}}


def test_the_stock_rules_are_told_with_their_sources(technician: Caller) -> None:
    told = technician.get("rules/").json()
    assert told["version"] == told["stock"]["version"]
    assert told["own"] is None
    assert "source" in told["stock"]["progression"]


def test_a_manager_adopts_figures_and_everybody_reads_them(manager: Caller, technician: Caller) -> None:
    answer = manager.post("rules/", {"overrides": OWN, "why": "Our wood is pine."})
    assert answer.status_code == 201
    told = technician.get("rules/").json()
    assert told["own"]["overrides"] == OWN
    assert told["own"]["why"] == "Our wood is pine."
    assert told["version"].startswith(f"{told['stock']['version']}+")
    assert told["stock"]["moisture"]["wet_pct"] == 20


@pytest.mark.parametrize(
    ("overrides", "field"),
    [
        ({"moisture": {"wet_pint": 1}}, "rules.moisture.wet_pint"),
        ({"moisture": {"wet_pct": "wet"}}, "rules.moisture.wet_pct"),
        ({"treatments": {"rows": [{}]}}, "rules"),
    ],
)
def test_what_makes_no_sense_is_refused_by_its_name(manager: Caller, overrides: dict[str, Any], field: str) -> None:
    problem = problem_of(manager.post("rules/", {"overrides": overrides, "why": "To see."}), 422)
    assert [error["field"] for error in problem["errors"]] == [field]
    assert manager.get("rules/").json()["own"] is None


def test_a_technician_may_not_set_them(technician: Caller) -> None:
    problem_of(technician.post("rules/", {"overrides": {}, "why": "To see."}), 403)
