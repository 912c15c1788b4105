"""How often, and in which direction, the office judged otherwise than the rules: pure counting.

Each finding counts once for each version of the rules that judged it: with the judgement that a manager spoke
against, or else with the last one. Places not seen can't be overruled and are not counted.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import TypeVar

from inspections.judgement.priority import URGENCY
from inspections.judgement.risk import RISK_RANK
from inspections.judgement.vocabulary import Condition, Priority, RiskLevel
from yard.vocabulary import Labelled

Key = TypeVar("Key", bound=Hashable)

LATEST_REASONS = 5


class Direction(Labelled):
    """Which way the office judged."""

    SOONER = "sooner", "sooner"
    LATER = "later", "later"
    SAME_PRIORITY = "same_priority", "same priority, a day of its own"


def direction_of(computed: Priority, wanted: Priority) -> Direction:
    """Which way somebody judged who wanted another priority than was computed, or the same."""
    if wanted == computed:
        return Direction.SAME_PRIORITY
    return Direction.SOONER if URGENCY[wanted] < URGENCY[computed] else Direction.LATER


@dataclass(frozen=True, slots=True)
class Said:
    """A manager's last word on a judgement.

    Args:
        taken_back: the rules hold again.
    """

    priority: Priority
    due_back_on: date
    reason: str
    said_at: datetime
    taken_back: bool = False


@dataclass(frozen=True, slots=True)
class JudgedFinding:
    """A finding as one version of the rules judged it, and what the office said to that.

    Args:
        finding: whatever the caller knows it by.
    """

    finding: str
    rules_version: str
    condition: Condition
    severity: int
    probability_level: str
    risk: RiskLevel
    priority: Priority
    due_back_on: date
    judged_at: datetime
    said: Said | None = None

    @property
    def direction(self) -> Direction | None:
        """Which way it was overruled; None where it was not, or where that was taken back."""
        if self.said is None or self.said.taken_back:
            return None
        return direction_of(self.priority, self.said.priority)


@dataclass(frozen=True, slots=True)
class Tally:
    """How many findings were judged, and what became of it.

    Args:
        judgements: all of them.
        sooner, later, same_priority: overruled so, and that stands.
        taken_back: overruled once, and the rules were let hold again.
    """

    judgements: int
    sooner: int
    later: int
    same_priority: int
    taken_back: int

    @property
    def overruled(self) -> int:
        return self.sooner + self.later + self.same_priority

    @property
    def overruled_share(self) -> float:
        """0 to 1; no unit."""
        return self.overruled / self.judgements if self.judgements else 0.0


@dataclass(frozen=True, slots=True)
class ConditionRow:
    """One condition: the counts, and the findings whose overruling stands, the newest word first."""

    condition: Condition
    tally: Tally
    latest: tuple[JudgedFinding, ...]


@dataclass(frozen=True, slots=True)
class CellRow:
    """One cell of the risk matrix."""

    severity: int
    probability_level: str
    risk: RiskLevel
    tally: Tally


@dataclass(frozen=True, slots=True)
class VersionReport:
    """All that one version of the rules judged."""

    rules_version: str
    tally: Tally
    conditions: tuple[ConditionRow, ...]
    cells: tuple[CellRow, ...]


def overruling_report(judged: Iterable[JudgedFinding]) -> tuple[VersionReport, ...]:
    """Count by version of the rules, and inside it by condition and by cell of the matrix.

    Returns:
        The version that judged last comes first; conditions by how often they were overruled, cells as the matrix
        has them, gravest first. What was never judged has no row.
    """
    by_version = _grouped(judged, lambda one: one.rules_version)
    newest_first = sorted(
        by_version.items(), key=lambda item: (max(one.judged_at for one in item[1]), item[0]), reverse=True
    )
    return tuple(
        VersionReport(version, _tally(those), _conditions(those), _cells(those)) for version, those in newest_first
    )


def _conditions(judged: list[JudgedFinding]) -> tuple[ConditionRow, ...]:
    rows = [
        ConditionRow(condition, _tally(those), _latest(those))
        for condition, those in _grouped(judged, lambda one: one.condition).items()
    ]
    return tuple(sorted(rows, key=lambda row: (-row.tally.overruled, -row.tally.judgements, row.condition)))


def _cells(judged: list[JudgedFinding]) -> tuple[CellRow, ...]:
    rows = [
        CellRow(severity, level, risk, _tally(those))
        for (severity, level, risk), those in _grouped(
            judged, lambda one: (one.severity, one.probability_level, one.risk)
        ).items()
    ]
    return tuple(sorted(rows, key=lambda row: (RISK_RANK[row.risk], row.severity, row.probability_level)))


def _latest(judged: list[JudgedFinding]) -> tuple[JudgedFinding, ...]:
    spoken = [(one.said.said_at, one) for one in judged if one.said is not None and one.direction is not None]
    spoken.sort(key=lambda pair: (pair[0], pair[1].finding), reverse=True)
    return tuple(one for _, one in spoken[:LATEST_REASONS])


def _tally(judged: list[JudgedFinding]) -> Tally:
    directions = [one.direction for one in judged]
    return Tally(
        judgements=len(judged),
        sooner=directions.count(Direction.SOONER),
        later=directions.count(Direction.LATER),
        same_priority=directions.count(Direction.SAME_PRIORITY),
        taken_back=sum(one.said is not None and one.said.taken_back for one in judged),
    )


def _grouped(
    judged: Iterable[JudgedFinding], key: Callable[[JudgedFinding], Key]
) -> dict[Key, list[JudgedFinding]]:
    groups: dict[Key, list[JudgedFinding]] = defaultdict(list)
    for one in judged:
        groups[key(one)].append(one)
    return groups


__all__ = [
    "CellRow",
    "ConditionRow",
    "Direction",
    "JudgedFinding",
    "Said",
    "Tally",
    "VersionReport",
    "direction_of",
    "overruling_report",
]
