"""The rule data as frozen tables, and the door that refuses data which make no sense."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from inspections.judgement.evidence import Evidence
from inspections.judgement.rules.progression import Progression, progression_of
from inspections.judgement.rules.reading import (
    ELIMINATED,
    LEVELS,
    SEVERITIES,
    complete,
    count,
    figure,
    positive,
    ranks,
    severity,
    share,
    word,
    word_set,
)
from inspections.judgement.rules.treatment_rows import (
    HoldRow,
    MustNot,
    TreatmentRow,
    hold_row,
    must_not,
    treatment_row,
)
from inspections.judgement.vocabulary import Condition, Load, Priority, RiskLevel, SafetyRole, Water
from yard.refusals import Refused

LARGEST_SUM = 1e12


@dataclass(frozen=True, slots=True)
class ConditionRule:
    """How one condition is found, and what drives it on."""

    structural: bool
    speaks_for: frozenset[Evidence]
    speaks_against: frozenset[Evidence]
    follows_from: frozenset[Evidence]
    driven_by: frozenset[str]
    driven_priority: Priority


@dataclass(frozen=True, slots=True)
class DryingRule:
    """What is taken of wood that is to dry: moisture to be reached, thickness, and the air of a heated shed."""

    target_pct: float
    thickness_mm: float
    shed_temperature_c: float
    shed_humidity_pct: float


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
    """From where on two measured sizes, mm, tell growth, and how much of it counts as a stage of the chain.

    Args:
        certainty: shape of the gamma prior on a rate that measured sizes update.
    """

    grown_mm: float
    grown_fraction: float
    smallest_mm: float
    mm_per_stage: float
    certainty: float


@dataclass(frozen=True, slots=True)
class LearningRule:
    """How far a yard's own rechecks update the rates.

    Args:
        certainty: shape of the gamma prior on a rate, as if so many transitions had been seen.
        least_observations: with fewer rechecks the table's rate stands.
        interval: share of the belief that the interval shown holds.
    """

    certainty: float
    least_observations: int
    interval: float


@dataclass(frozen=True, slots=True)
class LookRule:
    """Intervals of looks: PF/n.

    Args:
        pf_quantile: PF is the time within which this share of such places would have failed.
        acceptable: by severity, the probability of missing it that is accepted.
        one_look_sees: by condition, the probability that one look sees it.
        least_days: between two looks.
    """

    pf_quantile: float
    acceptable: Mapping[int, float]
    one_look_sees: Mapping[Condition, float]
    least_days: int


@dataclass(frozen=True, slots=True)
class Rules:
    """One edition of the rule data."""

    version: str
    orders: Mapping[str, tuple[tuple[str, ...], ...]]
    worst_water: Mapping[Water, int]
    worst_load: Mapping[Load, int]
    unknown_durability_class: int
    unknown_scheffer_index: float
    moisture: MoistureRule
    drying: DryingRule
    growth: GrowthRule
    learning: LearningRule
    reaching_water: frozenset[Water]
    working_load: frozenset[Load]
    conclusive: Mapping[str, frozenset[Condition]]
    contradicting: tuple[frozenset[str], ...]
    salt_signs: frozenset[str]
    sign_multipliers: Mapping[str, Mapping[str, float]]
    conditions: Mapping[Condition, ConditionRule]
    condition_rank: Mapping[Condition, int]
    progression: Progression
    severity_by_role: Mapping[SafetyRole, int]
    severity_by_loss: Mapping[str, int]
    graver_in_water: Mapping[SafetyRole, frozenset[Water]]
    graver_in_loaded_path: frozenset[Load]
    urgent: frozenset[RiskLevel]
    may_wait_unloaded_from: int
    may_be_left_from: int
    looks: LookRule
    watch_treatment: str
    read_again_treatment: str
    treatments: tuple[TreatmentRow, ...]
    must_not: tuple[MustNot, ...]
    holds: tuple[HoldRow, ...]


def tables_of(data: Mapping[str, Any]) -> Rules:
    """Read the rule data.

    Raises:
        Refused: an unknown word, a level or category that is none, a condition or role left out.
    """
    condition_rank = ranks("telling.conditions", data["telling"]["conditions"], Condition)
    complete("telling.conditions", condition_rank, Condition)
    conditions = {condition: _condition(condition, data) for condition in Condition}
    progression = progression_of(data["progression"])
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
        worst_water=ranks("unknown.water", data["unknown"]["water"], Water),
        worst_load=ranks("unknown.load", data["unknown"]["load"], Load),
        unknown_durability_class=count("unknown.durability_class", data["unknown"]["durability_class"], most=5),
        unknown_scheffer_index=positive("unknown.scheffer_index", data["unknown"]["scheffer_index"]),
        moisture=MoistureRule(
            wet_pct=figure("moisture.wet_pct", data["moisture"]["wet_pct"], most=120),
            soaking_pct=figure("moisture.soaking_pct", data["moisture"]["soaking_pct"], most=120),
            contrast_points=figure("moisture.contrast_points", data["moisture"]["contrast_points"], most=120),
            same_points=figure("moisture.same_points", data["moisture"]["same_points"], most=120),
            read_again_days=count("moisture.read_again_days", data["moisture"]["read_again_days"]),
        ),
        drying=DryingRule(
            target_pct=figure("drying.target_pct", data["drying"]["target_pct"], least=8, most=25),
            thickness_mm=figure("drying.thickness_mm", data["drying"]["thickness_mm"], least=1, most=500),
            shed_temperature_c=figure("drying.shed_temperature_c", data["drying"]["shed_temperature_c"], most=50),
            shed_humidity_pct=figure("drying.shed_humidity_pct", data["drying"]["shed_humidity_pct"], most=100),
        ),
        growth=GrowthRule(
            grown_mm=figure("growth.grown_mm", data["growth"]["grown_mm"]),
            grown_fraction=figure("growth.grown_fraction", data["growth"]["grown_fraction"]),
            smallest_mm=figure("growth.smallest_mm", data["growth"]["smallest_mm"]),
            mm_per_stage=figure("growth.mm_per_stage", data["growth"]["mm_per_stage"], least=1, most=10_000),
            certainty=figure("growth.certainty", data["growth"]["certainty"], least=0.01, most=100),
        ),
        learning=LearningRule(
            certainty=figure("learning.certainty", data["learning"]["certainty"], least=0.01, most=100),
            least_observations=count(
                "learning.least_observations", data["learning"]["least_observations"], most=10_000
            ),
            interval=share("learning.interval", data["learning"]["interval"]),
        ),
        reaching_water=word_set("reach.water", data["reach"]["water"], Water),
        working_load=word_set("reach.load", data["reach"]["load"], Load),
        conclusive=MappingProxyType(
            {
                sign: word_set(f"signs.conclusive.{sign}", names, Condition)
                for sign, names in data["signs"]["conclusive"].items()
            }
        ),
        contradicting=tuple(frozenset(pair) for pair in data["signs"]["contradicting"]),
        salt_signs=frozenset(data["signs"]["salt"]),
        sign_multipliers=_sign_multipliers(data["signs"]["multipliers"], progression),
        conditions=MappingProxyType(conditions),
        condition_rank=condition_rank,
        progression=progression,
        severity_by_role=_severities(data["severity"]["by_role"]),
        severity_by_loss=_severity_by_loss(data["severity"]),
        graver_in_water=MappingProxyType(
            {
                word("severity.graver_in_water", role, SafetyRole): word_set(
                    "severity.graver_in_water", waters, Water
                )
                for role, waters in data["severity"]["graver_in_water"].items()
            }
        ),
        graver_in_loaded_path=word_set(
            "severity.graver_in_loaded_path", data["severity"]["graver_in_loaded_path"], Load
        ),
        urgent=word_set("priority.urgent", priority["urgent"], RiskLevel),
        may_wait_unloaded_from=severity(
            "priority.least_severity_that_may_wait_unloaded", priority["least_severity_that_may_wait_unloaded"]
        ),
        may_be_left_from=severity(
            "priority.least_severity_that_may_be_left", priority["least_severity_that_may_be_left"]
        ),
        looks=_looks(data["due_back"]),
        watch_treatment=str(data["treatments"]["watch"]),
        read_again_treatment=str(data["treatments"]["read_again"]),
        treatments=tuple(treatment_row(row, data["treatments"]["phases"]) for row in data["treatments"]["rows"]),
        must_not=tuple(must_not(row) for row in data["treatments"]["must_not"]),
        holds=tuple(hold_row(row) for row in data["treatments"]["hold"]),
    )


def _condition(condition: Condition, data: Mapping[str, Any]) -> ConditionRule:
    field = f"conditions.{condition}"
    rule = data["conditions"].get(condition.value)
    if rule is None:
        raise Refused(field, "the condition has no rule", "give it one")
    return ConditionRule(
        structural=bool(rule["structural"]),
        speaks_for=word_set(f"{field}.for", rule["for"], Evidence),
        speaks_against=word_set(f"{field}.against", rule["against"], Evidence),
        follows_from=word_set(f"follows.{condition}", data["follows"].get(condition.value, ()), Evidence),
        driven_by=frozenset(rule["driven_by"]),
        driven_priority=word(f"{field}.driven_priority", rule["driven_priority"], Priority),
    )


def _sign_multipliers(data: Mapping[str, Any], progression: Progression) -> Mapping[str, Mapping[str, float]]:
    read: dict[str, Mapping[str, float]] = {}
    for sign, table in data.items():
        field = f"signs.multipliers.{sign}"
        for name in table:
            if name not in progression.steps:
                raise Refused(field, f"no such step: {name}", f"use {sorted(progression.steps)}")
        # One more sign never makes a finding milder.
        read[sign] = MappingProxyType(
            {name: figure(f"{field}.{name}", value, least=1) for name, value in table.items()}
        )
    return MappingProxyType(read)


def _looks(data: Mapping[str, Any]) -> LookRule:
    acceptable = {
        severity("due_back.acceptable", int(category)): share(f"due_back.acceptable.{category}", value)
        for category, value in data["acceptable"].items()
    }
    by_gravity = [acceptable.get(category, 0.0) for category in SEVERITIES]
    if by_gravity != sorted(by_gravity) or 0.0 in by_gravity:
        raise Refused("due_back.acceptable", "it does not rise from 1 to 4", "accept less where the harm is graver")
    sees = {
        word("due_back.one_look_sees", name, Condition): share(f"due_back.one_look_sees.{name}", value)
        for name, value in data["one_look_sees"].items()
    }
    complete("due_back.one_look_sees", sees, Condition)
    return LookRule(
        pf_quantile=share("due_back.pf_quantile", data["pf_quantile"]),
        acceptable=MappingProxyType(acceptable),
        one_look_sees=MappingProxyType(sees),
        least_days=count("due_back.least_days", data["least_days"]),
    )


def _severity_by_loss(data: Mapping[str, Any]) -> Mapping[str, int]:
    """By component class, the category that the cost of its failure falls in by the yard's own limits."""
    limits = {
        int(category): positive(
            f"severity.loss_limits.{category}", data["loss_limits"].get(category, 0), most=LARGEST_SUM
        )
        for category in ("1", "2", "3")
    }
    if not limits[1] > limits[2] > limits[3]:
        raise Refused("severity.loss_limits", "they do not fall from 1 to 3", "let a graver loss be the larger sum")
    losses = {
        code: figure(f"severity.loss_by_class.{code}", loss, most=LARGEST_SUM)
        for code, loss in data["loss_by_class"].items()
    }
    return MappingProxyType(
        {
            code: next((category for category in (1, 2, 3) if loss >= limits[category]), SEVERITIES[-1])
            for code, loss in losses.items()
        }
    )


def _severities(table: Mapping[str, int]) -> Mapping[SafetyRole, int]:
    found = {
        word("severity.by_role", role, SafetyRole): severity(f"severity.by_role.{role}", category)
        for role, category in table.items()
    }
    complete("severity.by_role", found, SafetyRole)
    return MappingProxyType(found)


__all__ = [
    "ELIMINATED",
    "LEVELS",
    "ConditionRule",
    "DryingRule",
    "GrowthRule",
    "LearningRule",
    "LookRule",
    "MoistureRule",
    "Rules",
    "tables_of",
]
