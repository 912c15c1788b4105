"""The rule data: complete, with sources, and a yard's own figures laid over it."""

import ast
import csv
import json
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any

import pytest

import inspections.judgement
from inspections.judgement.facts import EarlierLook, FindingFacts
from inspections.judgement.rules import DEFAULT_RULES, load_rules
from inspections.judgement.vocabulary import Condition, Load, Moves, SafetyRole, Trend, Water
from tests.inspections.judgement.builders import SEEN_ON, a_finding, judged, stock_classes, stock_signs
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
    multipliers = rules.progression.multipliers
    assert set(multipliers.water_on_wood) == set(rules.worst_water) == set(Water) - {Water.UNKNOWN}
    assert set(multipliers.load_on_wood) == set(rules.worst_load) == set(Load)
    assert set(multipliers.moves) == set(Moves)
    assert set(multipliers.trend) == set(Trend)
    assert set(rules.severity_by_role) == set(SafetyRole)
    assert set(rules.conditions) == set(rules.condition_rank) == set(rules.progression.ways) == set(Condition)


# where standing and immersed wood, or splash and rain, are in no common chain they need no order
RISING = {
    "water": ("water_on_wood", "water_on_metal", "water_through", "water_in_split"),
    "load": ("load_on_wood", "load_on_metal"),
    "seal": ("seal",),
    "moves": ("moves", "movement_seen"),
    "trend": ("trend", "growth_seen"),
    "safety_role": ("leak_matters",),
}


@pytest.mark.parametrize("order", RISING)
def test_what_is_worse_never_slows_a_step_down(order: str) -> None:
    rules = load_rules()
    for name in RISING[order]:
        table = getattr(rules.progression.multipliers, name)
        for chain in rules.orders[order]:
            values = [table[word] for word in chain]
            assert values == sorted(values), (name, chain)


def test_every_multiplier_of_words_has_an_order() -> None:
    ordered = {name for names in RISING.values() for name in names}
    tables = load_rules().progression.multipliers
    by_word = {
        name
        for name in tables.__dataclass_fields__
        if isinstance(getattr(tables, name), Mapping) and name != "durability"
    }
    assert by_word == ordered
    durability = [tables.durability[number] for number in (1, 2, 3, 4, 5)]
    assert durability == sorted(durability)


def test_our_bands_are_named_a_deviation_with_the_standard_s_beside_them() -> None:
    bands = DATA["progression"]["bands"]
    with (Path(__file__).parents[2] / "reference" / "planning" / "risk_scales.csv").open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["scale"] == "probability" and row["code"] != "F"]
    assert {row["code"]: float(row["lower_bound_in_life"]) for row in rows} == bands["standard"]
    assert "deviation" in bands["source"]
    assert bands["shown_from"] == 1e-4


def rate_of(step: str, rate: Any) -> dict[str, Any]:
    return {"progression": {"steps": {step: {"rate_per_year": rate}}}}


