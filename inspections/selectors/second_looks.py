"""Findings whose judgement asks for a confirming look."""

from __future__ import annotations

from collections.abc import Collection
from uuid import UUID

from inspections.judgement.rules import load_rules
from inspections.judgement.second_look import why_look_again
from inspections.judgement.vocabulary import Condition, Sides
from inspections.models import Assessment
from yard.models import Yard


def second_looks(yard: Yard | int, finding_ids: Collection[UUID]) -> dict[UUID, str]:
    """Of these findings those whose standing judgement asks for a second look, each with the reason; one query."""
    rules = load_rules()
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
