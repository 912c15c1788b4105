"""Judging what was recorded, and writing down what came out: once, however often and by however many it is asked.

The rows that are judged are locked first, so that of two workers the second finds the work of the first. A
judgement is written only where it, or what it was made from, has changed; so judging a whole yard each night writes
what the day has changed and nothing else.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

import structlog
from django.db import transaction
from django.db.models import Exists, OuterRef, Q

from inspections.judgement.assess import assess
from inspections.judgement.judgement import Judgement
from inspections.judgement.rules import load_rules
from inspections.judgement.vocabulary import Answer, DueBackKind, Priority
from inspections.models import Assessment, DueBack, Entry, Finding, Overruling
from inspections.models.findings import FindingState
from inspections.selectors.entries import standing
from inspections.services.asking import ask_for_jobs
from inspections.services.fact_building import entries_to_judge, facts_of
from inspections.services.overruling import finding_overrule, overruling_withdraw
from yard.models import Yard
from yard.outbox import GiveUp
from yard.refusals import Refused
from yard.selectors import today_at

log = structlog.get_logger(__name__)

# Findings that a judgement speaks about. What is repaired waits for the workshop's look, which sets its own day.
JUDGED = (
    FindingState.OPEN,
    FindingState.WATCHED,
    FindingState.HELD,
    FindingState.DECLINED,
    FindingState.DEFERRED,
)


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
        )

    @property
    def priority(self) -> Priority:
        """The one that holds: a manager's word before the computed one."""
        return Priority(self.overruling.priority) if self.overruling else self.judgement.priority


def assess_entry(*, entry_id: UUID, at: datetime) -> Assessment | None:
    """Judge one entry. None where nothing has changed, or where it no longer holds.

    Raises:
        GiveUp: what was recorded makes no facts; the reason names the field.
    """
    with transaction.atomic():
        entry = Entry.objects.select_related("yard").filter(pk=entry_id).first()
        if entry is None:
            return None
        judged, refused = _judge(entry.yard, [entry_id], at, lock=True)
        for refusal in refused.values():
            raise GiveUp(str(refusal))
        written = _write(entry.yard, [one for one in judged if one.has_changed], at)
        return written[0] if written else None


def rejudge_yard(*, yard: Yard, at: datetime) -> int:
    """Judge again all that is anybody's business in a yard, and write what has changed with the day.

    Returns:
        How many judgements were written.
    """
    return rejudge_entries(yard=yard, entry_ids=entries_to_rejudge(yard=yard, at=at), at=at)


def entries_to_rejudge(*, yard: Yard, at: datetime) -> list[UUID]:
    """The entries of a yard whose judgement is another one today. Only reads; for a large yard it takes a while."""
    judged, refused = _judge(yard, _to_judge(yard), at, lock=False)
    for entry_id, refusal in refused.items():
        log.warning("entry_not_judged", entry=str(entry_id), reason=str(refusal))
    return [one.entry.pk for one in judged if one.has_changed]


def rejudge_entries(*, yard: Yard, entry_ids: Collection[UUID], at: datetime) -> int:
    """Judge these entries of a yard again under lock, and write what has changed.

    Returns:
        How many judgements were written.
    """
    if not entry_ids:
        return 0
    with transaction.atomic():
        judged, _ = _judge(yard, entry_ids, at, lock=True)
        return len(_write(yard, [one for one in judged if one.has_changed], at))


def _to_judge(yard: Yard) -> list[UUID]:
    findings = Finding.objects.of_yard(yard).filter(_here_still(), state__in=JUDGED)
    judged = Assessment.objects.filter(entry=OuterRef("pk"))
    unseen = standing(Entry.objects.of_yard(yard).filter(_here_still(), answer=Answer.NOT_SEEN)).filter(
        # Not those whose judgement has done its work, because the place was seen since.
        Exists(judged.filter(superseded_at__isnull=True)) | ~Exists(judged)
    )
    return [*findings.values_list("entry_id", flat=True), *unseen.values_list("pk", flat=True)]


def _here_still() -> Q:
    """On a component that has not been taken out, or on none."""
    return Q(component__isnull=True) | Q(component__removed_on__isnull=True)


def _judge(
    yard: Yard, entry_ids: Collection[UUID], at: datetime, *, lock: bool
) -> tuple[list[Judged], Mapping[UUID, Refused]]:
    """Judge those of the entries that hold; and which of them make no facts."""
    findings = _findings(entry_ids, lock=lock)
    unseen = _places_not_seen(entry_ids, lock=lock)
    entries = entries_to_judge(yard, [*findings, *unseen])
    facts = facts_of(yard, entries)
    before = _standing_assessments(findings.values(), unseen)
    overrulings = {
        overruling.finding_id: overruling
        for overruling in Overruling.objects.filter(
            finding__in=[finding.pk for finding in findings.values()], withdrawn_at__isnull=True
        )
    }
    rules, today = load_rules(), today_at(yard, at)
    judged: list[Judged] = []
    refused: dict[UUID, Refused] = {}
    for entry in entries:
        told = facts[entry.pk]
        finding = findings.get(entry.pk)
        try:
            if isinstance(told, Refused):
                raise told
            judgement = assess(told.finding, told.component, told.yard, today, rules)
        except Refused as refusal:
            refused[entry.pk] = refusal
            continue
        judged.append(
            Judged(
                entry=entry,
                finding=finding,
                judgement=judgement,
                inputs_digest=told.digest(),
                before=before.get(finding.pk if finding else entry.pk),
                overruling=overrulings.get(finding.pk) if finding else None,
            )
        )
    return judged, refused


def _findings(entry_ids: Collection[UUID], *, lock: bool) -> dict[UUID, Finding]:
    """By entry, the findings among these that a judgement speaks about."""
    found = Finding.objects.filter(entry__in=entry_ids, state__in=JUDGED).order_by("pk")
    return {finding.entry_id: finding for finding in (found.select_for_update(no_key=True) if lock else found)}


def _places_not_seen(entry_ids: Collection[UUID], *, lock: bool) -> list[UUID]:
    """Those of the entries that say "not seen" and hold."""
    wanted = Entry.objects.filter(pk__in=entry_ids, answer=Answer.NOT_SEEN).order_by("pk")
    if lock:
        # Evaluated for its locks; what is read after them is what others have committed before.
        list(wanted.select_for_update(no_key=True).values_list("pk", flat=True))
    return list(standing(wanted).values_list("pk", flat=True))


def _standing_assessments(findings: Iterable[Finding], unseen: Sequence[UUID]) -> dict[UUID, Assessment]:
    about = Q(finding__in=[finding.pk for finding in findings]) | Q(finding__isnull=True, entry__in=unseen)
    return {
        assessment.finding_id or assessment.entry_id: assessment
        for assessment in Assessment.objects.filter(about, superseded_at__isnull=True)
    }


def _write(yard: Yard, judged: Sequence[Judged], at: datetime) -> list[Assessment]:
    if not judged:
        return []
    Assessment.objects.filter(pk__in=[one.before.pk for one in judged if one.before is not None]).update(
        superseded_at=at
    )
    written: list[Assessment] = Assessment.objects.bulk_create([_assessment(one, at) for one in judged])
    _write_due_backs(judged, at)
    _write_states(judged)
    for inspection_id in sorted({one.entry.inspection_id for one in judged}):
        ask_for_jobs(inspection_id, yard=yard, at=at)
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


__all__ = [
    "Judged",
    "assess_entry",
    "entries_to_rejudge",
    "finding_overrule",
    "overruling_withdraw",
    "rejudge_entries",
    "rejudge_yard",
]
