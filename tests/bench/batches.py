"""A boat under inspection with sixty questions, and the batches that a tablet sends after a day aboard."""

from __future__ import annotations

import hashlib
from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from inspections.models import Check, Inspection
from inspections.services.inspections import inspection_open
from tests.factories import (
    BoatFactory,
    ComponentClassFactory,
    ComponentFactory,
    TechnicianFactory,
    TemplateFactory,
    TemplateVersionFactory,
    YardFactory,
)
from tests.factories.inspections import CHECKS, signs_of
from yard.identifiers import uuid7_new
from yard.models import Member
from yard.services.people import device_token_issue
from yard.tag_codes import tag_new

COMPONENTS = 20
# One question more than the factory's two: corners, moisture, and the sealant.
QUESTIONS = [*CHECKS, {**CHECKS[0], "key": "sealant", "prompt": "Is the sealant whole below the pane?"}]
ENTRIES, FINDINGS, NOT_SEEN = 60, 10, 4


@dataclass(frozen=True, slots=True)
class Aboard:
    """The inspection that the batches are for, and the tablet's key."""

    inspection: Inspection
    technician: Member
    key: str
    checks: tuple[Check, ...]
    at: datetime

    @property
    def address(self) -> str:
        return f"/api/v1/inspections/{self.inspection.pk}/entries/"

    def batch(self) -> list[dict[str, Any]]:
        """One answer to each question, never sent before: 10 findings, 4 places not seen, the others sound."""
        sheets = []
        for number, check in enumerate(self.checks):
            sheet: dict[str, Any] = {
                "id": str(uuid7_new()),
                "check": check.pk,
                "answer": "sound",
                "observed_at": (self.at + timedelta(minutes=number)).isoformat(),
                "sequence": number,
            }
            if check.reading:
                sheet["readings"] = [{"quantity": "moisture_pct", "value": f"{14 + number % 9}.5", "unit": "pct"}]
            if number % 6 == 0:
                sheet |= _finding(number)
            elif number % 15 == 7:
                sheet |= {"answer": "not_seen", "not_seen_reason": "lining screwed down"}
                sheet.pop("readings", None)
            sheets.append(sheet)
        answers = Counter(sheet["answer"] for sheet in sheets)
        assert (len(sheets), answers["finding"], answers["not_seen"]) == (ENTRIES, FINDINGS, NOT_SEEN)
        return sheets

    def for_bare_view(self, sheets: list[dict[str, Any]]) -> dict[str, Any]:
        """The same batch with all that the service finds out by itself."""
        return {
            "entries": sheets,
            "yard": self.inspection.yard_id,
            "boat": self.inspection.boat_id,
            "inspection": self.inspection.pk,
            "author": self.technician.pk,
            "component_of_check": {check.pk: check.component_id for check in self.checks},
            "digest": hashlib.sha256(b"a batch").hexdigest(),
        }


def _finding(number: int) -> dict[str, Any]:
    return {
        "answer": "finding",
        "signs": ["CRACK_WOOD", "GAP_JOINT"],
        "size_mm": f"{20 + number}.0",
        "water": "rain",
        "seal": "open",
        "note": "The joint opens by a hair when the frame is pressed; a dark line runs along it.",
        "photos": [hashlib.sha256(uuid7_new().bytes).hexdigest()],
        "spot": {
            "id": str(uuid7_new()),
            "tag": tag_new(),
            "name": "lower aft corner",
            "plan_x": 300 + number,
            "plan_y": 320,
            "level": "deck",
        },
    }


def aboard(now: datetime) -> Aboard:
    """Lay the scene: twenty window frames with three questions each."""
    yard = YardFactory.create()
    signs_of(yard)
    frames = ComponentClassFactory.create(yard=yard)
    TemplateVersionFactory.create(template=TemplateFactory.create(component_class=frames), checks=QUESTIONS)
    boat = BoatFactory.create(yard=yard)
    for _ in range(COMPONENTS):
        ComponentFactory.create(boat=boat, component_class=frames)
    technician = TechnicianFactory.create(yard=yard)
    _, key = device_token_issue(member=technician, device_name="tablet", at=now)
    inspection = inspection_open(boat=boat, season_year=2027, at=now - timedelta(days=1), by=None)
    return Aboard(inspection, technician, key, tuple(inspection.checks.all()), now - timedelta(hours=6))


__all__ = ["ENTRIES", "FINDINGS", "NOT_SEEN", "Aboard", "aboard"]
