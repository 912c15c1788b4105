"""Taking a fleet in from sheets, exactly as it was shown before."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from yard.fleet.columns import BOATS, KINDS, MANAGER, OWNERS
from yard.fleet.plan import Plan, PlannedRow, fleet_plan
from yard.fleet.reading import Table
from yard.fleet.stored import fleet_stored
from yard.models import Boat, Component, ComponentClass, DeedKind, Member, Owner, Yard
from yard.refusals import Refused
from yard.services.boats import boat_change, boat_create, component_add
from yard.services.changes import component_change, owner_change
from yard.services.deeds import deed_note
from yard.services.people import owner_create


@transaction.atomic
def fleet_take(*, yard: Yard, tables: Iterable[Table], digest: str, at: datetime, by: Member | None = None) -> Plan:
    """Do what the plan of this digest says, all of it or nothing. Where nothing is left to be done, nothing is.

    The deeds tell each row that was changed from what to what, and of what is new how many.

    Raises:
        Refused: a row can't be taken in, or what the yard has is not any more what the plan was made from.
    """
    # Two who take in at once do so one after the other, and the second is told that the yard has changed.
    Yard.objects.select_for_update(no_key=True).get(pk=yard.pk)
    plan = fleet_plan(tables, fleet_stored(yard, held=True))
    if refused := plan.of("refused"):
        raise Refused("file", f"{len(refused)} rows can't be taken in", "mend them, and choose the file again")
    if plan.does_something and plan.digest != digest:
        problem = "would do something else by now, because what the yard has was changed since"
        raise Refused("file", problem, "look through the rows again as they stand below")
    _Taking(yard, at, by).all_of(plan)
    if plan.does_something:
        told = ", ".join(
            f"{number} {kind.name if number != 1 else kind.one} {fate}"
            for kind in KINDS.values()
            for fate in ("new", "changed")
            if (number := sum(row.kind == kind and row.fate == fate for row in plan.rows))
        )
        deed_note(yard=yard, kind=DeedKind.FLEET_TAKEN_IN, by=by, told=told, at=at)
    return plan


class _Taking:
    """The rows of a plan, one after the other, with what they speak of looked up once."""

    def __init__(self, yard: Yard, at: datetime, by: Member | None) -> None:
        self.yard, self.at, self.by = yard, at, by
        self.owners = {owner.email: owner for owner in Owner.objects.of_yard(yard)}
        self.boats = {boat.name: boat for boat in Boat.objects.of_yard(yard)}
        self.managers = {
            f"{MANAGER}{member.user.username}": member
            for member in Member.objects.of_yard(yard).select_related("user")
        }
        self.classes = {each.code: each for each in ComponentClass.objects.of_yard(yard)}

    def all_of(self, plan: Plan) -> None:
        for row in plan.rows:
            if row.fate == "unchanged":
                continue
            do = {OWNERS.name: self._owner, BOATS.name: self._boat}.get(row.kind.name, self._component)
            try:
                do(row, {change.column: row.values[change.column] for change in row.changes})
            except Refused as refusal:
                # The plan has looked at the same things; this is said where a service knows more than the plan.
                raise refusal.under(f"{row.title}, row {row.number}") from refusal

    def _owner(self, row: PlannedRow, changes: Mapping[str, Any]) -> None:
        if row.pk is None:
            email = str(row.values["email"])
            self.owners[email] = owner_create(yard=self.yard, email=email, **changes)
        else:
            owner = Owner.objects.of_yard(self.yard).get(pk=row.pk)
            self.owners[owner.email] = owner_change(owner=owner, changes=changes, by=self.by, at=self.at)

    def _boat(self, row: PlannedRow, changes: Mapping[str, Any]) -> None:
        facts = dict(changes)
        if "owners" in facts:
            facts["owners"] = [self.owners[address] for address in facts["owners"]]
        if "decider" in facts:
            facts["decider"] = self.managers.get(facts["decider"]) or self.owners[facts["decider"]]
        name = str(row.values["name"])
        if row.pk is not None:
            self.boats[name] = boat_change(boat=self.boats[name], by=self.by, at=self.at, **facts)
            return
        left_on = facts.pop("left_on", None)
        boat = boat_create(yard=self.yard, name=name, **facts)
        if left_on is not None:
            boat = boat_change(boat=boat, left_on=left_on, by=self.by, at=self.at)
        self.boats[name] = boat

    def _component(self, row: PlannedRow, changes: Mapping[str, Any]) -> None:
        if row.pk is not None:
            component = Component.objects.of_yard(self.yard).select_related("boat").get(pk=row.pk)
            component_change(component=component, changes=changes, by=self.by, at=self.at)
            return
        facts = dict(changes)
        component_add(
            boat=self.boats[str(row.values["boat"])],
            component_class=self.classes[facts.pop("class")],
            name=str(row.values["name"]),
            position=str(row.values.get("position") or ""),
            **facts,
        )


__all__ = ["fleet_take"]
