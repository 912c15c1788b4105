"""Lists ask the database as often for ten boats as for three hundred."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from inspections.models import Inspection
from tests.factories import BoatFactory, ComponentClassFactory, ComponentFactory, MemberFactory, SpotFactory
from tests.factories.inspections import (
    AssessmentFactory,
    CheckFactory,
    DueBackFactory,
    EntryFactory,
    FindingFactory,
    InspectionFactory,
    SetAsideFactory,
)
from tests.factories.workshop import JobFactory, OperationFactory, TreatmentFactory
from tests.queries import assert_same_queries
from tests.web.conftest import NOW
from tests.web.visitor import Visitor
from workshop.models import Decision, Hold, Quote, QuoteLine, Treatment, WorkLog
from yard.models import ComponentClass, Member

pytestmark = pytest.mark.django_db


class Fleet:
    """A yard whose boats have everything that the lists tell of."""

    def __init__(self) -> None:
        self.manager: Member = MemberFactory.create()
        self.kind: ComponentClass = ComponentClassFactory.create(yard=self.manager.yard)
        self.treatment: Treatment = TreatmentFactory.create(yard=self.manager.yard)
        self.boats = 0

    def grow(self, boats: int) -> None:
        while self.boats < boats:
            self.boats += 1
            self._boat(date(2027, 4, 12) + timedelta(days=self.boats % 40))

    def _boat(self, launch_on: date) -> None:
        boat = BoatFactory.create(yard=self.manager.yard)
        spot = SpotFactory.create(component=ComponentFactory.create(boat=boat, component_class=self.kind))
        inspection = InspectionFactory.create(boat=boat, launch_on=launch_on)
        about = {"inspection": inspection, "component": spot.component}
        check = CheckFactory.create(**about)
        author = self.manager
        EntryFactory.create(**about, author=author, answers=check)
        EntryFactory.create(**about, author=author, answer="not_seen")
        entry = EntryFactory.create(**about, author=author, spot=spot, answer="finding")
        finding = FindingFactory.create(spot=spot, inspection=inspection, entry=entry)
        AssessmentFactory.create(finding=finding)
        DueBackFactory.create(finding=finding)
        JobFactory.create(inspection=inspection)
        self._agreed(inspection)
        SetAsideFactory.create(boat=boat, author=author)
        Quote.objects.create(
            yard=boat.yard,
            boat=boat,
            inspection=inspection,
            number=self.boats,
            currency="EUR",
            valid_until=date(2027, 5, 1),
            created_at=NOW,
        )

    def _agreed(self, inspection: Inspection) -> None:
        """A job that was agreed, is in work, and waits for something."""
        job = JobFactory.create(inspection=inspection, state="in_work")
        OperationFactory.create(job=job, finding=inspection.findings.get(), treatment=self.treatment)
        about = {"yard": job.yard, "job": job}
        quote = Quote.objects.create(
            yard=job.yard,
            boat=job.boat,
            inspection=inspection,
            number=1_000 + self.boats,
            state="decided",
            currency="EUR",
            valid_until=date(2027, 5, 1),
            created_at=NOW,
            sent_at=NOW,
            ended_at=NOW,
            content="{}",
            digest="0" * 64,
        )
        line = QuoteLine.objects.create(
            **about,
            quote=quote,
            position=1,
            hours_likely=4,
            hours_ceiling=6,
            net_labour=1,
            net_materials=1,
            vat_rate_pct=0,
        )
        Decision.objects.create(
            yard=job.yard,
            line=line,
            verdict="approve",
            digest=quote.digest,
            owner=job.boat.decider_owner,
            decided_at=NOW,
        )
        WorkLog.objects.create(**about, member=self.manager, worked_on=NOW.date(), hours=1, booked_at=NOW)
        Hold.objects.create(
            **about, kind="tool", what="a scarf jig", expected_on=NOW.date(), meanwhile="taped", made_at=NOW
        )


def test_lists_ask_as_often_for_ten_boats_as_for_three_hundred() -> None:
    fleet = Fleet()
    visitor = Visitor(fleet.manager)
    pages = (
        "/season/",
        "/season/2027/season.csv?order=hours",
        "/boats/",
        "/boats/?order=due&text=boat",
        "/boats/list.csv?order=due",
        "/boats/fleet.csv?sheet=components",
        "/due-back/",
        "/due-back/?order=boat&text=boat",
        "/due-back/book.csv",
        "/findings/",
        "/findings/?show=all&order=boat&no_job=yes",
        "/findings/list.csv",
        "/findings/set-aside/",
        "/findings/set-aside/list.csv",
    )
    assert_same_queries(lambda: [visitor.page(address) for address in pages], fleet.grow, to=(10, 300))
    assert visitor.page("/season/").count('<span class="cell-name">Blocks her</span>') == 300


@pytest.mark.both_databases
@pytest.mark.parametrize("kind", ["boat", "inspection", "spot"])
def test_a_boats_pages_ask_no_more_when_much_was_found(kind: str) -> None:
    fleet = Fleet()
    fleet.grow(1)
    visitor = Visitor(fleet.manager)
    quote = Quote.objects.select_related("boat", "inspection").get(state="draft")
    component = quote.boat.components.get()
    spot = component.spots.get()
    address = {
        "boat": f"/boats/{quote.boat_id}/",
        "inspection": f"/inspections/{quote.inspection_id}/",
        "spot": f"/spots/{spot.pk}/",
    }[kind]
    found = 1

    def grow(findings: int) -> None:
        nonlocal found
        while found < findings:
            found += 1
            about = {"inspection": quote.inspection, "component": component}
            place = spot if kind == "spot" else SpotFactory.create(component=component)
            entry = EntryFactory.create(
                **about,
                author=fleet.manager,
                spot=place,
                answer="finding",
                answers=CheckFactory.create(**about),
            )
            state = "seen_again" if kind == "spot" else "open"
            finding = FindingFactory.create(spot=place, inspection=quote.inspection, entry=entry, state=state)
            AssessmentFactory.create(finding=finding)
            if kind != "spot":
                DueBackFactory.create(finding=finding)

    assert_same_queries(lambda: visitor.page(address), grow, to=(3, 25))
