"""Finished surfaces with their history and what they want, in a number of queries that doesn't grow with them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Final

from workshop.estimating.finish_cycle import FinishAdvice, FinishedSurface, FinishWork, finish_advice
from workshop.estimating.finish_rules import Deed, finish_rules
from workshop.models import SurfaceWork
from yard.models import Boat, Season, Surface, Yard
from yard.vocabulary import Exposure, Finish

# Where the yard has entered no season that is still to end, the year to come is looked at.
A_YEAR: Final = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class SurfaceStanding:
    """A surface, its history with what was struck, and what it wants today."""

    surface: Surface
    works: tuple[SurfaceWork, ...]
    advice: FinishAdvice


def next_lay_up(yard: Yard, on_date: date) -> date:
    """The day she is next laid up, by the yard's seasons; a year ahead where none has been entered."""
    day: date | None = (
        Season.objects.of_yard(yard)
        .filter(layup_on__gte=on_date)
        .order_by("layup_on")
        .values_list("layup_on", flat=True)
        .first()
    )
    return day or on_date + A_YEAR


def surfaces_standing(
    surfaces: Iterable[Surface], *, yard: Yard, on_date: date, latest: bool = False
) -> list[SurfaceStanding]:
    """Each surface with its history and advice, in the order given, in two queries.

    Args:
        surfaces: of one yard.
        yard: theirs.
        on_date: today, at the yard.
        latest: whether the newest line of the history comes first.
    """
    held = list(surfaces)
    works = _works(held)
    lay_up_on = next_lay_up(yard, on_date)
    return [
        SurfaceStanding(
            surface,
            tuple(reversed(works[surface.pk]) if latest else works[surface.pk]),
            advice_of(surface, works[surface.pk], on_date=on_date, lay_up_on=lay_up_on),
        )
        for surface in held
    ]


def boat_surfaces(boat: Boat, *, on_date: date) -> list[SurfaceStanding]:
    """Every finished surface of a boat, the newest line of each history first."""
    surfaces = Surface.objects.filter(boat=boat).prefetch_related("components").order_by("name", "pk")
    return surfaces_standing(surfaces, yard=boat.yard, on_date=on_date, latest=True)


def advice_of(surface: Surface, works: Sequence[SurfaceWork], *, on_date: date, lay_up_on: date) -> FinishAdvice:
    """What a surface with this history wants; what was struck doesn't count."""
    struck = {work.strikes_id for work in works if work.strikes_id is not None}
    return finish_advice(
        surface=FinishedSurface(
            area_m2=surface.area_m2,
            finish=Finish(surface.finish),
            exposure=Exposure(surface.exposure),
            coat_every_months=surface.coat_every_months,
            strip_after_years=surface.strip_after_years,
        ),
        works=[
            FinishWork(Deed(work.deed), work.done_on, None if work.area_m2 is None else Decimal(work.area_m2))
            for work in works
            if work.deed and work.pk not in struck
        ],
        on_date=on_date,
        lay_up_on=lay_up_on,
        rules=finish_rules(),
    )


def _works(surfaces: Sequence[Surface]) -> Mapping[int, list[SurfaceWork]]:
    found: dict[int, list[SurfaceWork]] = {surface.pk: [] for surface in surfaces}
    rows = SurfaceWork.objects.filter(surface__in=list(found)).select_related(
        "product", "by__user", "job", "strikes", "struck_by"
    )
    for work in rows.order_by("done_on", "pk"):
        found[work.surface_id].append(work)
    return found


__all__ = ["SurfaceStanding", "advice_of", "boat_surfaces", "next_lay_up", "surfaces_standing"]
