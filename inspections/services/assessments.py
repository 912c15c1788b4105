"""Judging what was recorded, and writing down what came out: once, however often and by however many it is asked.

The rows that are judged are locked first, so that of two workers the second finds the work of the first. A
judgement is written only where it, or what it was made from, has changed; so judging a whole yard each night writes
what the day has changed and nothing else. A large yard is judged batch by batch: what a batch holds in memory, asks
the database for and locks is bounded, however many findings the yard has.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final
from uuid import UUID

import structlog
from django.db import transaction
from django.db.models import Exists, OuterRef, Q, QuerySet

from inspections.judgement.assess import assess
from inspections.judgement.vocabulary import Answer
from inspections.models import Assessment, Entry, Finding, Overruling
from inspections.models.findings import FindingState
from inspections.selectors.entries import standing
from inspections.selectors.rules import rules_of
from inspections.services.assessment_rows import Judged, write
from inspections.services.fact_building import entries_to_judge, facts_of
from inspections.services.overruling import finding_overrule, overruling_withdraw
from inspections.services.rechecks import learned_rates
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


# So many entries at once: no statement names more keys than the smallest build of SQLite takes (999).
BATCH: Final = 500


@dataclass(frozen=True, slots=True)
class Batch:
    """A stretch of a yard's entries, in the order of inspection and key; both ends belong to it."""

    first: tuple[int, UUID]
    last: tuple[int, UUID]

    def holds(self) -> Q:
        (first, first_entry), (last, last_entry) = self.first, self.last
        return (
            Q(inspection_id__gte=first, inspection_id__lte=last)
            & ~Q(inspection_id=first, pk__lt=first_entry)
            & ~Q(inspection_id=last, pk__gt=last_entry)
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

    Each batch is a transaction of its own.

    Returns:
        How many judgements were written.
    """
    return sum(rejudge_batch(yard=yard, batch=batch, at=at) for batch in batches_to_rejudge(yard=yard))


def rejudge_batch(*, yard: Yard, batch: Batch, at: datetime) -> int:
    """Judge one batch of a yard again, and write what has changed.

    Returns:
        How many judgements were written.
    """
    return rejudge_entries(yard=yard, entry_ids=entries_to_rejudge(yard=yard, batch=batch, at=at), at=at)


def batches_to_rejudge(*, yard: Yard) -> Iterator[Batch]:
    """All that is anybody's business in a yard, in batches of at most `BATCH` entries; reads their keys alone."""
    keys = _to_judge(yard).values_list("inspection_id", "pk")
    page = list(keys[:BATCH])
    while page:
        last, last_entry = page[-1]
        yield Batch(page[0], page[-1])
        further = Q(inspection_id__gt=last) | Q(inspection_id=last, pk__gt=last_entry)
        page = list(keys.filter(further)[:BATCH])


def entries_to_rejudge(*, yard: Yard, batch: Batch, at: datetime) -> list[UUID]:
    """The entries of a batch whose judgement is another one today. Only reads."""
    entry_ids = list(_to_judge(yard).filter(batch.holds()).values_list("pk", flat=True))
    judged, refused = _judge(yard, entry_ids, at, lock=False)
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


def _to_judge(yard: Yard) -> QuerySet[Entry]:
    """The entries that a judgement of today would speak about, those of one inspection after each other.

    Jobs are proposed for an inspection, so a batch asks for as few proposals as can be.
    """
    judged = Assessment.objects.filter(entry=OuterRef("pk"))
    found = Q(finding__state__in=JUDGED)
    unseen = (
        Q(answer=Answer.NOT_SEEN)
        & ~Exists(Entry.objects.filter(supersedes=OuterRef("pk")))
        # Not those whose judgement has done its work, because the place was seen since.
        & (Exists(judged.filter(superseded_at__isnull=True)) | ~Exists(judged))
    )
    return Entry.objects.of_yard(yard).filter(_here_still(), found | unseen).order_by("inspection_id", "pk")


def _here_still() -> Q:
    """On a component that has not been taken out, or on none."""
    return Q(component__isnull=True) | Q(component__removed_on__isnull=True)


def _judge(
    yard: Yard, entry_ids: Collection[UUID], at: datetime, *, lock: bool
) -> tuple[list[Judged], Mapping[UUID, Refused]]:
    """Judge those of the entries that hold; and which of them make no facts."""
    rules, today = rules_of(yard), today_at(yard, at)
    learned = learned_rates(yard=yard, today=today, rules=rules)
    findings = _findings(entry_ids, lock=lock)
    unseen = _places_not_seen(entry_ids, lock=lock)
    entries = entries_to_judge(yard, [*findings, *unseen])
    facts = facts_of(yard, entries, learned)
    before = _standing_assessments(findings.values(), unseen)
    overrulings = {
        overruling.finding_id: overruling
        for overruling in Overruling.objects.filter(
            finding__in=[finding.pk for finding in findings.values()], withdrawn_at__isnull=True
        )
    }
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
    "Batch",
    "assess_entry",
    "batches_to_rejudge",
    "entries_to_rejudge",
    "finding_overrule",
    "overruling_withdraw",
    "rejudge_batch",
    "rejudge_entries",
    "rejudge_yard",
]
