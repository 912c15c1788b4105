"""A judgement as rows: the assessment, the line in the due-back book, the state of the finding."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q

from inspections.judgement.judgement import Judgement
from inspections.judgement.vocabulary import DueBackKind, Priority
from inspections.models import Assessment, DueBack, Entry, Finding, Overruling
from inspections.models.findings import FindingState
from inspections.services.asking import ask_for_jobs
from yard.models import Yard


@dataclass(frozen=True, slots=True)
class Judged:
    """An entry with its judgement, and what stood before."""

    entry: Entry
    finding: Finding | None
    judgement: Judgement
    inputs_digest: str
    before: Assessment | None
    overruling: Overruling | None

    @property
    def due_back_on(self) -> date:
        """The day by which somebody must be back.

        What is overdue stays due on the day it was: judging it again each night must not move it along.
        """
        if (
            self.before is not None
            and self.judgement.overdue
            and self.before.due_back_on < self.judgement.due_back_on
        ):
            return self.before.due_back_on
        return self.judgement.due_back_on

    @property
    def has_changed(self) -> bool:
        """Whether there is anything to write. Reasons alone don't count: they tell the passing days."""
        before, now = self.before, self.judgement
        return before is None or (
            before.inputs_digest != self.inputs_digest
            or before.rules_version != now.rules_version
            or before.due_back_on != self.due_back_on
            or (before.condition, before.severity, before.probability_level)
            != (now.condition, now.severity, now.probability_level)
            or (before.risk, before.priority, before.due_back_kind) != (now.risk, now.priority, now.due_back_kind)
            or before.treatments != list(now.treatments)
            # written before judgement spoke more than one language
            or "told" not in before.document
        )

    @property
    def priority(self) -> Priority:
        """The one that holds: a manager's word before the computed one."""
        return Priority(self.overruling.priority) if self.overruling else self.judgement.priority


def write(yard: Yard, judged: Sequence[Judged], at: datetime) -> list[Assessment]:
    """Write judgements: each ends the one before it, sets the line of the due-back book, and asks for the jobs.

    The caller holds the rows that were judged.
    """
    if not judged:
        return []
    Assessment.objects.filter(pk__in=[one.before.pk for one in judged if one.before is not None]).update(
        superseded_at=at
    )
    written: list[Assessment] = Assessment.objects.bulk_create([_assessment(one, at) for one in judged])
    _write_due_backs(judged, at)
    _write_states(judged)
    ask_for_jobs({one.entry.inspection_id for one in judged}, yard=yard, at=at)
    return written


def _assessment(one: Judged, at: datetime) -> Assessment:
    judgement = one.judgement
    return Assessment(
        yard_id=one.entry.yard_id,
        boat_id=one.entry.inspection.boat_id,
        entry=one.entry,
        finding=one.finding,
        condition=judgement.condition.value,
        severity=judgement.severity,
        probability_level=judgement.probability_level,
        risk=judgement.risk.value,
        priority=judgement.priority.value,
        due_back_on=one.due_back_on,
        due_back_kind=judgement.due_back_kind.value,
        treatments=list(judgement.treatments),
        reasons=list(judgement.reasons),
        document=judgement.as_document(),
        rules_version=judgement.rules_version,
        inputs_digest=one.inputs_digest,
        made_at=at,
    )


def _write_due_backs(judged: Sequence[Judged], at: datetime) -> None:
    """Bring the lines of the due-back book in line: what says the same already stays."""
    about = Q(finding__in=[one.finding.pk for one in judged if one.finding]) | Q(
        entry__in=[one.entry.pk for one in judged if not one.finding]
    )
    open_lines = {
        line.finding_id or line.entry_id: line for line in DueBack.objects.filter(about, ended_at__isnull=True)
    }
    ended, new = [], []
    for one in judged:
        line = _line(one, at)
        there = open_lines.get(line.finding_id or line.entry_id)
        if there is not None:
            if _says(there) == _says(line):
                continue
            ended.append(there.pk)
        new.append(line)
    DueBack.objects.filter(pk__in=ended).update(ended_at=at)
    DueBack.objects.bulk_create(new)


def _line(one: Judged, at: datetime) -> DueBack:
    overruled = one.overruling
    if overruled is not None:
        watched = overruled.priority == Priority.WATCH
        due_on, reason = overruled.due_back_on, overruled.reason
        kind = DueBackKind.LOOK_AGAIN if watched else DueBackKind.PUT_RIGHT
    else:
        due_on, reason, kind = one.due_back_on, one.judgement.reasons[0], one.judgement.due_back_kind
    return DueBack(
        yard_id=one.entry.yard_id,
        boat_id=one.entry.inspection.boat_id,
        component_id=one.entry.component_id,
        spot_id=one.entry.spot_id,
        finding=one.finding,
        entry=None if one.finding else one.entry,
        due_on=due_on,
        kind=kind.value,
        reason=reason,
        set_at=at,
    )


def _says(line: DueBack) -> tuple[object, ...]:
    return line.component_id, line.spot_id, line.due_on, line.kind, line.reason


def _write_states(judged: Sequence[Judged]) -> None:
    """What is only watched is said to be; a graver judgement opens it again."""
    changed = []
    for one in judged:
        finding = one.finding
        if finding is None or finding.state not in (FindingState.OPEN, FindingState.WATCHED):
            continue
        state = FindingState.WATCHED if one.priority is Priority.WATCH else FindingState.OPEN
        if finding.state != state:
            finding.state = state
            changed.append(finding)
    if changed:
        Finding.objects.bulk_update(changed, ["state"])


__all__ = ["Judged", "write"]
