"""Findings with what they mean today, and the history of a spot."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import (
    Case,
    Exists,
    FilteredRelation,
    IntegerField,
    OuterRef,
    Prefetch,
    Q,
    QuerySet,
    Value,
    When,
)
from django.db.models.functions import Coalesce

from inspections.judgement.vocabulary import Priority
from inspections.models import Acknowledgement, Assessment, Entry, EntryPhoto, Finding, Overruling, Photo
from inspections.models.findings import FindingState
from yard.models import Spot, Yard

# Not judged yet comes first: somebody should know that it waits.
URGENCY = {Priority.BEFORE_LAUNCH: 1, Priority.THIS_SEASON: 2, Priority.NEXT_LAYUP: 3, Priority.WATCH: 4}

# Nobody of the office has dealt with what is told of it now. What rests with another finding is new again once a
# later entry tells it otherwise.
NEW = Q(state__in=[*Finding.LASTING, FindingState.JOINED]) & ~Exists(
    Acknowledgement.objects.filter(finding=OuterRef("pk"), entry=OuterRef("entry"))
)


def findings_judged(yard: Yard | int) -> QuerySet[Any]:
    """A yard's findings with `standing_priority` and `standing_due_back_on` alone, to be counted."""
    return (
        Finding.objects.of_yard(yard)
        # At most one of each: constraints of the two tables say so.
        .annotate(
            judged=FilteredRelation("assessments", condition=Q(assessments__superseded_at__isnull=True)),
            overruled=FilteredRelation("overrulings", condition=Q(overrulings__withdrawn_at__isnull=True)),
        )
        .annotate(
            standing_priority=Coalesce("overruled__priority", "judged__priority"),
            standing_due_back_on=Coalesce("overruled__due_back_on", "judged__due_back_on"),
        )
    )


def findings_with_judgement(yard: Yard | int) -> QuerySet[Any]:
    """A yard's findings with what holds of each: a manager's word before the computed judgement.

    Annotated with `standing_priority`, `standing_due_back_on` (both None until it is judged), `is_overruled` and
    `urgency` (0 not judged yet, 1 before launch … 4 watch) and `is_new` (see `NEW`). The judgement itself is in
    `standing_assessments`, the manager's word in `standing_overrulings`, lists of one or none.
    """
    judged: QuerySet[Assessment] = Assessment.objects.filter(superseded_at__isnull=True)
    overruled: QuerySet[Overruling] = Overruling.objects.filter(withdrawn_at__isnull=True)
    findings: QuerySet[Any] = (
        findings_judged(yard)
        .annotate(is_overruled=Q(overruled__isnull=False), is_new=NEW)
        .annotate(
            urgency=Case(
                *(When(standing_priority=priority.value, then=Value(rank)) for priority, rank in URGENCY.items()),
                default=Value(0),
                output_field=IntegerField(),
            )
        )
        .select_related("boat", "inspection", "component__component_class", "spot", "entry__author")
        .prefetch_related(
            Prefetch("assessments", queryset=judged, to_attr="standing_assessments"),
            Prefetch("overrulings", queryset=overruled.select_related("by"), to_attr="standing_overrulings"),
            "entry__readings",
            "entry__photo_names",
        )
    )
    return findings


@dataclass(frozen=True, slots=True)
class Look:
    """One look at a spot, with what came of it.

    Args:
        finding: that the entry stands for today; None where it found nothing, or a later one took its place.
        assessment: the newest of this entry.
        overruling: the newest of the finding.
        is_superseded: a later entry has taken its place.
    """

    entry: Entry
    finding: Finding | None
    assessment: Assessment | None
    overruling: Overruling | None
    photos: tuple[Photo, ...]
    is_superseded: bool


def spot_history(spot: Spot) -> list[Look]:
    """Everything that was ever recorded at a spot, the newest look first. Superseded entries are among it."""
    entries = list(
        Entry.objects.of_yard(spot.yard_id)
        .filter(spot=spot)
        .select_related("inspection", "author", "answers")
        .prefetch_related("readings", "photo_names")
        .order_by("-observed_at", "-pk")
    )
    ids = [entry.pk for entry in entries]
    superseded = set(Entry.objects.filter(supersedes__in=ids).values_list("supersedes_id", flat=True))
    findings = {finding.entry_id: finding for finding in Finding.objects.filter(entry__in=ids)}
    # The last one of a dict comprehension stays: ordered so that this is the newest.
    assessments = {row.entry_id: row for row in Assessment.objects.filter(entry__in=ids).order_by("made_at", "pk")}
    overrulings = {
        row.finding_id: row
        for row in Overruling.objects.filter(finding__entry__in=ids).select_related("by").order_by("made_at", "pk")
    }
    photos = photos_by_entry(spot.yard_id, ids)
    looks = []
    for entry in entries:
        finding = findings.get(entry.pk)
        looks.append(
            Look(
                entry=entry,
                finding=finding,
                assessment=assessments.get(entry.pk),
                overruling=overrulings.get(finding.pk) if finding else None,
                photos=photos.get(entry.pk, ()),
                is_superseded=entry.pk in superseded,
            )
        )
    return looks


def photos_by_entry(yard: Yard | int, entry_ids: Iterable[UUID]) -> dict[UUID, tuple[Photo, ...]]:
    """The photos that have arrived, by the entries that name them, in their order."""
    named = list(
        EntryPhoto.objects.of_yard(yard)
        .filter(entry__in=list(entry_ids))
        .order_by("entry", "position")
        .values_list("entry_id", "sha256")
    )
    here = {
        photo.sha256: photo
        for photo in Photo.objects.of_yard(yard).filter(sha256__in={sha256 for _, sha256 in named})
    }
    photos: dict[UUID, list[Photo]] = {}
    for entry_id, sha256 in named:
        if sha256 in here:
            photos.setdefault(entry_id, []).append(here[sha256])
    return {entry_id: tuple(those) for entry_id, those in photos.items()}


__all__ = [
    "NEW",
    "URGENCY",
    "Look",
    "findings_judged",
    "findings_with_judgement",
    "photos_by_entry",
    "spot_history",
]
