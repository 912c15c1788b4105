"""The rows of the rule data on treatments: what suits where, what does harm, what holds a place meanwhile."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from inspections.judgement.evidence import Evidence
from inspections.judgement.rules.reading import word_set
from inspections.judgement.speech.tables import Words
from inspections.judgement.vocabulary import Condition, Contact, Load, Seal
from yard.refusals import Refused


@dataclass(frozen=True, slots=True)
class Fit:
    """All that must fit for a row of the treatments to be taken. An empty set fits anything."""

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
class TreatmentRow:
    """An operation, and where it is advised."""

    treatment: str
    phase: int
    fits: Fit


@dataclass(frozen=True, slots=True)
class MustNot:
    """Operations that do harm there.

    Args:
        before: an operation that must come first; empty where nothing makes them right.
        say: why, as a whole sentence.
    """

    treatments: frozenset[str]
    before: str
    say: Words
    fits: Fit


@dataclass(frozen=True, slots=True)
class HoldRow:
    """What holds the place meanwhile, where a tool or part is missing; `say` finishes "meanwhile …"."""

    treatment: str
    say: Words
    fits: Fit


def treatment_row(row: Mapping[str, Any], phases: list[str]) -> TreatmentRow:
    """An operation and where it is advised."""
    field = f"treatments.{row.get('treatment', '?')}"
    if row["phase"] not in phases:
        raise Refused(f"{field}.phase", f"{row['phase']!r} is no phase", f"give one of: {', '.join(phases)}")
    return TreatmentRow(str(row["treatment"]), phases.index(row["phase"]), _fit(field, row))


def must_not(row: Mapping[str, Any]) -> MustNot:
    """Operations that do harm, and where."""
    fit = _fit("treatments.must_not", row)
    return MustNot(frozenset(row["treatments"]), str(row.get("before", "")), _words(row), fit)


def hold_row(row: Mapping[str, Any]) -> HoldRow:
    """What holds a place meanwhile, and where."""
    return HoldRow(str(row["treatment"]), _words(row), _fit("treatments.hold", row))


def _words(row: Mapping[str, Any]) -> Words:
    """What a row says. A yard's own row may have one language only; its words then stand in all."""
    return Words(str(row["say"]), str(row.get("say_de", row["say"])))


def _fit(field: str, row: Mapping[str, Any]) -> Fit:
    return Fit(
        conditions=word_set(f"{field}.conditions", row.get("conditions", ()), Condition),
        unless_conditions=word_set(f"{field}.unless_conditions", row.get("unless_conditions", ()), Condition),
        signs=frozenset(row.get("signs", ())),
        classes=frozenset(row.get("classes", ())),
        unless_classes=frozenset(row.get("unless_classes", ())),
        contact=word_set(f"{field}.contact", row.get("contact", ()), Contact),
        load=word_set(f"{field}.load", row.get("load", ()), Load),
        seal=word_set(f"{field}.seal", row.get("seal", ()), Seal),
        evidence=word_set(f"{field}.evidence", row.get("evidence", ()), Evidence),
    )


__all__ = ["Fit", "HoldRow", "MustNot", "TreatmentRow", "hold_row", "must_not", "treatment_row"]
