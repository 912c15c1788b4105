"""Who did what when: deeds of access, and what the rows that are never changed tell already, in one order.

Each kind of row is asked for no more lines than one page needs, so a page costs the same however much has happened.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from heapq import merge
from typing import Any, Final, TypeAlias

from django.db.models import Q, QuerySet

from workshop.selectors.audit_sources import BUT_ENTRIES, KINDS, SOURCES, Source
from yard.models import Deed, DeedKind, Member, Yard

LINES_A_PAGE: Final = 100
LINES_AT_ONCE: Final = 1000
ORDERS: Final = {"newest": "the newest first", "oldest": "the oldest first"}
# When the line was that came before, what kind it is of, and its key.
Cursor: TypeAlias = tuple[datetime, int, str]


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
        order: a key of `ORDERS`.
    """

    person: Member | None = None
    kind: str = ""
    since: datetime | None = None
    until: datetime | None = None
    order: str = "newest"

    @property
    def backwards(self) -> bool:
        return self.order != "oldest"


def audit_page(
    yard: Yard, by: Narrowed, *, after: str = "", most: int = LINES_A_PAGE
) -> tuple[list[AuditLine], str]:
    """The lines of one page and the cursor of the next one, empty where there is none.

    Args:
        after: the cursor where the page before ended; one that makes no sense begins at the first.
    """
    cursor = _read(after)
    lines = [
        line
        for rank, source in _sources(by)
        for line in _lines(source, rank, yard, by, after=cursor, most=most + 1)
    ]
    # Within a kind they come sorted, and sorting keeps that: at one moment the kinds follow in their order.
    lines.sort(key=lambda line: line.at, reverse=by.backwards)
    shown = lines[:most]
    return shown, shown[-1].cursor if len(lines) > most else ""


def audit_lines(yard: Yard, by: Narrowed) -> Iterator[AuditLine]:
    """All of them in the order of the pages; each row is read once, a thousand of its kind in one query."""
    several = [_every(source, rank, yard, by) for rank, source in _sources(by)]
    return merge(*several, key=lambda line: line.at, reverse=by.backwards)


def _sources(by: Narrowed) -> list[tuple[int, Source]]:
    """The kinds with their ranks, as they follow each other at one moment."""
    ranked = list(enumerate(SOURCES))
    return ranked if by.backwards else ranked[::-1]


def _every(source: Source, rank: int, yard: Yard, by: Narrowed) -> Iterator[AuditLine]:
    cursor = None
    while True:
        lines = _lines(source, rank, yard, by, after=cursor, most=LINES_AT_ONCE)
        yield from lines
        if len(lines) < LINES_AT_ONCE:
            return
        cursor = _read(lines[-1].cursor)


def _lines(
    source: Source, rank: int, yard: Yard, by: Narrowed, *, after: Cursor | None, most: int
) -> list[AuditLine]:
    """The next lines of one kind."""
    rows = _rows(source, yard, by)
    if rows is None:
        return []
    sign = "-" if by.backwards else ""
    rows = _after(rows, source, rank, after, backwards=by.backwards).order_by(f"{sign}{source.at}", f"{sign}pk")
    return [_line(source, rank, row) for row in rows[:most]]


def _rows(source: Source, yard: Yard, by: Narrowed) -> QuerySet[Any] | None:
    """The rows of a source that are asked for; None where none of its kind is."""
    rows = source.rows(yard)
    if by.kind == BUT_ENTRIES:
        if source.kind == "entry recorded":
            return None
    elif by.kind:
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
    rows: QuerySet[Any], source: Source, rank: int, cursor: Cursor | None, *, backwards: bool
) -> QuerySet[Any]:
    """What follows the line that the cursor names."""
    if cursor is None:
        return rows
    at, last_rank, last = cursor
    side = "lt" if backwards else "gt"
    further = Q(**{f"{source.at}__{side}": at})
    if rank == last_rank:
        try:
            further |= Q(**{source.at: at, f"pk__{side}": source.number(last)})
        except ValueError:
            return rows
    elif (rank > last_rank) == backwards:
        further |= Q(**{source.at: at})
    return rows.filter(further)


def _line(source: Source, rank: int, row: Any) -> AuditLine:
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


def _read(cursor: str) -> Cursor | None:
    try:
        at, rank, last = cursor.split("~")
        moment = datetime.fromisoformat(at)
        # as told in UTC: at the ends of the calendar a moment of another zone has none
        return (moment.astimezone(UTC), int(rank), last) if moment.tzinfo is not None else None
    except (ValueError, OverflowError):
        return None


__all__ = ["KINDS", "ORDERS", "AuditLine", "Narrowed", "audit_lines", "audit_page"]