def test_a_yard_lays_its_own_figures_over_the_tables_and_the_version_tells() -> None:
    own = load_rules(overrides={"moisture": {"wet_pct": 18}, "severity": {"by_role": {"anchoring": 2}}})
    assert own.moisture.wet_pct == 18
    assert own.moisture.contrast_points == load_rules().moisture.contrast_points
    assert own.severity_by_role[SafetyRole.ANCHORING] == 2
    assert own.version.startswith("2+")
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
        ({"version": "3"}, "rules.version"),
        ({"severity": {"by_role": {"rig": 0}}}, "severity.by_role.rig"),
        ({"conditions": {"decay": {"for": ["a hunch"]}}}, "conditions.decay.for"),
        (rate_of("split_runs", 0), "progression.steps.split_runs.rate_per_year"),
        (rate_of("split_runs", -1), "progression.steps.split_runs.rate_per_year"),
        (rate_of("split_runs", "fast"), "rules.progression.steps.split_runs.rate_per_year"),
        ({"progression": {"steps": {"split_runs": {"stages": 0}}}}, "progression.steps.split_runs.stages"),
        ({"progression": {"steps": {"split_runs": {"stages": 1.5}}}}, "progression.steps.split_runs.stages"),
        ({"progression": {"steps": {"split_runs": {"times": ["moon"]}}}}, "progression.steps.split_runs.times"),
        ({"progression": {"ways": {"decay": [["moonlight"]]}}}, "progression.ways.decay"),
        ({"progression": {"bands": {"C": 0.5}}}, "progression.bands"),
        ({"progression": {"multipliers": {"trend": {"grown": 0}}}}, "progression.multipliers.trend.grown"),
        ({"progression": {"multipliers": {"salt": 0.5}}}, "progression.multipliers.salt"),
        ({"progression": {"unseen": {"at_the_cap": 1}}}, "progression.unseen.at_the_cap"),
        (
            {"signs": {"multipliers": {"CRACK_WOOD": {"split_runs": 0.5}}}},
            "signs.multipliers.CRACK_WOOD.split_runs",
        ),
        ({"signs": {"multipliers": {"CRACK_WOOD": {"moonlight": 2}}}}, "signs.multipliers.CRACK_WOOD"),
        ({"progression": {"steps": {"leak_runs": {"times": "trend"}}}}, "rules.progression.steps.leak_runs.times"),
        ({"conditions": {"decay": {"structural": 1}}}, "rules.conditions.decay.structural"),
        ({"conditions": {"decay": {"for": [["grown"]]}}}, "conditions.decay.for"),
        ({"treatments": {"rows": [7]}}, "rules"),
        ({"signs": {"conclusive": {"CRACK_WOOD": 3}}}, "rules"),
        ({"progression": {"multipliers": {"trend": {"grown": 1e9}}}}, "progression.multipliers.trend.grown"),
        ({"progression": {"steps": {"split_runs": {"stages": 13}}}}, "progression.steps.split_runs.stages"),
        ({"progression": {"steps": {"decay_starts": {"stages": 10}}}}, "progression.ways.finish_only"),
        ({"moisture": {"read_again_days": 10**12}}, "moisture.read_again_days"),
        ({"due_back": {"least_days": 10**12}}, "due_back.least_days"),
        ({"unknown": {"durability_class": 6}}, "unknown.durability_class"),
        ({"growth": {"mm_per_stage": 1e-9}}, "growth.mm_per_stage"),
        ({"severity": {"loss_limits": {"2": 1}}}, "severity.loss_limits"),
        ({"severity": {"loss_by_class": {"STEM": -1}}}, "severity.loss_by_class.STEM"),
        ({"due_back": {"acceptable": {"1": 0.5}}}, "due_back.acceptable"),
        ({"due_back": {"one_look_sees": {"decay": 1}}}, "due_back.one_look_sees.decay"),
        ({"due_back": {"pf_quantile": 0}}, "due_back.pf_quantile"),
        ({"treatments": {"rows": [{"treatment": "X", "phase": "later"}]}}, "treatments.X.phase"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_overrides_that_make_no_sense_are_refused(overrides: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        load_rules(overrides=overrides)
    assert refusal.value.field == field
    assert refusal.value.remedy


@pytest.mark.parametrize("factor", [1e-6, 1e6])
def test_the_most_extreme_figures_that_are_taken_still_judge(factor: float) -> None:
    """A slip of the pen in one figure must not stop a yard's night."""
    tables = DATA["progression"]["multipliers"]
    steps = {
        name: {"rate_per_year": 1000 if factor > 1 else 1e-6}
        for name in DATA["progression"]["steps"]
        if name != "source"
    }
    multipliers = {
        name: dict.fromkeys(table, factor)
        for name, table in tables.items()
        if isinstance(table, dict) and name not in ("climate", "leak_matters")
    }
    own = load_rules(overrides={"progression": {"steps": steps, "multipliers": multipliers}})
    for code, component in stock_classes().items():
        for sign in stock_signs().values():
            finding = FindingFacts(
                SEEN_ON, signs=(sign,), size_mm=100_000, earlier=(EarlierLook(date(2027, 3, 31), 0.0),)
            )
            assert judged(finding, component, rules=own).reasons, (code, sign.code)


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
