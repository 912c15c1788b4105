"""What a job on some findings is called by the worker, and what of it a member has put in other words."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from typing import Final

from inspections.judgement.vocabulary import Priority
from inspections.models import Finding, OpeningStep
from workshop.models import Job, Operation
from workshop.quoting.job_words import job_words
from workshop.services.proposing import GRAVE
from workshop.services.quote_words import job_facts
from workshop.services.standing import standing_of

TOLD: Final = ("title", "opening_up", "if_left", "unsafe_to_leave")


@dataclass(frozen=True, slots=True)
class Told:
    """A job as the worker tells it."""

    title: str
    opening_up: str
    if_left: str
    unsafe_to_leave: bool


def job_told(job: Job, operations: Sequence[Operation]) -> Told | None:
    """A job of these operations, from what is judged of their findings today.

    None where a whole surface is among them, which is told as it was written, or where no finding is judged.
    """
    served = list(dict.fromkeys(row.finding_id for row in operations if row.finding_id is not None))
    if not served or any(row.surface_id is not None for row in operations):
        return None
    rows = Finding.objects.filter(pk__in=served).select_related("component", "spot", "entry__answers")
    found = {finding.pk: finding for finding in rows}
    standing = standing_of(found.values())
    judged = [found[each] for each in served if each in standing]
    if not judged:
        return None
    steps = list(OpeningStep.objects.filter(inspection=job.inspection_id).order_by("position"))
    words = job_words(job_facts(judged, [row.treatment.name for row in operations], steps, standing))
    grave = any(
        stands.priority == Priority.BEFORE_LAUNCH and stands.assessment.severity <= GRAVE
        for stands in standing.values()
    )
    return Told(words.title, words.opening_up, words.if_left, grave)


def typed_on(job: Job, told: Told | None) -> AbstractSet[str]:
    """What of a job is not as the worker tells it."""
    return {name for name in TOLD if told is None or getattr(job, name) != getattr(told, name)}


def job_describe(job: Job, told: Told | None, keep: Collection[str] = ()) -> None:
    """Tell a job anew, but for what is to be kept; not yet stored."""
    for name in TOLD:
        if told is not None and name not in keep:
            setattr(job, name, getattr(told, name))


__all__ = ["TOLD", "Told", "job_describe", "job_told", "typed_on"]
