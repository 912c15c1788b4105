"""A small yard with one boat under inspection, and what a tablet would send from her."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from inspections.models import Check, Inspection
from inspections.services.entries import EntryResult, entries_submit
from inspections.services.inspections import inspection_open
from tests.factories import (
    BoatFactory,
    ComponentClassFactory,
    ComponentFactory,
    MemberFactory,
    TechnicianFactory,
    TemplateFactory,
    TemplateVersionFactory,
    YardFactory,
)
from tests.factories.inspections import made_id, signs_of
from yard.models import Boat, Component, Member, Yard


@dataclass
class Scene:
    """One yard, one boat with one window frame, one open inspection with two checks: corners and moisture."""

    yard: Yard
    manager: Member
    technician: Member
    boat: Boat
    component: Component
    inspection: Inspection
    at: datetime
    _made: int = field(default=0)

    @property
    def corners(self) -> Check:
        return self.check("corners")

    @property
    def moisture(self) -> Check:
        return self.check("moisture")

    def check(self, key: str, inspection: Inspection | None = None) -> Check:
        check: Check = Check.objects.get(inspection=inspection or self.inspection, key=key)
        return check

    def new_id(self) -> str:
        self._made += 1
        return str(made_id(self.boat.pk * 100_000 + self._made))

    def sound(self, check: Check | None = None, /, **more: Any) -> dict[str, Any]:
        """A sound answer to a check (corners unless said otherwise)."""
        return {
            "id": self.new_id(),
            "check": (check or self.corners).pk,
            "answer": "sound",
            "observed_at": self.at.isoformat(),
            **more,
        }

    def finding(self, check: Check | None = None, /, **more: Any) -> dict[str, Any]:
        """A crack at a new spot, in answer to a check."""
        spot = {"id": self.new_id(), "name": "lower aft corner", "plan_x": 410, "plan_y": 320}
        return {
            **self.sound(check),
            "answer": "finding",
            "signs": ["CRACK_WOOD"],
            "size_mm": "40",
            "spot": spot,
            **more,
        }

    def not_seen(self, check: Check | None = None, /, **more: Any) -> dict[str, Any]:
        return {**self.sound(check), "answer": "not_seen", "not_seen_reason": "lining screwed down", **more}

    def wet(self, value: str = "16.5", **more: Any) -> dict[str, Any]:
        """A sound answer to the check that asks for moisture."""
        reading = {"quantity": "moisture_pct", "value": value, "unit": "pct"}
        return self.sound(self.moisture, readings=[reading], **more)

    def submit(
        self, *sheets: Mapping[str, object], at: datetime | None = None, inspection: Inspection | None = None
    ) -> list[EntryResult]:
        return entries_submit(
            inspection=inspection or self.inspection,
            author=self.technician,
            device=None,
            sheets=sheets,
            at=at or self.at + timedelta(minutes=10),
        )

    def store(self, *sheets: Mapping[str, object], **more: Any) -> None:
        """Submit, and be sure that all were taken."""
        results = self.submit(*sheets, **more)
        assert [result.outcome for result in results] == ["stored"] * len(sheets), results


def scene(at: datetime, yard: Yard | None = None) -> Scene:
    """A scene of a yard of its own, or another boat of a yard."""
    fresh = yard is None
    yard = yard or YardFactory.create()
    if fresh:
        signs_of(yard)
    component_class = ComponentClassFactory.create(yard=yard)
    TemplateVersionFactory.create(template=TemplateFactory.create(component_class=component_class))
    boat = BoatFactory.create(yard=yard)
    component = ComponentFactory.create(boat=boat, component_class=component_class)
    return Scene(
        yard=yard,
        manager=MemberFactory.create(yard=yard),
        technician=TechnicianFactory.create(yard=yard),
        boat=boat,
        component=component,
        inspection=inspection_open(boat=boat, season_year=2027, at=at - timedelta(days=5), by=None),
        at=at,
    )


__all__ = ["Scene", "scene"]
