"""The rule data as frozen tables, and the door that refuses data which make no sense."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, TypeVar

from inspections.judgement.evidence import Evidence
from inspections.judgement.vocabulary import (
    Condition,
    Contact,
    Load,
    Moves,
    Priority,
    RiskLevel,
    SafetyRole,
    Seal,
    Trend,
    Water,
)
from yard.refusals import Refused

# From never to all the time; F stands apart.
LEVELS = ("E", "D", "C", "B", "A")
ELIMINATED = "F"
SEVERITIES = (1, 2, 3, 4)

Word = TypeVar(
    "Word", Condition, Contact, Load, Moves, Priority, RiskLevel, SafetyRole, Seal, Trend, Water, Evidence
)


@dataclass(frozen=True, slots=True)
class ConditionRule:
    """How one condition is found, how likely it fails, and what drives it on."""

    structural: bool
    base: str
    speaks_for: frozenset[Evidence]
    speaks_against: frozenset[Evidence]
    follows_from: frozenset[Evidence]
    steps: tuple[str, ...]
    driven_by: frozenset[str]
    driven_priority: Priority


@dataclass(frozen=True, slots=True)
class TreatmentRow:
    """An operation and all that must fit for it to be advised. An empty set fits anything."""

    treatment: str
    phase: int
    conditions: frozenset[Condition]
    unless_conditions: frozenset[Condition]
    signs: frozenset[str]
    classes: frozenset[str]
    unless_classes: frozenset[str]
    contact: frozenset[Contact]
    load: frozenset[Load]
    seal: frozenset[Seal]
    evidence: frozenset[Evidence]


@dataclass(frozen=True, slots=True)
class MoistureRule:
    """Figures for moisture readings, % of dry mass and points of it."""

    wet_pct: float
    soaking_pct: float
    contrast_points: float
    same_points: float
    read_again_days: int


@dataclass(frozen=True, slots=True)
class GrowthRule:
    """From where on two measured sizes, mm, tell growth."""

    grown_mm: float
    grown_fraction: float
    smallest_mm: float


@dataclass(frozen=True, slots=True)
class Rules:
    """One edition of the rule data."""

    version: str
    orders: Mapping[str, tuple[tuple[str, ...], ...]]
    worst_water: Mapping[Water, int]
    worst_load: Mapping[Load, int]
    moisture: MoistureRule
    growth: GrowthRule
    reaching_water: frozenset[Water]
    working_load: frozenset[Load]
    conclusive: Mapping[str, frozenset[Condition]]
    contradicting: tuple[frozenset[str], ...]
    sign_steps: Mapping[str, Mapping[Condition, int]]
    conditions: Mapping[Condition, ConditionRule]
    condition_rank: Mapping[Condition, int]
    water_step: Mapping[Water, int]
    load_step: Mapping[Load, int]
    moves_step: Mapping[Moves, int]
    movement_seen_step: Mapping[Moves, int]
    trend_step: Mapping[Trend, int]
    growth_seen_step: Mapping[Trend, int]
    measured_still_step: int
    soaking_step: int
    unseen_bands: tuple[tuple[float, str], ...]
    never_seen_level: str
    severity_by_role: Mapping[SafetyRole, int]
    graver_in_water: Mapping[SafetyRole, frozenset[Water]]
    graver_in_loaded_path: frozenset[Load]
    urgent: frozenset[RiskLevel]
    may_wait_unloaded_from: int
    may_be_left_from: int
    watch_share_of_recheck: float
    watch_treatment: str
    read_again_treatment: str
    treatments: tuple[TreatmentRow, ...]


STEP_TABLES = frozenset(
    {"water", "load", "moves", "movement_seen", "trend", "growth_seen", "measured_still", "soaking", "unseen"}
)


def tables_of(data: Mapping[str, Any]) -> Rules:
    """Read the rule data.

    Raises:
        Refused: an unknown word, a level or category that is none, a condition or role left out.
    """
    steps = data["steps"]
    bands = tuple((float(share), _level("steps.unseen", level)) for share, level in steps["unseen"]["bands"])
    if [share for share, _ in bands] != sorted({share for share, _ in bands}) or not bands or bands[0][0] != 0:
        raise Refused(
            "steps.unseen.bands", "the bands do not rise from 0", "start at share 0 and let each be larger"
        )
    order = data["orders"]["condition"][0]
    condition_rank = {_word("orders.condition", name, Condition): rank for rank, name in enumerate(order)}
    conditions = {condition: _condition(condition, data) for condition in Condition}
    _complete("orders.condition", condition_rank, Condition)
    priority = data["priority"]
    return Rules(
        version=str(data["version"]),
        orders=MappingProxyType(
            {
                name: tuple(tuple(chain) for chain in chains)
                for name, chains in data["orders"].items()
                if name != "source"
            }
        ),
        worst_water=_ranks("unknown.water", data["unknown"]["water"], Water),
        worst_load=_ranks("unknown.load", data["unknown"]["load"], Load),
        moisture=MoistureRule(
            wet_pct=float(data["moisture"]["wet_pct"]),
            soaking_pct=float(data["moisture"]["soaking_pct"]),
            contrast_points=float(data["moisture"]["contrast_points"]),
            same_points=float(data["moisture"]["same_points"]),
            read_again_days=int(data["moisture"]["read_again_days"]),
        ),
        growth=GrowthRule(
            grown_mm=float(data["growth"]["grown_mm"]),
            grown_fraction=float(data["growth"]["grown_fraction"]),
            smallest_mm=float(data["growth"]["smallest_mm"]),
        ),
        reaching_water=_set("reach.water", data["reach"]["water"], Water),
        working_load=_set("reach.load", data["reach"]["load"], Load),
        conclusive=MappingProxyType(
            {
                sign: _set(f"signs.conclusive.{sign}", names, Condition)
                for sign, names in data["signs"]["conclusive"].items()
            }
        ),
        contradicting=tuple(frozenset(pair) for pair in data["signs"]["contradicting"]),
        sign_steps=MappingProxyType(
            {
                sign: _levels(f"signs.steps.{sign}", table, Condition)
                for sign, table in data["signs"]["steps"].items()
            }
        ),
        conditions=MappingProxyType(conditions),
        condition_rank=MappingProxyType(condition_rank),
        water_step=_levels("steps.water", steps["water"], Water),
        load_step=_levels("steps.load", steps["load"], Load),
        moves_step=_levels("steps.moves", steps["moves"], Moves),
        movement_seen_step=_levels("steps.movement_seen", steps["movement_seen"], Moves),
        trend_step=_levels("steps.trend", steps["trend"], Trend),
        growth_seen_step=_levels("steps.growth_seen", steps["growth_seen"], Trend),
        measured_still_step=int(steps["measured_still"]),
        soaking_step=int(steps["soaking"]),
        unseen_bands=bands,
        never_seen_level=_level("steps.unseen.never_seen", steps["unseen"]["never_seen"]),
        severity_by_role=_severities(data["severity"]["by_role"]),
        graver_in_water=MappingProxyType(
            {
                _word("severity.graver_in_water", role, SafetyRole): _set("severity.graver_in_water", waters, Water)
                for role, waters in data["severity"]["graver_in_water"].items()
            }
        ),
        graver_in_loaded_path=_set(
            "severity.graver_in_loaded_path", data["severity"]["graver_in_loaded_path"], Load
        ),
        urgent=_set("priority.urgent", priority["urgent"], RiskLevel),
        may_wait_unloaded_from=_severity(
            "priority.least_severity_that_may_wait_unloaded", priority["least_severity_that_may_wait_unloaded"]
        ),
        may_be_left_from=_severity(
            "priority.least_severity_that_may_be_left", priority["least_severity_that_may_be_left"]
        ),
        watch_share_of_recheck=_share(
            "due_back.watch_share_of_recheck", data["due_back"]["watch_share_of_recheck"]
        ),
        watch_treatment=str(data["treatments"]["watch"]),
        read_again_treatment=str(data["treatments"]["read_again"]),
        treatments=tuple(_treatment(row, data["treatments"]["phases"]) for row in data["treatments"]["rows"]),
    )


def _condition(condition: Condition, data: Mapping[str, Any]) -> ConditionRule:
    field = f"conditions.{condition}"
    rule = data["conditions"].get(condition.value)
    if rule is None:
        raise Refused(field, "the condition has no rule", "give it one")
    unknown = set(rule["steps"]) - STEP_TABLES
    if unknown:
        raise Refused(
            f"{field}.steps", f"no such table: {', '.join(sorted(unknown))}", f"use {sorted(STEP_TABLES)}"
        )
    return ConditionRule(
        structural=bool(rule["structural"]),
        base=rule["base"] if rule["base"] == ELIMINATED else _level(f"{field}.base", rule["base"]),
        speaks_for=_set(f"{field}.for", rule["for"], Evidence),
        speaks_against=_set(f"{field}.against", rule["against"], Evidence),
        follows_from=_set(f"follows.{condition}", data["follows"].get(condition.value, ()), Evidence),
        steps=tuple(rule["steps"]),
        driven_by=frozenset(rule["driven_by"]),
        driven_priority=_word(f"{field}.driven_priority", rule["driven_priority"], Priority),
    )


def _treatment(row: Mapping[str, Any], phases: list[str]) -> TreatmentRow:
    field = f"treatments.{row.get('treatment', '?')}"
    if row["phase"] not in phases:
        raise Refused(f"{field}.phase", f"{row['phase']!r} is no phase", f"give one of: {', '.join(phases)}")
    return TreatmentRow(
        treatment=str(row["treatment"]),
        phase=phases.index(row["phase"]),
        conditions=_set(f"{field}.conditions", row.get("conditions", ()), Condition),
        unless_conditions=_set(f"{field}.unless_conditions", row.get("unless_conditions", ()), Condition),
        signs=frozenset(row.get("signs", ())),
        classes=frozenset(row.get("classes", ())),
        unless_classes=frozenset(row.get("unless_classes", ())),
        contact=_set(f"{field}.contact", row.get("contact", ()), Contact),
        load=_set(f"{field}.load", row.get("load", ()), Load),
        seal=_set(f"{field}.seal", row.get("seal", ()), Seal),
        evidence=_set(f"{field}.evidence", row.get("evidence", ()), Evidence),
    )


def _word(field: str, value: str, vocabulary: type[Word]) -> Word:
    try:
        return vocabulary(value)
    except ValueError as unknown:
        known = ", ".join(member.value for member in vocabulary)
        raise Refused(field, f"{value!r} is not known", f"give one of: {known}") from unknown


def _set(field: str, values: Any, vocabulary: type[Word]) -> frozenset[Word]:
    return frozenset(_word(field, value, vocabulary) for value in values)


def _ranks(field: str, values: Any, vocabulary: type[Word]) -> Mapping[Word, int]:
    return MappingProxyType({_word(field, value, vocabulary): rank for rank, value in enumerate(values)})


def _levels(field: str, table: Mapping[str, Any], vocabulary: type[Word]) -> Mapping[Word, int]:
    return MappingProxyType(
        {_word(field, value, vocabulary): int(step) for value, step in table.items() if value != "source"}
    )


def _level(field: str, value: str) -> str:
    if value not in LEVELS:
        raise Refused(field, f"{value!r} is no likelihood level", "give a letter from A to E")
    return value


def _severity(field: str, value: int) -> int:
    if value not in SEVERITIES:
        raise Refused(field, f"{value!r} is no severity", "give 1 (catastrophic) to 4 (negligible)")
    return value


def _severities(table: Mapping[str, int]) -> Mapping[SafetyRole, int]:
    found = {
        _word("severity.by_role", role, SafetyRole): _severity("severity.by_role", severity)
        for role, severity in table.items()
    }
    _complete("severity.by_role", found, SafetyRole)
    return MappingProxyType(found)


def _share(field: str, value: Any) -> float:
    share = float(value)
    if not 0 < share <= 1:
        raise Refused(field, f"{share:g} is no share of an interval", "give more than 0 and at most 1")
    return share


def _complete(field: str, table: Mapping[Word, object], vocabulary: type[Word]) -> None:
    missing = [member.value for member in vocabulary if member not in table]
    if missing:
        raise Refused(field, f"nothing is said of {', '.join(missing)}", "name each of them")


__all__ = [
    "ELIMINATED",
    "LEVELS",
    "ConditionRule",
    "GrowthRule",
    "MoistureRule",
    "Rules",
    "TreatmentRow",
    "tables_of",
]
