"""Findings whose judgement asks for a confirming look."""

from __future__ import annotations

from collections.abc import Collection
from uuid import UUID

from inspections.judgement.second_look import why_look_again
from inspections.judgement.vocabulary import Condition, Sides
from inspections.models import Assessment
from inspections.selectors.rules import rules_of
from yard.models import Yard


def second_looks(yard: Yard, finding_ids: Collection[UUID]) -> dict[UUID, str]:
    """Those of these findings whose judgement asks for a second look, each with the reason; two queries."""
    rules = rules_of(yard)
    rows = (
        Assessment.objects.of_yard(yard)
        .filter(finding__in=finding_ids, superseded_at__isnull=True)
        .values_list("finding_id", "condition", "document__confirm", "entry__sides")
    )
    asked = {
        finding_id: why_look_again(
            confirm=bool(confirm),
            condition=Condition(condition),
            sides=Sides(sides) if sides else None,
            rules=rules,
        )
        for finding_id, condition, confirm, sides in rows
    }
    return {finding_id: why for finding_id, why in asked.items() if why}


__all__ = ["second_looks"]
