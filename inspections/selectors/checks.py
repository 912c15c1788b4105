"""How far an inspection is: every check with its answers."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import QuerySet

from inspections.judgement.vocabulary import Answer
from inspections.models import Check, Entry, Inspection
from inspections.selectors.entries import standing_entries


@dataclass(frozen=True, slots=True)
class CheckState:
    """A check and the answers that hold.

    Args:
        answers: those that were not superseded, the oldest look first. Two tablets may each have given one, and a
            check may have several findings; all are kept.
    """

    check: Check
    answers: tuple[Entry, ...]

    @property
    def current(self) -> Entry | None:
        """The newest answer; None where nobody has given one."""
        return self.answers[-1] if self.answers else None

    @property
    def findings(self) -> tuple[Entry, ...]:
        return tuple(entry for entry in self.answers if entry.answer == Answer.FINDING)


def check_states(inspection: Inspection) -> list[CheckState]:
    """All checks of an inspection in the order of the round, with their answers, readings and names of photos."""
    answers: dict[int | None, list[Entry]] = {}
    for entry in _with_their_parts(inspection).filter(answers__isnull=False):
        answers.setdefault(entry.answers_id, []).append(entry)
    checks = (
        Check.objects.of_yard(inspection.yard_id)
        .filter(inspection=inspection)
        .select_related("component__component_class", "spot", "template_version")
    )
    return [CheckState(check, tuple(answers.get(check.pk, ()))) for check in checks]


def entries_outside_the_list(inspection: Inspection) -> list[Entry]:
    """What was recorded beside the checks and holds, the oldest look first."""
    return list(_with_their_parts(inspection).filter(answers__isnull=True))


def _with_their_parts(inspection: Inspection) -> QuerySet[Entry]:
    return (
        standing_entries(inspection)
        .select_related("author", "component", "spot")
        .prefetch_related("readings", "photo_names")
    )


__all__ = ["CheckState", "check_states", "entries_outside_the_list"]
