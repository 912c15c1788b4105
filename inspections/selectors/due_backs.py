"""The due-back book: by when somebody must be back, and where."""

from __future__ import annotations

from datetime import date

from django.db.models import Exists, Min, OuterRef, Q, QuerySet
from django.db.models.functions import Coalesce

from inspections.judgement.vocabulary import Answer
from inspections.models import DueBack, Entry
from inspections.models.findings import FindingState
from inspections.selectors.entries import standing
from yard.models import Boat, Yard

LOOKED_AT = (Answer.SOUND, Answer.FINDING, Answer.NOT_FITTED)
# Whether somebody has been back says nothing about these: they wait for the workshop.
WAITS_FOR_THE_WORKSHOP = (FindingState.HELD, FindingState.REPAIRED)


def due_back_book(yard: Yard | int) -> QuerySet[DueBack]:
    """The open lines, the earliest day first.

    Left out are parts that were taken off, boats that have left, and places that a later inspection has looked at
    already: their lines end when that inspection is closed, and come back if its answer is taken back.
    """
    lines = (
        DueBack.objects.of_yard(yard)
        .filter(Q(component__isnull=True) | Q(component__removed_on__isnull=True))
        .filter(ended_at__isnull=True, boat__left_on__isnull=True)
        .annotate(season_year=Coalesce("finding__inspection__season_year", "entry__inspection__season_year"))
    )
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
    open_lines: QuerySet[DueBack] = (
        lines.exclude(pk__in=lines.filter(answered).values("pk"))
        .select_related("boat", "component", "spot", "finding", "entry", "surface")
        .order_by("due_on", "pk")
    )
    return open_lines


def boats_due_back_on(yard: Yard | int) -> dict[int, date]:
    """For each boat that has one, her earliest due-back day."""
    return dict(
        due_back_book(yard).order_by().values("boat").annotate(first=Min("due_on")).values_list("boat", "first")
    )


def boat_due_back_on(boat: Boat) -> date | None:
    """The earliest due-back day of a boat; None where nothing is due."""
    first: date | None = due_back_book(boat.yard_id).filter(boat=boat).aggregate(first=Min("due_on"))["first"]
    return first


__all__ = ["boat_due_back_on", "boats_due_back_on", "due_back_book"]
