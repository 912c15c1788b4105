"""What the yard has of its fleet, as the sheets tell it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db.models import Q, QuerySet

from yard.fleet.columns import MANAGER
from yard.fleet.plan import Record, Stored
from yard.models import Boat, Component, ComponentClass, Member, Owner, Role, Yard


def fleet_stored(yard: Yard, *, held: bool = False) -> Stored:
    """Everything that rows are compared with, in a fixed number of queries. `held`: locked until the commit."""

    def rows(found: QuerySet[Any]) -> QuerySet[Any]:
        return found.select_for_update(of=("self",)) if held else found

    managers = Member.objects.of_yard(yard).filter(role=Role.MANAGER).select_related("user")
    return Stored(
        owners=tuple(Record(owner.pk, owner_values(owner)) for owner in rows(Owner.objects.of_yard(yard))),
        boats=tuple(Record(boat.pk, boat_values(boat)) for boat in rows(with_people(Boat.objects.of_yard(yard)))),
        components=tuple(
            Record(component.pk, component_values(component), gone=component.removed_on is not None)
            for component in rows(with_boat(Component.objects.of_yard(yard)))
        ),
        classes=dict(ComponentClass.objects.of_yard(yard).values_list("code", "pk")),
        managers={manager.user.username: manager.pk for manager in managers},
    )


def fleet_of(boats: QuerySet[Boat]) -> dict[str, list[Mapping[str, Any]]]:
    """The rows of each sheet for these boats: with their owners, and the parts that are on them."""
    whose = Q(boats__in=boats.order_by().values("pk"))
    parts = Component.objects.filter(boat__in=boats.order_by().values("pk"), removed_on=None)
    return {
        "owners": [owner_values(owner) for owner in Owner.objects.filter(whose).distinct().order_by("name", "pk")],
        "boats": [boat_values(boat) for boat in with_people(boats)],
        "components": [
            component_values(component)
            for component in with_boat(parts).order_by("boat__name", "boat", "name", "position", "pk")
        ],
    }


def with_people(boats: QuerySet[Boat]) -> QuerySet[Boat]:
    return boats.select_related("decider_owner", "decider_member__user").prefetch_related("owners")


def with_boat(components: QuerySet[Component]) -> QuerySet[Component]:
    return components.select_related("boat", "component_class")


def owner_values(owner: Owner) -> dict[str, Any]:
    return {"email": owner.email, "name": owner.name, "phone": owner.phone, "locale": owner.locale}


def boat_values(boat: Boat) -> dict[str, Any]:
    decider = boat.decider
    return {
        "name": boat.name,
        "build": str(boat.build),
        "material": boat.material,
        "loa_mm": boat.loa_mm,
        "beam_mm": boat.beam_mm,
        "year": boat.year,
        "owners": tuple(sorted(owner.email for owner in boat.owners.all())),
        "decider": decider.email if isinstance(decider, Owner) else f"{MANAGER}{decider.user.username}",
        "left_on": boat.left_on,
    }


def component_values(component: Component) -> dict[str, Any]:
    return {
        "boat": component.boat.name,
        "class": component.component_class.code,
        "name": component.name,
        "position": component.position,
        "species": component.species,
        "finish": component.finish,
    }


__all__ = ["fleet_of", "fleet_stored"]
