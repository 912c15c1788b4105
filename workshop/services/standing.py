"""The judgement that stands for a finding: the newest assessment, and a manager's word where there is one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from inspections.judgement.vocabulary import Priority
from inspections.models import Assessment, Finding, Overruling


@dataclass(frozen=True, slots=True)
class Standing:
    """What holds today. Both stay visible where a manager judged otherwise than the rules."""

    assessment: Assessment
    overruling: Overruling | None

    @property
    def priority(self) -> Priority:
        return Priority((self.overruling or self.assessment).priority)

    @property
    def due_back_on(self) -> date:
        return (self.overruling or self.assessment).due_back_on


def standing_of(findings: Iterable[Finding]) -> Mapping[UUID, Standing]:
    """What stands for each finding that has been judged, in two queries."""
    ids = [finding.pk for finding in findings]
    overrulings = {
        overruling.finding_id: overruling
        for overruling in Overruling.objects.filter(finding__in=ids, withdrawn_at__isnull=True)
    }
    return {
        assessment.finding_id: Standing(assessment, overrulings.get(assessment.finding_id))
        for assessment in Assessment.objects.filter(finding__in=ids, superseded_at__isnull=True)
        if assessment.finding_id is not None
    }


__all__ = ["Standing", "standing_of"]
