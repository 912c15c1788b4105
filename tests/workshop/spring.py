"""A spring at a small yard for the workshop's tests: one boat, an open inspection, findings as they are judged.

What a technician and the worker would have written is laid straight into the tables, so that a test says in a line
what it is about. The operations are few and round, so that a price can be worked out by hand.
"""

from __future__ import annotations

import itertools
import uuid
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from decimal import Decimal

from inspections.models import (
    Assessment,
    Check,
    DueBack,
    Entry,
    EntryPhoto,
    Finding,
    Inspection,
    OpeningStep,
    Overruling,
)
from tests.factories import (
    BoatFactory,
    ComponentClassFactory,
    ComponentFactory,
    MemberFactory,
    SpotFactory,
    TechnicianFactory,
    YardFactory,
)
from tests.factories.workshop import CautionFactory, MaterialFactory, TreatmentFactory
from workshop.models import Job, Quote
from workshop.services.proposing import jobs_propose
from workshop.services.quotes import quote_draft, quote_send
from yard.models import Boat, Component, ComponentClass, Member, Yard

_counted = itertools.count(1)


def next_id() -> uuid.UUID:
    """Identifiers that sort in the order in which they were made, the same in every run."""
    return uuid.UUID(int=(0x0198_9680 << 96) | (0x7 << 76) | (0x8 << 60) | next(_counted) << 4)


AT = datetime(2027, 4, 6, 9, 0, tzinfo=UTC)
TODAY = date(2027, 4, 6)


@dataclass
class Spring:
    yard: Yard
    boat: Boat
    manager: Member
    technician: Member
    inspection: Inspection
    component_class: ComponentClass
    made: int = field(default=0)

    def component(self, name: str = "Window frame", position: str = "port side") -> Component:
        return ComponentFactory.create(
            boat=self.boat, component_class=self.component_class, name=name, position=position
        )

    def opening(self, component: Component, shares: str, text: str = "Take down the lining.") -> OpeningStep:
        self.made += 1
        step: OpeningStep = OpeningStep.objects.create(
            yard=self.yard,
            inspection=self.inspection,
            component=component,
            key=f"step-{self.made}",
            kind="take_off",
            text=text,
            shares=shares,
            position=self.made,
        )
        return step

    def check_behind(self, component: Component | None) -> Check | None:
        """A check that is looked at after all that opens the component up; none where it lies open."""
        if component is None:
            return None
        keys = [step.key for step in self.inspection.opening_steps.filter(component=component)]
        if not keys:
            return None
        self.made += 1
        check: Check = Check.objects.create(
            yard=self.yard,
            inspection=self.inspection,
            component=component,
            key=f"check-{self.made}",
            position=self.made,
            prompt="Is it whole?",
            answer_kind="signs",
            after=keys,
        )
        return check

    def finding(
        self,
        component: Component | None,
        *treatments: str,
        priority: str = "this_season",
        severity: int = 3,
        condition: str = "water_in",
        size_mm: str | None = "84.0",
        photos: Sequence[str] = (),
        elsewhere: str = "",
        judged: bool = True,
        due_on: date = date(2027, 4, 30),
    ) -> Finding:
        spot = SpotFactory.create(component=component) if component is not None else None
        entry: Entry = Entry.objects.create(
            id=next_id(),
            yard=self.yard,
            inspection=self.inspection,
            answers=self.check_behind(component),
            component=component,
            elsewhere=elsewhere,
            spot=spot,
            answer="finding",
            signs=["OPEN_JOINT"],
            size_mm=None if size_mm is None else Decimal(size_mm),
            author=self.technician,
            observed_at=AT,
            received_at=AT,
            digest="0" * 64,
        )
        for position, sha256 in enumerate(photos):
            EntryPhoto.objects.create(yard=self.yard, entry=entry, sha256=sha256, position=position)
        finding: Finding = Finding.objects.create(
            id=next_id(),
            yard=self.yard,
            boat=self.boat,
            inspection=self.inspection,
            component=component,
            spot=spot,
            entry=entry,
            found_at=AT,
        )
        if judged:
            self.judge(
                finding, *treatments, priority=priority, severity=severity, condition=condition, due_on=due_on
            )
        return finding

    def judge(
        self,
        finding: Finding,
        *treatments: str,
        priority: str = "this_season",
        severity: int = 3,
        condition: str = "water_in",
        due_on: date = date(2027, 4, 30),
    ) -> Assessment:
        Assessment.objects.filter(finding=finding, superseded_at__isnull=True).update(superseded_at=AT)
        assessment: Assessment = Assessment.objects.create(
            yard=self.yard,
            boat=self.boat,
            entry=finding.entry,
            finding=finding,
            condition=condition,
            severity=severity,
            probability_level="C",
            risk="medium",
            priority=priority,
            due_back_on=due_on,
            due_back_kind="put_right",
            treatments=list(treatments),
            reasons=["The meter shows 26 % here and 14 % a hand away."],
            document={},
            rules_version="test 1",
            inputs_digest="0" * 64,
            made_at=AT,
        )
        DueBack.objects.filter(finding=finding, ended_at__isnull=True).update(ended_at=AT)
        DueBack.objects.create(
            yard=self.yard,
            boat=self.boat,
            component=finding.component,
            spot=finding.spot,
            finding=finding,
            due_on=due_on,
            kind="put_right",
            reason="Water is in.",
            set_at=AT,
        )
        return assessment

    def overrule(self, finding: Finding, priority: str) -> Overruling:
        overruling: Overruling = Overruling.objects.create(
            yard=self.yard,
            finding=finding,
            assessment=Assessment.objects.get(finding=finding, superseded_at__isnull=True),
            by=self.manager,
            priority=priority,
            due_back_on=date(2027, 10, 15),
            reason="She stays on the mooring this summer.",
            made_at=AT,
        )
        return overruling

    def not_seen(self, component: Component, why: str = "the sole stayed down") -> Entry:
        entry: Entry = Entry.objects.create(
            id=next_id(),
            yard=self.yard,
            inspection=self.inspection,
            component=component,
            answer="not_seen",
            not_seen_reason=why,
            author=self.technician,
            observed_at=AT,
            received_at=AT,
            digest="0" * 64,
        )
        return entry

    def propose(self) -> list[Job]:
        return jobs_propose(inspection=self.inspection, at=AT)

    def draft(self) -> Quote:
        return quote_draft(inspection=self.inspection, jobs=self.propose(), by=self.manager, at=AT)

    def sent(self) -> Quote:
        return quote_send(quote=self.draft(), by=self.manager, at=AT)


