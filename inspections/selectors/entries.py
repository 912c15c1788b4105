"""Which entries hold: those that no later one has taken the place of."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, QuerySet
from django.db.models.functions import Least

from inspections.models import Entry, EntryPhoto, Inspection, Photo


def standing(entries: QuerySet[Entry]) -> QuerySet[Entry]:
    """Those that were not superseded, the oldest look first.

    `seen_at` is the tablet's time, or the server's where the tablet's clock runs ahead of it.
    """
    return in_order_seen(entries.filter(~Exists(Entry.objects.filter(supersedes=OuterRef("pk")))))


def in_order_seen(entries: QuerySet[Entry]) -> QuerySet[Entry]:
    """All of them, the oldest look first, with `seen_at`."""
    return entries.annotate(seen_at=Least("observed_at", "received_at")).order_by("seen_at", "pk")


def standing_entries(inspection: Inspection) -> QuerySet[Entry]:
    """The standing entries of one inspection, the oldest look first."""
    return standing(Entry.objects.of_yard(inspection.yard_id).filter(inspection=inspection))


def missing_photos(inspection: Inspection) -> QuerySet[EntryPhoto]:
    """Photos that a standing entry names and that have not arrived."""
    arrived = Photo.objects.filter(yard=OuterRef("yard"), sha256=OuterRef("sha256"))
    return (
        EntryPhoto.objects.of_yard(inspection.yard_id)
        .filter(~Exists(arrived), entry__in=standing_entries(inspection).values("pk"))
        .select_related("entry__answers", "entry__component")
        .order_by("entry", "position")
    )


__all__ = ["in_order_seen", "missing_photos", "standing", "standing_entries"]
