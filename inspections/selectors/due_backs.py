"""The due-back book: by when somebody must be back, and where."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, Final

from django.db.models import Count, Exists, Max, Min, OuterRef, Q, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce

from inspections.judgement.vocabulary import Answer
from inspections.models import DueBack, Entry, Inspection
from inspections.models.findings import FindingState
from inspections.selectors.entries import standing
from yard.models import Boat, Yard
from yard.words import with_words

LOOKED_AT = (Answer.SOUND, Answer.FINDING, Answer.NOT_FITTED)
# Whether somebody has been back says nothing about these: they wait for the workshop.
WAITS_FOR_THE_WORKSHOP = (FindingState.HELD, FindingState.REPAIRED)

TEXTS: Final = (
    "reason",
    "boat__name",
    "component__name",
    "component__position",
    "spot__name",
    "surface__name",
    "entry__elsewhere",
    "entry__answers__prompt",
    "finding__entry__elsewhere",
    "finding__entry__answers__prompt",
)


def due_back_book(yard: Yard | int, *, boat: Boat | None = None) -> QuerySet[DueBack]:
    """The open lines of the yard or of one boat, the earliest day first.

    Left out are parts that were taken off, boats that have left, and places that a later inspection has looked at
    already: their lines end when that inspection is closed, and come back if its answer is taken back.
    """
    lines = _lines(yard) if boat is None else _lines(yard).filter(boat=boat)
    open_lines: QuerySet[DueBack] = (
        _without_answered(lines)
        .select_related("boat", "component", "spot", "finding", "entry", "surface")
        .order_by("due_on", "pk")
    )
    return open_lines


def _lines(yard: Yard | int) -> QuerySet[Any]:
    """The lines that have not ended, those that a later inspection has answered among them."""
    lines: QuerySet[Any] = (
        DueBack.objects.of_yard(yard)
        .filter(Q(component__isnull=True) | Q(component__removed_on__isnull=True))
        .filter(ended_at__isnull=True, boat__left_on__isnull=True)
        .annotate(season_year=Coalesce("finding__inspection__season_year", "entry__inspection__season_year"))
    )
    return lines


def _without_answered(lines: QuerySet[DueBack]) -> QuerySet[DueBack]:
    """Those whose places no later inspection has looked at.

    Which have been looked at is asked here and now: it is dear, and a page asks the book several times over.
    """
    looked = standing(
        Entry.objects.filter(
            inspection__boat=OuterRef("boat"),
            inspection__season_year__gt=OuterRef("season_year"),
            answer__in=LOOKED_AT,
        )
    ).order_by()
    at_spot = looked.filter(spot=OuterRef("spot"))
    # A line that a verification has set is newer than the look that the verification followed.
    answered = (
        (Q(Exists(at_spot)) & ~Q(finding__state__in=[*WAITS_FOR_THE_WORKSHOP, FindingState.VERIFIED]))
        | (Q(Exists(at_spot.filter(received_at__gt=OuterRef("set_at")))) & Q(finding__state=FindingState.VERIFIED))
        | (
            Q(finding__isnull=True)
            & Exists(
                looked.filter(
                    answers__component=OuterRef("entry__answers__component"),
                    answers__key=OuterRef("entry__answers__key"),
                )
            )
        )
    )
    return lines.exclude(pk__in=list(lines.filter(answered).order_by().values_list("pk", flat=True)))


def due_back_narrowed(
    lines: QuerySet[DueBack],
    *,
    boat: Boat | None = None,
    kind: str = "",
    before: date | None = None,
    since: date | None = None,
    until: date | None = None,
    text: str = "",
) -> QuerySet[DueBack]:
    """The lines that fit all that is asked for.

    Args:
        lines: of the book.
        boat: hers alone.
        kind: what somebody must be back for.
        before: due before this day.
        since: due on this day or later.
        until: due on this day or earlier.
        text: each of its words stands in the reason, the boat's name, the place or the question.
    """
    if boat is not None:
        lines = lines.filter(boat=boat)
    if kind:
        lines = lines.filter(kind=kind)
    if before is not None:
        lines = lines.filter(due_on__lt=before)
    if since is not None:
        lines = lines.filter(due_on__gte=since)
    if until is not None:
        lines = lines.filter(due_on__lte=until)
    return with_words(lines, text, TEXTS)


def due_back_lately_ended(yard: Yard | int, *, since: datetime) -> QuerySet[DueBack]:
    """The last lines of what has left the book since then. What has a new line has not left it."""
    lines = DueBack.objects.of_yard(yard)
    later = [
        Exists(lines.filter(pk__gt=OuterRef("pk"), **{name: OuterRef(name)}))
        for name in ("finding", "entry", "surface")
    ]
    ended: QuerySet[DueBack] = (
        lines.filter(ended_at__gte=since)
        .exclude(later[0])
        .exclude(later[1])
        .exclude(later[2])
        .select_related("boat", "component", "spot", "finding", "entry", "surface")
        .order_by("due_on", "pk")
    )
    return ended


def with_earlier_lines(lines: QuerySet[DueBack]) -> QuerySet[DueBack]:
    """Each line with `earlier_lines`, how many stood before it for the same finding, entry or surface."""

    def earlier(name: str) -> Subquery:
        same = DueBack.objects.filter(pk__lt=OuterRef("pk"), **{name: OuterRef(name)})
        return Subquery(same.order_by().values(name).annotate(lines=Count("pk")).values("lines"))

    counted: QuerySet[DueBack] = lines.annotate(
        earlier_lines=Coalesce(earlier("finding"), earlier("entry"), earlier("surface"), Value(0))
    )
    return counted


def boats_due_back_on(yard: Yard | int) -> dict[int, date]:
    """For each boat that has one, her earliest due-back day, in four queries at most.

    Only lines from before a boat's last inspection can have been answered by a later one: whether they were is
    looked for with these boats alone.
    """
    inspections = Inspection.objects.of_yard(yard).order_by().values("boat").annotate(last=Max("season_year"))
    last_season: dict[int, int] = dict(inspections.values_list("boat", "last"))
    first_days: dict[int, date] = {}
    with_older_lines: set[int] = set()
    lines = _lines(yard)
    seasons = lines.order_by().values("boat", "season_year").annotate(first=Min("due_on"))
    for boat, season_year, first in seasons.values_list("boat", "season_year", "first"):
        if season_year is not None and season_year < last_season[boat]:
            with_older_lines.add(boat)
        else:
            first_days[boat] = min(first, first_days.get(boat, first))
    if not with_older_lines:
        return first_days
    unanswered = _without_answered(lines.filter(boat__in=with_older_lines))
    older = unanswered.order_by().values("boat").annotate(first=Min("due_on"))
    return first_days | dict(older.values_list("boat", "first"))


def boat_due_back_on(boat: Boat) -> date | None:
    """The earliest due-back day of a boat; None where nothing is due."""
    first: date | None = due_back_book(boat.yard_id, boat=boat).aggregate(first=Min("due_on"))["first"]
    return first


__all__ = [
    "boat_due_back_on",
    "boats_due_back_on",
    "due_back_book",
    "due_back_lately_ended",
    "due_back_narrowed",
    "with_earlier_lines",
]
