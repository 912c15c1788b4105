"""What is entered together: a boat with her new owner, and several parts of a boat. All of it or nothing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from django.db import transaction

from yard.models import Boat, Component, ComponentClass, Member, Owner, Yard
from yard.refusals import Refused, RefusedMany
from yard.services.boats import boat_create, component_add
from yard.services.people import owner_create

# More of one kind than any boat carries that is entered by hand (common practice, no source), and as many parts as
# are entered in one go; a file takes in more.
MOST_OF_A_KIND: Final = 40
MOST_PARTS: Final = 300


@dataclass(frozen=True, slots=True)
class NewOwner:
    """An owner who is not entered yet."""

    name: str
    email: str
    phone: str = ""
    locale: str = "en_GB"


@dataclass(frozen=True, slots=True)
class NewPart:
    """A part that a boat is to have. What is wrong with it is refused under `key`."""

    key: str
    component_class: ComponentClass
    name: str
    position: str = ""


@transaction.atomic
def boat_take_in(
    *,
    yard: Yard,
    name: str,
    build: str,
    loa_mm: int,
    beam_mm: int,
    owner: Owner | NewOwner | None,
    decider: Member | None = None,
    material: str = "",
    year: int | None = None,
) -> Boat:
    """Take a boat into the yard's care, with her owner if there is one who is not entered yet.

    Args:
        owner: None for the yard's own boats.
        decider: a manager who decides on her; None lets her owner decide.

    Raises:
        Refused: what `boat_create` and `owner_create` refuse; the owner's fields as `owner_name` and the like.
    """
    if isinstance(owner, NewOwner):
        try:
            owner = owner_create(
                yard=yard, name=owner.name, email=owner.email, phone=owner.phone, locale=owner.locale
            )
        except Refused as refusal:
            raise RefusedMany(
                Refused(f"owner_{single.field}", single.problem, single.remedy) for single in refusal.refusals
            ) from refusal
    decides = decider if decider is not None else owner
    if decides is None:
        raise Refused("owner", "is missing", "choose or enter her owner, or let the yard decide on her")
    return boat_create(
        yard=yard,
        name=name,
        build=build,
        loa_mm=loa_mm,
        beam_mm=beam_mm,
        decider=decides,
        owners=[] if owner is None else [owner],
        material=material,
        year=year,
    )


@transaction.atomic
def parts_add(*, boat: Boat, parts: Sequence[NewPart]) -> list[Component]:
    """Enter several parts of a boat.

    Raises:
        Refused: none is given, too many are, or one can't be; each field begins with the `key` of its part.
    """
    if not parts:
        raise Refused("parts", "none is ticked", "tick what she has")
    too_many = [
        Refused("position", f"has {places} places", f"give at most {MOST_OF_A_KIND} in one go").under(key)
        for key, places in Counter(part.key for part in parts).items()
        if places > MOST_OF_A_KIND
    ]
    if too_many:
        raise RefusedMany(too_many)
    if len(parts) > MOST_PARTS:
        raise Refused("parts", f"are {len(parts)}", f"enter at most {MOST_PARTS} in one go")
    added: list[Component] = []
    refused: list[Refused] = []
    for part in parts:
        try:
            added.append(
                component_add(
                    boat=boat, component_class=part.component_class, name=part.name, position=part.position
                )
            )
        except Refused as refusal:
            refused.append(refusal.under(part.key))
    if refused:
        raise RefusedMany(refused)
    return added


__all__ = ["MOST_OF_A_KIND", "MOST_PARTS", "NewOwner", "NewPart", "boat_take_in", "parts_add"]
