"""The rule data: complete, with sources, and a yard's own figures laid over it."""

import ast
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import inspections.judgement
from inspections.judgement.rules import DEFAULT_RULES, load_rules
from inspections.judgement.vocabulary import Condition, Load, Moves, SafetyRole, Trend, Water
from tests.inspections.judgement.builders import a_finding, judged, stock_classes, stock_signs
from yard.refusals import Refused

PACKAGE = Path(inspections.judgement.__file__).parent
MODULES = sorted(PACKAGE.rglob("*.py"))
DATA: dict[str, Any] = json.loads(DEFAULT_RULES.read_text(encoding="utf-8"))


def test_rules_are_read_once() -> None:
    assert load_rules() is load_rules()
    assert load_rules(overrides={}) is load_rules()


@pytest.mark.parametrize("table", [name for name, value in DATA.items() if isinstance(value, dict)])
def test_every_table_says_where_it_is_from(table: str) -> None:
    sources = [value for name, value in DATA[table].items() if name.endswith("source")]
    assert sources
    for source in sources:
        assert len(source) > 20


def test_the_tables_leave_no_word_out() -> None:
    rules = load_rules()
    assert set(rules.water_step) == set(Water) - {Water.UNKNOWN}
    assert set(rules.worst_water) == set(Water) - {Water.UNKNOWN}
    assert set(rules.load_step) == set(rules.worst_load) == set(Load)
    assert set(rules.moves_step) == set(Moves)
    assert set(rules.trend_step) == set(Trend)
    assert set(rules.severity_by_role) == set(SafetyRole)
    assert set(rules.conditions) == set(rules.condition_rank) == set(Condition)


def test_the_orders_agree_with_the_steps() -> None:
    rules = load_rules()
    steps: dict[str, Any] = {
        "water": rules.water_step,
        "load": rules.load_step,
        "moves": rules.moves_step,
        "trend": rules.trend_step,
    }
    for name, table in steps.items():
        for chain in rules.orders[name]:
            values = [table[word] for word in chain]
            assert values == sorted(values), (name, chain)


def test_a_yard_lays_its_own_figures_over_the_tables_and_the_version_tells() -> None:
    own = load_rules(overrides={"moisture": {"wet_pct": 18}, "severity": {"by_role": {"anchoring": 2}}})
    assert own.moisture.wet_pct == 18
    assert own.moisture.contrast_points == load_rules().moisture.contrast_points
    assert own.severity_by_role[SafetyRole.ANCHORING] == 2
    assert own.version.startswith("1+")
    assert own.version != load_rules(overrides={"moisture": {"wet_pct": 19}}).version
    judgement = judged(a_finding(safety_role="anchoring"), rules=own)
    assert (judgement.severity, judgement.rules_version) == (2, own.version)


def test_the_version_does_not_depend_on_how_the_overrides_are_written() -> None:
    one = load_rules(overrides={"moisture": {"wet_pct": 18}, "growth": {"grown_mm": 4}})
    other = load_rules(overrides={"growth": {"grown_mm": 4}, "moisture": {"wet_pct": 18}})
    assert one is other


def test_a_yard_s_own_sign_can_be_beyond_doubt() -> None:
    own = load_rules(overrides={"signs": {"conclusive": {"SMELLS_SWEET": ["decay"]}}})
    assert own.conclusive["SMELLS_SWEET"] == {Condition.DECAY}


@pytest.mark.parametrize(
    ("overrides", "field"),
    [
        ({"weather": {}}, "rules.weather"),
        ({"moisture": {"wet_pint": 18}}, "rules.moisture.wet_pint"),
        ({"moisture": 18}, "rules.moisture"),
        ({"moisture": {"wet_pct": {"at": 18}}}, "rules.moisture.wet_pct"),
        ({"version": "2"}, "rules.version"),
        ({"severity": {"by_role": {"rig": 0}}}, "severity.by_role"),
        ({"conditions": {"decay": {"base": "Z"}}}, "conditions.decay.base"),
        ({"conditions": {"decay": {"for": ["a hunch"]}}}, "conditions.decay.for"),
        ({"conditions": {"decay": {"steps": ["moon"]}}}, "conditions.decay.steps"),
        ({"steps": {"unseen": {"bands": [[1, "D"], [0, "E"]]}}}, "steps.unseen.bands"),
        ({"due_back": {"watch_share_of_recheck": 0}}, "due_back.watch_share_of_recheck"),
        ({"treatments": {"rows": [{"treatment": "X", "phase": "later"}]}}, "treatments.X.phase"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_overrides_that_make_no_sense_are_refused(overrides: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        load_rules(overrides=overrides)
    assert refusal.value.field == field
    assert refusal.value.remedy


def words_in(module: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value


@pytest.mark.parametrize("module", MODULES, ids=lambda module: str(module.relative_to(PACKAGE)))
def test_no_code_of_a_sign_or_class_stands_outside_the_rule_data(module: Path) -> None:
    assert not set(words_in(module)) & {*stock_signs(), *stock_classes()}


@pytest.mark.parametrize("module", MODULES, ids=lambda module: str(module.relative_to(PACKAGE)))
def test_no_database_no_web_and_no_clock(module: Path) -> None:
    tree = ast.parse(module.read_text(encoding="utf-8"))
    imported = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    imported |= {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert not {name.split(".")[0] for name in imported} & {
        "django",
        "rest_framework",
        "celery",
        "time",
        "requests",
    }
    called = {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
    assert not called & {"today", "now", "utcnow"}
