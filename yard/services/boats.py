"""Boats, their parts, and the places on them that are looked at again."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from enum import Enum
from functools import partial
from typing import Any, Final

from django.db import IntegrityError, transaction

from yard.identifiers import uuid7_check, uuid7_new
from yard.models import Boat, Build, Component, ComponentClass, DeedKind, Member, Owner, PlanLevel, Spot, Yard
from yard.refusals import Refused
from yard.services.checks import Sheet, choice_check, integer_check, text_check
from yard.services.deeds import change_note, deed_note, thing_of
from yard.tag_codes import tag_check, tag_new


class Unchanged(Enum):
    """Stands for 'leave it as it is' where None is a value of its own."""

    UNCHANGED = "unchanged"


UNCHANGED: Final = Unchanged.UNCHANGED

# What each fact of a boat must be by itself.
BOAT: Final[Mapping[str, Callable[[Any], Any]]] = {
    "name": partial(text_check, field="name", longest=120),
    "build": partial(choice_check, choices=Build.values, field="build"),
    "material": partial(text_check, field="material", longest=120, blank=True),
    "loa_mm": partial(integer_check, field="loa_mm", low=1_500, high=120_000, unit="mm"),
    "beam_mm": partial(integer_check, field="beam_mm", low=500, high=30_000, unit="mm"),
    "year": lambda value: None if value is None else integer_check(value, field="year", low=1700, high=2200),
}

# A free tag is drawn at the first try unless the yard has very many; three misses in a row mean something else.
TAG_TRIES = 8


def boat_create(
    *,
    yard: Yard,
    name: str,
    build: str,
    loa_mm: int,
    beam_mm: int,
    decider: Owner | Member,
    owners: Sequence[Owner] = (),
    material: str = "",
    year: int | None = None,
) -> Boat:
    """Take a boat into the yard's care. The decider is one of her owners, or a manager for the yard's own boats."""
    return _boat_save(
        Boat(yard=yard),
        name=name,
        build=build,
        material=material,
        loa_mm=loa_mm,
        beam_mm=beam_mm,
        year=year,
        owners=list(owners),
        decider=decider,
    )


def boat_change(
    *,
    boat: Boat,
    at: datetime,
    by: Member | None = None,
    name: str | None = None,
    build: str | None = None,
    material: str | None = None,
    loa_mm: int | None = None,
    beam_mm: int | None = None,
    year: int | Unchanged | None = UNCHANGED,
    owners: Sequence[Owner] | None = None,
    decider: Owner | Member | None = None,
    left_on: date | Unchanged | None = UNCHANGED,
) -> Boat:
    """Change what is known of a boat; what is not named stays."""
    with transaction.atomic():
        # Locked, so that two changes of different fields don't undo each other.
        held: Boat = Boat.objects.select_for_update().get(pk=boat.pk)
        before = _told_of(held)
        if not isinstance(left_on, Unchanged):
            held.left_on = left_on
        changed = _boat_save(
            held,
            name=held.name if name is None else name,
            build=held.build if build is None else build,
            material=held.material if material is None else material,
            loa_mm=held.loa_mm if loa_mm is None else loa_mm,
            beam_mm=held.beam_mm if beam_mm is None else beam_mm,
            year=held.year if isinstance(year, Unchanged) else year,
            owners=list(held.owners.all()) if owners is None else list(owners),
            decider=held.decider if decider is None else decider,
        )
        kind, what, after = DeedKind.BOAT_CHANGED, before["name"], _told_of(changed)
        change_note(row=changed, kind=kind, what=what, before=before, after=after, by=by, at=at)
        return changed


def _told_of(boat: Boat) -> dict[str, Any]:
    """A boat as the deeds tell her."""
    facts = {name: getattr(boat, name) for name in (*BOAT, "left_on")}
    return facts | {"owners": sorted(owner.name for owner in boat.owners.all()), "decider": boat.decider.name}


def _boat_save(
    boat: Boat,
    *,
    name: object,
    build: object,
    material: object,
    loa_mm: object,
    beam_mm: object,
    year: object,
    owners: list[Owner],
    decider: Owner | Member,
) -> Boat:
    sheet = Sheet()
    boat.name = sheet.read(lambda: BOAT["name"](name), "")
    boat.build = sheet.read(lambda: BOAT["build"](build), "")
    boat.material = sheet.read(lambda: BOAT["material"](material), "")
    boat.loa_mm = sheet.read(lambda: BOAT["loa_mm"](loa_mm), 120_000)
    boat.beam_mm = sheet.read(lambda: BOAT["beam_mm"](beam_mm), 500)
    boat.year = sheet.read(lambda: BOAT["year"](year), None)
    sheet.read(lambda: proportions_check(boat.loa_mm, boat.beam_mm), None)
    for owner in owners:
        sheet.hold(
            owner.yard_id == boat.yard_id,
            Refused("owners", f"{owner.name} is no owner of this yard", "enter the owner at this yard first"),
        )
    stays = isinstance(decider, Member) and decider.pk == boat.decider_member_id
    sheet.read(lambda: _decider_check(decider, owners, boat.yard_id, stays=stays), None)
    sheet.close()
    boat.decider_owner = decider if isinstance(decider, Owner) else None
    boat.decider_member = decider if isinstance(decider, Member) else None
    taken = Refused("name", f"another boat of this yard has it: {boat.name!r}", "add what tells the two apart")
    if Boat.objects.of_yard(boat.yard_id).filter(name__iexact=boat.name).exclude(pk=boat.pk).exists():
        raise taken
    try:
        with transaction.atomic():
            boat.save()
            boat.owners.set(owners)
    except IntegrityError as error:
        raise taken from error
    return boat


def proportions_check(loa_mm: int, beam_mm: int) -> None:
    """A boat is longer than wide."""
    if loa_mm <= beam_mm:
        raise Refused("beam_mm", "is not less than the length", "look at both again: a boat is longer than wide")


def _decider_check(decider: Owner | Member, owners: list[Owner], yard_id: int, *, stays: bool) -> None:
    """Hold that they may decide. Who decides on her already stays, though they leave."""
    if isinstance(decider, Owner):
        if decider not in owners:
            raise Refused("decider", f"{decider.name} is not among her owners", "take one of her owners")
        return
    if decider.yard_id != yard_id:
        raise Refused("decider", f"{decider.name} is no member of this yard", "take a manager of this yard")
    if not decider.is_manager:
        raise Refused("decider", f"{decider.name} is not a manager", "take a manager, or one of her owners")
    if not stays and (decider.left_on is not None or not decider.user.is_active):
        remedy = "take a manager who stays, or one of her owners"
        raise Refused("decider", f"{decider.name} leaves the yard, or has no open log-in", remedy)


def component_add(
    *,
    boat: Boat,
    component_class: ComponentClass,
    name: str,
    position: str = "",
    species: str = "",
    finish: str = "",
) -> Component:
    """Enter one part of a boat."""
    sheet = Sheet()
    component = Component(
        yard=boat.yard,
        boat=boat,
        component_class=component_class,
        name=sheet.read(lambda: text_check(name, field="name", longest=120), ""),
        position=sheet.read(lambda: text_check(position, field="position", longest=120, blank=True), ""),
        species=sheet.read(lambda: text_check(species, field="species", longest=60, blank=True), ""),
        finish=sheet.read(lambda: text_check(finish, field="finish", longest=60, blank=True), ""),
    )
    sheet.hold(
        component_class.yard_id == boat.yard_id,
        Refused("component_class", "belongs to another yard", "take a class of this yard's catalogue"),
    )
    sheet.close()
    try:
        with transaction.atomic():
            component.save()
    except IntegrityError as error:
        raise Refused(
            "name",
            f"she has (or had) a part of this name and position: {component}",
            "give a position that tells the two apart",
        ) from error
    return component


@transaction.atomic
def component_remove(*, component: Component, at: datetime, by: Member | None = None) -> Component:
    """Note that a part is no longer on the boat. What was recorded of it stays; doing it again changes nothing."""
    today = at.astimezone(component.yard.zone).date()
    if Component.objects.filter(pk=component.pk, removed_on__isnull=True).update(removed_on=today):
        told, thing = f"{component.boat.name}, {component}", thing_of(component)
        deed_note(yard=component.yard_id, kind=DeedKind.PART_REMOVED, by=by, told=told, thing=thing, at=at)
    component.refresh_from_db(fields=["removed_on"])
    return component


def spot_create(
    *,
    component: Component,
    name: str,
    at: datetime,
    id: uuid.UUID | str | None = None,  # noqa: A002 - what the tablet calls it
    tag: str | None = None,
    plan_x: int | None = None,
    plan_y: int | None = None,
    level: str = PlanLevel.DECK,
) -> Spot:
    """Mark a place on a part. A tablet makes the identifier itself, so that sending it twice marks one place.

    Plan coordinates are thousandths: x from the stem to the stern, y from port to starboard.
    """
    sheet = Sheet()
    spot = Spot(
        id=sheet.read(lambda: uuid7_new() if id is None else uuid7_check(id), uuid.UUID(int=0)),
        yard=component.yard,
        component=component,
        name=sheet.read(lambda: text_check(name, field="name", longest=120), ""),
        tag=sheet.read(lambda: tag_new() if tag is None else tag_check(tag), ""),
        plan_x=sheet.read(lambda: _thousandths(plan_x, "plan_x"), None),
        plan_y=sheet.read(lambda: _thousandths(plan_y, "plan_y"), None),
        level=sheet.read(lambda: choice_check(level, PlanLevel.values, field="level"), ""),
        created_at=at,
    )
    sheet.hold(
        (plan_x is None) == (plan_y is None),
        Refused("plan_x" if plan_x is None else "plan_y", "is missing", "give both coordinates or neither"),
    )
    sheet.close()
    for _ in range(TAG_TRIES):
        same: Spot | None = Spot.objects.filter(pk=spot.pk).first()
        if same is not None:
            return _same_spot(same, component)
        try:
            with transaction.atomic():
                spot.save(force_insert=True)
        except IntegrityError:
            if Spot.objects.filter(pk=spot.pk).exists():
                continue  # the same spot came twice at once
            if tag is not None:
                raise Refused(
                    "tag", f"is on another spot of this yard: {spot.tag}", "take a sticker that is not in use"
                ) from None
            spot.tag = tag_new()
        else:
            return spot
    raise RuntimeError(f"no free tag found for a spot on component {component.pk}")


def _same_spot(spot: Spot, component: Component) -> Spot:
    # Another yard's identifier is answered like any other one that is taken: nothing is told about it.
    if spot.component_id != component.pk:
        raise Refused("id", "is taken by a spot on another part", "make a new identifier for a new spot")
    return spot


def _thousandths(value: object, field: str) -> int | None:
    if value is None:
        return None
    return integer_check(value, field=field, low=0, high=1000, unit="thousandths of the plan")
