"""Where the office judged otherwise than the rules: counted, and one by one."""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce
from operator import or_
from typing import Any, Final
from uuid import UUID

from django.db.models import Q, QuerySet

from inspections.judgement.overruled import (
    Direction,
    JudgedFinding,
    Said,
    VersionReport,
    direction_of,
    overruling_report,
)
from inspections.judgement.vocabulary import Condition, Priority, RiskLevel
from inspections.models import Assessment, Overruling
from yard.models import Boat, Member, Yard
from yard.words import with_words

ORDERS: Final[dict[str, tuple[str, tuple[str, ...]]]] = {
    "newest": ("the newest first", ("-made_at", "-pk")),
    "oldest": ("the oldest first", ("made_at", "pk")),
    "boat": ("by boat", ("finding__boat__name", "finding__boat", "-made_at", "-pk")),
    "condition": ("by what was found", ("assessment__condition", "-made_at", "-pk")),
}
TEXTS: Final = ("reason", "finding__boat__name", "finding__component__name", "finding__component__position")


@dataclass(frozen=True, slots=True)
class Narrowed:
    """What the overrulings are narrowed to; what is empty narrows nothing.

    Args:
        direction, condition, version: a code, a code, and a version of the rules.
        by: who judged otherwise.
        text: each of its words stands in the reason, or in the boat's or the part's name.
    """

    boat: Boat | None = None
    by: Member | None = None
    direction: str = ""
    condition: str = ""
    version: str = ""
    text: str = ""


def overrulings_narrowed(yard: Yard, to: Narrowed) -> QuerySet[Overruling]:
    """Every word against the rules that fits, also one that was taken back, with all that is told of it."""
    rows: QuerySet[Overruling] = Overruling.objects.of_yard(yard)
    if to.direction:
        pairs = [(c, w) for c in Priority for w in Priority if direction_of(c, w) == to.direction]
        rows = rows.filter(reduce(or_, (Q(assessment__priority=c.value, priority=w.value) for c, w in pairs)))
    asked: dict[str, Any] = {
        "finding__boat": to.boat,
        "by": to.by,
        "assessment__condition": to.condition,
        "assessment__rules_version": to.version,
    }
    rows = rows.filter(**{name: value for name, value in asked.items() if value})
    return with_words(rows, to.text, TEXTS).select_related(
        "by", "assessment", "finding__boat", "finding__component", "finding__spot", "finding__entry"
    )


def direction_said(overruling: Overruling) -> Direction:
    """Which way it went, against the judgement that it was said to."""
    return direction_of(Priority(overruling.assessment.priority), Priority(overruling.priority))


def overrulings_report(yard: Yard) -> tuple[VersionReport, ...]:
    """How often and in which direction each condition and risk cell is overruled; two queries."""
    spoken: dict[tuple[UUID, str], Overruling] = {}
    put_in_place_of = set()
    for overruling in Overruling.objects.of_yard(yard).select_related("assessment").order_by("made_at", "pk"):
        spoken[overruling.finding_id, overruling.assessment.rules_version] = overruling
        put_in_place_of.add((overruling.finding_id, overruling.made_at))
    counted: dict[tuple[UUID, str], JudgedFinding] = {}
    rows = (
        Assessment.objects.of_yard(yard)
        .filter(finding__isnull=False)
        .order_by("made_at", "pk")
        .values_list(
            "pk", "finding_id", "rules_version", "condition", "severity", "probability_level", "risk", "priority",
            "due_back_on", "made_at",
        )
    )  # fmt: skip
    for pk, finding_id, version, condition, severity, level, risk, priority, due_back_on, made_at in rows:
        overruling_here = spoken.get((finding_id, version))
        if overruling_here is not None and overruling_here.assessment_id != pk:
            continue  # this version's judgement of it counts as it was when somebody spoke against it
        said = None
        if overruling_here is not None:
            withdrawn = overruling_here.withdrawn_at
            said = Said(
                priority=Priority(overruling_here.priority),
                due_back_on=overruling_here.due_back_on,
                reason=overruling_here.reason,
                said_at=overruling_here.made_at,
                # A later word takes an earlier one's place; only where none came do the rules hold again.
                taken_back=withdrawn is not None and (finding_id, withdrawn) not in put_in_place_of,
            )
        counted[finding_id, version] = JudgedFinding(
            finding=str(finding_id),
            rules_version=version,
            condition=Condition(condition),
            severity=severity,
            probability_level=level,
            risk=RiskLevel(risk),
            priority=Priority(priority),
            due_back_on=due_back_on,
            judged_at=made_at,
            said=said,
        )
    return overruling_report(counted.values())


__all__ = ["ORDERS", "Narrowed", "direction_said", "overrulings_narrowed", "overrulings_report"]
