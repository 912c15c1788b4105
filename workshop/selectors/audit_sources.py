"""The kinds of rows that tell who did what: deeds of access, and what is never changed once it is written.

Of each no more is read than is told: a quote's content is long, and entries are by far the most.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.db.models import F, OuterRef, QuerySet, Subquery

from inspections.models import Entry, Overruling, RuleEdition, TemplateVersion
from workshop.models import Decision, HoursAdopted, Quote, Reply, Verification
from workshop.selectors.audit_told import (
    Told,
    decision_told,
    deed_told,
    entry_told,
    hours_told,
    overruling_told,
    published_told,
    quote_told,
    reply_told,
    rules_told,
    verification_told,
)
from yard.models import Deed, DeedKind, Yard


@dataclass(frozen=True, slots=True)
class Source:
    """One kind of row: which, when it was done, whose it is, and how it is told."""

    kind: str
    rows: Callable[[Yard], QuerySet[Any]]
    at: str
    whose: tuple[str, ...]
    tell: Callable[[Any], Told]
    number: type[int] | type[UUID] = int


def _editions(yard: Yard) -> QuerySet[RuleEdition]:
    """Each with the figures of its own that the yard had before it."""
    earlier = RuleEdition.objects.filter(yard=OuterRef("yard"), pk__lt=OuterRef("pk")).order_by("-pk")
    rows: QuerySet[RuleEdition] = RuleEdition.objects.of_yard(yard).select_related("adopted_by")
    return rows.annotate(before=Subquery(earlier.values("overrides")[:1]))


def _entries(yard: Yard) -> QuerySet[Any]:
    """With the names that are told, and none of the rows that they stand in."""
    rows: QuerySet[Any] = Entry.objects.of_yard(yard).annotate(
        author_name=F("author__name"), part_name=F("component__name"), boat_name=F("inspection__boat__name")
    )
    return rows.only("received_at", "answer", "elsewhere", "inspection")


SOURCES: Final = (
    Source(
        "deed",
        lambda yard: Deed.objects.of_yard(yard).select_related("by", "about"),
        "at",
        ("by", "about"),
        deed_told,
    ),
    Source(
        "entry recorded",
        _entries,
        "received_at",
        ("author",),
        entry_told,
        UUID,
    ),
    Source(
        "judged otherwise",
        lambda yard: Overruling.objects.of_yard(yard).select_related("by", "finding__boat"),
        "made_at",
        ("by",),
        overruling_told,
    ),
    Source(
        "quote sent",
        lambda yard: (
            Quote.objects.of_yard(yard).exclude(sent_at=None).select_related("sent_by", "boat").defer("content")
        ),
        "sent_at",
        ("sent_by",),
        quote_told,
    ),
    Source(
        "decided",
        lambda yard: (
            Decision.objects.of_yard(yard)
            .select_related("owner", "member", "line__quote__boat")
            .defer("line__quote__content")
        ),
        "decided_at",
        ("member",),
        decision_told,
    ),
    Source(
        "question answered",
        lambda yard: (
            Reply.objects.of_yard(yard).select_related("member", "line__quote__boat").defer("line__quote__content")
        ),
        "written_at",
        ("member",),
        reply_told,
    ),
    Source(
        "work verified",
        lambda yard: Verification.objects.of_yard(yard).select_related("by", "finding__boat", "surface__boat"),
        "seen_at",
        ("by",),
        verification_told,
    ),
    Source(
        "template published",
        lambda yard: (
            # what came with the stock list was published by nobody
            TemplateVersion.objects.of_yard(yard)
            .exclude(published_by=None)
            .select_related("published_by", "template")
        ),
        "published_at",
        ("published_by",),
        published_told,
    ),
    Source("rules adopted", _editions, "adopted_at", ("adopted_by",), rules_told),
    Source(
        "hours adopted",
        lambda yard: HoursAdopted.objects.of_yard(yard).select_related("adopted_by", "treatment"),
        "adopted_at",
        ("adopted_by",),
        hours_told,
    ),
)
# Entries come by hundreds a day, and whoever looks for a change of settings reads past them.
BUT_ENTRIES: Final = "but-entries"
# What can be asked for: deeds by their own kinds, and the other rows by theirs.
KINDS: Final[dict[str, str]] = (
    {BUT_ENTRIES: "anything but entries"}
    | {str(kind.value): str(kind.label) for kind in DeedKind}
    | {source.kind.replace(" ", "-"): source.kind for source in SOURCES[1:]}
)


__all__ = ["BUT_ENTRIES", "KINDS", "SOURCES", "Source"]
