"""What came in lately: by whom, from which boat."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Max, Q

from inspections.judgement.vocabulary import Answer
from inspections.models import Entry
from yard.models import Yard


@dataclass(frozen=True, slots=True)
class Arrived:
    """What one person sent of one boat.

    Attributes:
        inspection: its key.
        entries: all of them, corrections among them.
        findings, not_seen: how many of them are.
        last_at: when the last one came.
    """

    author: str
    boat: str
    inspection: int
    entries: int
    findings: int
    not_seen: int
    last_at: datetime


def arrived_since(yard: Yard, since: datetime) -> list[Arrived]:
    """The entries that the server took in since then, the latest first, in one query."""
    rows = (
        Entry.objects.of_yard(yard)
        .filter(received_at__gt=since)
        .order_by()
        .values_list("author__name", "inspection__boat__name", "inspection", "author")
        .annotate(
            entries=Count("pk"),
            findings=Count("pk", filter=Q(answer=Answer.FINDING)),
            not_seen=Count("pk", filter=Q(answer=Answer.NOT_SEEN)),
            last_at=Max("received_at"),
        )
        .order_by("-last_at", "author__name", "inspection__boat__name")
    )
    return [
        Arrived(author, boat, inspection, entries, findings, not_seen, last_at)
        for author, boat, inspection, _, entries, findings, not_seen, last_at in rows
    ]


__all__ = ["Arrived", "arrived_since"]
