"""Severity and likelihood to risk, by the published matrix."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType

from inspections.judgement.vocabulary import RiskLevel
from yard.refusals import Refused

MATRIX_FILE = Path(__file__).parent / "rules" / "risk_matrix.json"


@lru_cache(maxsize=1)
def risk_matrix() -> Mapping[tuple[int, str], RiskLevel]:
    """The 24 cells by severity and probability level. The published matrix is nobody's to change."""
    rows = json.loads(MATRIX_FILE.read_text(encoding="utf-8"))["matrix"]
    return MappingProxyType(
        {(int(severity), level): RiskLevel(risk) for severity, row in rows.items() for level, risk in row.items()}
    )


def risk_level(severity: int | str, probability_level: str) -> RiskLevel:
    """The level of risk.

    Args:
        severity: category 1 (catastrophic) to 4 (negligible); the digit may come as text. No unit.
        probability_level: A (frequent) to E (improbable), or F (eliminated). No unit.

    Raises:
        Refused: a category or level that the standard does not have.

    Source: MIL-STD-882E (US Department of Defense, 11 May 2012), Table III; a standard.

    >>> risk_level(1, "C").value
    'high'
    >>> risk_level("4", "E").value
    'low'
    """
    category = int(severity) if isinstance(severity, str) and severity.isdecimal() else severity
    try:
        return risk_matrix()[category, probability_level]  # type: ignore[index]
    except KeyError:
        if category in (1, 2, 3, 4):
            raise Refused(
                "probability_level", f"{probability_level!r} is no level", "give a letter from A to F"
            ) from None
        raise Refused("severity", f"{severity!r} is no category", "give 1, 2, 3 or 4") from None


# Worst first; the ranks are ordinal and are compared, never added or averaged.
WORST_FIRST = (RiskLevel.HIGH, RiskLevel.SERIOUS, RiskLevel.MEDIUM, RiskLevel.LOW, RiskLevel.ELIMINATED)
RISK_RANK: Mapping[RiskLevel, int] = MappingProxyType({risk: rank for rank, risk in enumerate(WORST_FIRST)})

__all__ = ["RISK_RANK", "WORST_FIRST", "risk_level", "risk_matrix"]
