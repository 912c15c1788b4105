"""Who did what when: deeds of access, and what the rows that are never changed tell already. Newest first.

Each kind of row is asked for no more lines than one page needs, so a page costs the same however much has happened.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Final
from uuid import UUID

from django.db.models import OuterRef, Q, QuerySet, Subquery

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
from yard.models import Deed, DeedKind, Member, Yard

LINES_A_PAGE: Final = 100


@dataclass(frozen=True, slots=True)
class AuditLine:
    """One thing that was done. `thing` and `key` say what page tells more, where one does."""

    at: datetime
    kind: str
    who: str
    told: str
    thing: str
    key: object
    from_address: str
    # where the next page goes on
    cursor: str


@dataclass(frozen=True, slots=True)
class Narrowed:
    """What is asked for.

    Args:
        kind: a key of `KINDS`, or empty.
        since, until: from this moment on, and before that one.
    """

    person: Member | None = None
    kind: str = ""
    since: datetime | None = None
    until: datetime | None = None


@dataclass(frozen=True, slots=True)
class _Source:
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


SOURCES: Final = (
    _Source(
        "deed",
        lambda yard: Deed.objects.of_yard(yard).select_related("by", "about"),
        "at",
        ("by", "about"),
        deed_told,
    ),
    _Source(
        "entry recorded",
        lambda yard: Entry.objects.of_yard(yard).select_related("author", "component", "inspection__boat"),
        "received_at",
        ("author",),
        entry_told,
        UUID,
    ),
    _Source(
        "judged otherwise",
        lambda yard: Overruling.objects.of_yard(yard).select_related("by", "finding__boat"),
        "made_at",
        ("by",),
        overruling_told,
    ),
    _Source(
        "quote sent",
        lambda yard: Quote.objects.of_yard(yard).exclude(sent_at=None).select_related("sent_by", "boat"),
        "sent_at",
        ("sent_by",),
        quote_told,
    ),
    _Source(
        "decided",
        lambda yard: Decision.objects.of_yard(yard).select_related("owner", "member", "line__quote__boat"),
        "decided_at",
        ("member",),
        decision_told,
    ),
    _Source(
        "question answered",
        lambda yard: Reply.objects.of_yard(yard).select_related("member", "line__quote__boat"),
        "written_at",
        ("member",),
        reply_told,
    ),
    _Source(
        "work verified",
        lambda yard: Verification.objects.of_yard(yard).select_related("by", "finding__boat", "surface__boat"),
        "seen_at",
        ("by",),
        verification_told,
    ),
    _Source(
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
    _Source("rules adopted", _editions, "adopted_at", ("adopted_by",), rules_told),
    _Source(
        "hours adopted",
        lambda yard: HoursAdopted.objects.of_yard(yard).select_related("adopted_by", "treatment"),
        "adopted_at",
        ("adopted_by",),
        hours_told,
    ),
)
# What can be asked for: deeds by their own kinds, and the other rows by theirs.
KINDS: Final[dict[str, str]] = {str(kind.value): str(kind.label) for kind in DeedKind} | {
    source.kind.replace(" ", "-"): source.kind for source in SOURCES[1:]
}


def audit_page(
    yard: Yard, by: Narrowed, *, after: str = "", most: int = LINES_A_PAGE
) -> tuple[list[AuditLine], str]:
    """The lines of one page and the cursor of the next one, empty where there is none.

    Args:
        after: the cursor where the page before ended; one that makes no sense begins at the newest.
    """
    cursor = _read(after)
    lines: list[AuditLine] = []
    for rank, source in enumerate(SOURCES):
        rows = _rows(source, yard, by)
        if rows is not None:
            rows = _after(rows, source, rank, cursor).order_by(f"-{source.at}", "-pk")[: most + 1]
            lines += [_line(source, rank, row) for row in rows]
    # Within a kind they come sorted, and sorting keeps that: at one moment the kinds follow in their order.
    lines.sort(key=lambda line: line.at, reverse=True)
    shown = lines[:most]
    return shown, shown[-1].cursor if len(lines) > most else ""


def audit_lines(yard: Yard, by: Narrowed) -> Iterator[AuditLine]:
    """All of them, page by page."""
    after = ""
    while True:
        lines, after = audit_page(yard, by, after=after, most=1000)
        yield from lines
        if not after:
            return


def _rows(source: _Source, yard: Yard, by: Narrowed) -> QuerySet[Any] | None:
    """The rows of a source that are asked for; None where none of its kind is."""
    rows = source.rows(yard)
    if by.kind:
        if source.kind == "deed" and by.kind in DeedKind.values:
            rows = rows.filter(kind=by.kind)
        elif source.kind.replace(" ", "-") != by.kind:
            return None
    if by.person is not None:
        whose = Q()
        for name in source.whose:
            whose |= Q(**{name: by.person})
        rows = rows.filter(whose)
    if by.since is not None:
        rows = rows.filter(**{f"{source.at}__gte": by.since})
    if by.until is not None:
        rows = rows.filter(**{f"{source.at}__lt": by.until})
    return rows


def _after(
    rows: QuerySet[Any], source: _Source, rank: int, cursor: tuple[datetime, int, str] | None
) -> QuerySet[Any]:
    if cursor is None:
        return rows
    at, last_rank, last = cursor
    earlier = Q(**{f"{source.at}__lt": at})
    if rank > last_rank:
        earlier |= Q(**{source.at: at})
    elif rank == last_rank:
        try:
            earlier |= Q(**{source.at: at}, pk__lt=source.number(last))
        except ValueError:
            return rows
    return rows.filter(earlier)


def _line(source: _Source, rank: int, row: Any) -> AuditLine:
    who, told, thing, key = source.tell(row)
    at = getattr(row, source.at)
    is_deed = isinstance(row, Deed)
    return AuditLine(
        at=at,
        kind=row.get_kind_display() if is_deed else source.kind,
        who=who,
        told=told,
        thing=thing,
        key=key,
        from_address=(row.from_address or "") if is_deed else "",
        cursor=f"{at.isoformat()}~{rank}~{row.pk}",
    )


def _read(cursor: str) -> tuple[datetime, int, str] | None:
    try:
        at, rank, last = cursor.split("~")
        moment = datetime.fromisoformat(at)
        # as told in UTC: at the ends of the calendar a moment of another zone has none
        return (moment.astimezone(UTC), int(rank), last) if moment.tzinfo is not None else None
    except (ValueError, OverflowError):
        return None


__all__ = ["KINDS", "AuditLine", "Narrowed", "audit_lines", "audit_page"]