def a_spring(**boat: object) -> Spring:
    """A yard with two operations (rebedding by the fitting, a seam by the metre), a boat and her open inspection.

    An hour costs 62.00, VAT is 25 %, sealant 0.0550 a ml with 10 % waste.
    """
    yard = YardFactory.create()
    her = BoatFactory.create(yard=yard, **boat)
    MaterialFactory.create(yard=yard, code="sealant", name="Sealant")
    CautionFactory.create(yard=yard, code="GENERAL", title="Local rules come first")
    CautionFactory.create(yard=yard, code="SOLVENT_VAPOUR", title="Solvents")
    TreatmentFactory.create(
        yard=yard,
        code="REBED_SEALANT",
        name="Rebed in sealant",
        materials=[{"item": "sealant", "low": "20", "likely": "40", "high": "80"}],
        cautions=["SOLVENT_VAPOUR"],
    )
    TreatmentFactory.create(yard=yard, code="SEAM", name="Pay a seam", unit="m", setup_hours=Decimal("0.50"))
    TreatmentFactory.create(yard=yard, code="OPEN_UP", name="Open up and look", unit="place")
    inspection: Inspection = Inspection.objects.create(
        yard=yard, boat=her, season_year=2027, launch_on=date(2027, 5, 1), opened_at=AT
    )
    return Spring(
        yard=yard,
        boat=her,
        manager=MemberFactory.create(yard=yard),
        technician=TechnicianFactory.create(yard=yard),
        inspection=inspection,
        component_class=ComponentClassFactory.create(yard=yard),
    )
