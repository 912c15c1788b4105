"""What judgement says: the result with its reasons."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from datetime import date
from enum import Enum

from inspections.judgement.vocabulary import Condition, DueBackKind, Priority, ReasonGroup, RiskLevel

Json = str | int | float | bool | None | list["Json"] | dict[str, "Json"]


@dataclass(frozen=True, slots=True)
class ConditionJudged:
    """One condition that the signs speak for.

    `holds` says whether the evidence carries it; one that does not hold is kept with what spoke against it, and has
    no severity, level or risk.
    """

    condition: Condition
    holds: bool
    evidence_for: tuple[str, ...]
    evidence_against: tuple[str, ...]
    severity: int | None = None
    probability_level: str | None = None
    risk: RiskLevel | None = None


@dataclass(frozen=True, slots=True)
class Reason:
    """A sentence for an owner, in every language; `group` is what it is about."""

    group: ReasonGroup
    en: str
    de: str


@dataclass(frozen=True, slots=True)
class Hold:
    """What holds a place where the tool or the part for the proper repair is missing.

    Args:
        treatment: code of the operation.
        say: what to do, in words that finish "meanwhile …".
        until: the day by which the proper repair is due.
    """

    treatment: str
    say: str
    until: date


@dataclass(frozen=True, slots=True)
class DryingWait:
    """From when wet wood may be sealed. None where that air never dries it so far within three years.

    Args:
        target_pct: moisture to be reached, % of dry mass.
        earliest_on, likely_on, cautious_on: under cover in the yard's own air.
        shed_likely_on: in a heated shed.
        wash_first: salt was recorded.
        too_late: the likely day lies after the day by which it is to be put right.
    """

    target_pct: float
    earliest_on: date | None
    likely_on: date | None
    cautious_on: date | None
    shed_likely_on: date | None
    wash_first: bool
    too_late: bool


@dataclass(frozen=True, slots=True)
class Judgement:
    """What a finding means, when somebody must be back, and why.

    Args:
        conditions: every condition the evidence was weighed for, worst first.
        condition: the one that decided.
        severity: 1 (catastrophic) to 4 (negligible), MIL-STD-882E Table I.
        probability_level: A (frequent) to F (eliminated), Table II.
        risk: Table III.
        failure_probability: of failing before the season is over, by the rates of the rules; None where it is too
            small to be shown or nothing is left to fail.
        priority: when it is to be put right, if at all.
        due_back_on: the working day by which somebody must be back at the place; never before the day of judging.
        due_back_kind: what for.
        due_by_rules_on: the day that the rules gave: `due_back_on`, or earlier where that day has passed.
        overdue: it has passed.
        treatments: codes of advised operations, in the order of work.
        do_not: what must not be done there, each a whole sentence.
        hold: what holds it meanwhile where a tool or part is missing; None where nothing may or nothing need.
        drying: from when it may be sealed; None where it is dry, or the yard has entered no climate.
        confirm: the evidence contradicts itself or only one reading of it holds; a second look would decide.
        reasons: plain English sentences for an owner, the weightiest first.
        told: the same with their groups, and in every language.
        trace: the figures and rules that decided, for a shipwright.
        rules_version: of the rule data.
    """

    conditions: tuple[ConditionJudged, ...]
    condition: Condition
    severity: int
    probability_level: str
    risk: RiskLevel
    failure_probability: float | None
    priority: Priority
    due_back_on: date
    due_back_kind: DueBackKind
    due_by_rules_on: date
    overdue: bool
    treatments: tuple[str, ...]
    do_not: tuple[str, ...]
    hold: Hold | None
    drying: DryingWait | None
    confirm: bool
    reasons: tuple[str, ...]
    told: tuple[Reason, ...]
    trace: tuple[str, ...]
    rules_version: str

    def __post_init__(self) -> None:
        if not self.reasons:
            raise ValueError("A judgement without a reason is none.")

    def as_document(self) -> dict[str, Json]:
        """The judgement as plain JSON values; days in ISO 8601."""
        return {field.name: _plain(getattr(self, field.name)) for field in fields(self)}

    def differs_from(self, other: Judgement | Mapping[str, object]) -> bool:
        """Whether anything that somebody would act on is different.

        What moves with the calendar alone does not count: the day of what is overdue, the months in a sentence.

        Args:
            other: a judgement, or the document of one.
        """
        document = other.as_document() if isinstance(other, Judgement) else other
        mine = self.as_document()
        return any(mine[name] != document.get(name) for name in ACTED_ON)


ACTED_ON = (
    "condition",
    "severity",
    "probability_level",
    "risk",
    "priority",
    "due_by_rules_on",
    "due_back_kind",
    "overdue",
    "treatments",
    "confirm",
    "rules_version",
)


def _plain(value: object) -> Json:
    if isinstance(value, Enum):
        return str(value.value)
    if value is None or isinstance(value, str | bool | int | float):
        return value
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, ConditionJudged | Hold | DryingWait | Reason):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Iterable):
        return [_plain(item) for item in value]
    raise TypeError(f"{value!r} has no place in a document.")


__all__ = ["ACTED_ON", "ConditionJudged", "DryingWait", "Hold", "Judgement", "Reason"]
