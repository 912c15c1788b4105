"""Judging what was recorded, and writing down what came out: once, however often and by however many it is asked.

The rows that are judged are locked first, so that of two workers the second finds the work of the first. A
judgement is written only where it, or what it was made from, has changed; so judging a whole yard each night writes
what the day has changed and nothing else.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import datetime
from uuid import UUID

import structlog
from django.db import transaction
from django.db.models import Exists, OuterRef, Q

from inspections.judgement.assess import assess
from inspections.judgement.rules import load_rules
from inspections.judgement.vocabulary import Answer
from inspections.models import Assessment, Entry, Finding, Overruling
from inspections.models.findings import FindingState
from inspections.selectors.entries import standing
from inspections.services.assessment_rows import Judged, write
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
        written = write(entry.yard, [one for one in judged if one.has_changed], at)
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
        return len(write(yard, [one for one in judged if one.has_changed], at))


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


__all__ = [
    "assess_entry",
    "entries_to_rejudge",
    "finding_overrule",
    "overruling_withdraw",
    "rejudge_entries",
    "rejudge_yard",
]
