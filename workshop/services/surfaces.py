"""Finished surfaces of a boat: entered, changed, and kept in line with the due-back book."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from django.db import IntegrityError, transaction

from inspections.judgement.vocabulary import DueBackKind
from inspections.models import Inspection
from inspections.services.asking import ask_for_jobs
from inspections.services.due_back import due_back_end, due_back_set
from workshop.estimating.finish_cycle import FinishAdvice
from workshop.selectors.surfaces import surfaces_standing
from yard.models import Boat, Component, DeedKind, Member, Surface
from yard.models.surfaces import LARGEST_AREA_M2
from yard.refusals import Refused
from yard.selectors import today_at
from yard.services.checks import Sheet, choice_check, decimal_check, integer_check, text_check
from yard.services.deeds import change_note
from yard.vocabulary import Exposure, Finish

FIELDS: Final = ("name", "area_m2", "finish", "exposure", "coat_every_months", "strip_after_years")
STRIP_IT: Final = "Strip it to bare wood and build the finish up again."


@transaction.atomic
def surface_create(
    *,
    boat: Boat,
    name: str,
    area_m2: Decimal,
    finish: str,
    at: datetime,
    exposure: str = Exposure.UNKNOWN,
    components: Iterable[Component] = (),
    coat_every_months: int | None = None,
    strip_after_years: int | None = None,
) -> Surface:
    """Enter a finished surface of a boat. Parts that belonged to another surface belong to this one from now on.

    Raises:
        Refused, RefusedMany: a name that is taken, an area or figure out of range, an unknown word, or a part that
            is not hers or was taken off.
    """
    surface = Surface(yard_id=boat.yard_id, boat=boat, entered_at=at)
    given = {
        "name": name,
        "area_m2": area_m2,
        "finish": finish,
        "exposure": exposure,
        "coat_every_months": coat_every_months,
        "strip_after_years": strip_after_years,
    }
    _write(surface, given, list(components))
    surface_due_back_set(surface=surface, at=at)
    return surface


@transaction.atomic
def surface_change(
    *,
    surface: Surface,
    changes: Mapping[str, Any],
    at: datetime,
    by: Member | None = None,
    components: Iterable[Component] | None = None,
) -> Surface:
    """Change what is known of a surface. What is not named stays; its history stays in any case.

    Raises:
        Refused, RefusedMany: as for `surface_create`, or a field that can't be changed.
    """
    held = Surface.objects.select_for_update(no_key=True).select_related("boat").get(pk=surface.pk)
    unknown = sorted(set(changes) - set(FIELDS))
    if unknown:
        raise Refused(unknown[0], "can't be changed", f"change one of: {', '.join(FIELDS)}")
    before, what = _told_of(held), f"{held.boat.name}, {held.name}"
    _write(held, changes, None if components is None else list(components))
    kind, after = DeedKind.SURFACE_CHANGED, _told_of(held)
    change_note(row=held, kind=kind, what=what, before=before, after=after, by=by, at=at)
    surface_due_back_set(surface=held, at=at)
    return held


def _told_of(surface: Surface) -> dict[str, Any]:
    parts = sorted(str(part) for part in surface.components.all())
    return {name: getattr(surface, name) for name in FIELDS} | {"parts": parts}


def surface_due_back_set(*, surface: Surface, at: datetime) -> FinishAdvice:
    """Bring the surface's line of the due-back book in line with its history, and have its boat's jobs looked at.

    The caller holds the surface's row.
    """
    on_date = today_at(surface.yard, at)
    (standing,) = surfaces_standing([surface], yard=surface.yard, on_date=on_date)
    advice = standing.advice
    if advice.strip_due_on is None:
        due_back_end(surface=surface, at=at)
    else:
        due_back_set(
            surface=surface,
            due_on=advice.strip_due_on,
            kind=DueBackKind.PUT_RIGHT,
            reason=" ".join((STRIP_IT, *advice.because)),
            at=at,
        )
    looking = Inspection.objects.filter(boat=surface.boat_id, closed_at__isnull=True).values_list("pk", flat=True)
    ask_for_jobs(list(looking), yard=surface.yard, at=at)
    return advice


def _write(surface: Surface, given: Mapping[str, Any], components: list[Component] | None) -> None:
    sheet = Sheet()
    for field, value in given.items():
        setattr(surface, field, sheet.read(lambda f=field, v=value: _checked(f, v), value))  # type: ignore[misc]
    for part in components or ():
        sheet.hold(
            part.boat_id == surface.boat_id and part.removed_on is None,
            Refused("components", f"{part} is not on her", "name parts of this boat that are fitted"),
        )
    sheet.close()
    try:
        with transaction.atomic():
            surface.save()
    except IntegrityError as error:
        raise Refused("name", f"{surface.name!r} is another surface of hers", "give it another name") from error
    if components is not None:
        surface.components.exclude(pk__in=[part.pk for part in components]).update(surface=None)
        Component.objects.filter(pk__in=[part.pk for part in components]).update(surface=surface)


def _checked(field: str, value: Any) -> object:
    if field == "name":
        return text_check(value, field=field, longest=120)
    if field == "area_m2":
        least = Decimal("0.01")
        return decimal_check(value, field=field, low=least, high=Decimal(LARGEST_AREA_M2), places=2, unit="m²")
    if field in ("finish", "exposure"):
        return choice_check(value, list(Finish if field == "finish" else Exposure), field=field)
    if value is None:
        return None
    high, unit = (240, "months") if field == "coat_every_months" else (60, "years")
    return integer_check(value, field=field, low=1, high=high, unit=unit)


__all__ = ["surface_change", "surface_create", "surface_due_back_set"]
