"""What must come off or be cleaned before an inspection's places can be seen, and what was said of each."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from inspections.models import Inspection, OpeningStep, StepEntry
from inspections.models.opening import StepOutcome
from yard.models import Component


@dataclass(frozen=True, slots=True)
class OpeningDeed:
    """One thing to do, for all the parts that it opens.

    Args:
        said: the last word about it, None where nobody has said anything.
    """

    step: OpeningStep
    components: tuple[Component, ...]
    said: StepEntry | None

    @property
    def is_done(self) -> bool:
        return self.said is not None and self.said.outcome == StepOutcome.DONE


def deed_of(step: OpeningStep) -> object:
    """What is done once for a step: that of all that share it, or its own."""
    return step.shares or (step.component_id, step.key)


def said_of(inspection: Inspection, steps: Iterable[OpeningStep]) -> dict[object, StepEntry]:
    """The last word about each deed, in one query."""
    deeds = {step.pk: deed_of(step) for step in steps}
    rows = StepEntry.objects.of_yard(inspection.yard_id).filter(inspection=inspection)
    # The last one of a dict comprehension stays: ordered so that this is the newest.
    newest = rows.select_related("author__user").order_by("observed_at", "pk")
    return {deeds[row.step_id]: row for row in newest if row.step_id in deeds}


def opening_deeds(inspection: Inspection) -> list[OpeningDeed]:
    """Each deed once, in the order of the templates, in two queries."""
    steps = list(inspection.opening_steps.select_related("component").order_by("position", "pk"))
    said = said_of(inspection, steps)
    together: dict[object, list[OpeningStep]] = {}
    for step in steps:
        together.setdefault(deed_of(step), []).append(step)
    return [
        OpeningDeed(same[0], tuple({step.component_id: step.component for step in same}.values()), said.get(deed))
        for deed, same in together.items()
    ]


__all__ = ["OpeningDeed", "deed_of", "opening_deeds", "said_of"]
