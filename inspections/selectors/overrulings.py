"""Where the office judged otherwise than the rules, read for counting."""

from __future__ import annotations

from uuid import UUID

from inspections.judgement.overruled import JudgedFinding, Said, VersionReport, overruling_report
from inspections.judgement.vocabulary import Condition, Priority, RiskLevel
from inspections.models import Assessment, Overruling
from yard.models import Yard


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


__all__ = ["overrulings_report"]
