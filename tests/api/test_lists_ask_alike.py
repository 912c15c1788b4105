"""A list asks the database as often for many rows as for one."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal

import pytest

from inspections.models import Inspection
from tests.api.callers import Caller
from tests.api.worlds import NOW
from tests.factories import (
    AssessmentFactory,
    BoatFactory,
    ComponentClassFactory,
    ComponentFactory,
    DueBackFactory,
    EntryFactory,
    EntryPhotoFactory,
    FindingFactory,
    InspectionFactory,
    MemberFactory,
    OverrulingFactory,
    OwnerFactory,
    ReadingFactory,
    SetAsideFactory,
    SignFactory,
    SpotFactory,
    SurfaceFactory,
    TechnicianFactory,
    TemplateFactory,
    TemplateVersionFactory,
)
from tests.factories.workshop import CautionFactory, JobFactory, MaterialFactory, OperationFactory, TreatmentFactory
from tests.queries import assert_same_queries
from workshop.models import (
    Decision,
    Hold,
    Job,
    MaterialLog,
    OwnerLink,
    Quote,
    QuoteLine,
    Reply,
    Report,
    SecondLook,
    Verification,
    VerificationReading,
    WorkLog,
)
from workshop.services.calendar_feeds import feed_issue
from yard.models import Boat, Component, HourlyRate, OutboxRow, Season, Yard
from yard.services.device_codes import device_code_make
from yard.services.people import device_token_issue
from yard.services.vat import vat_class_set

Grow = Callable[[Yard, int], None]
GROW: dict[str, Grow] = {}


def grows(name: str) -> Callable[[Grow], Grow]:
    """The function makes the n-th row of this list, with everything that the list shows of it."""

    def register(function: Grow) -> Grow:
        GROW[name] = function
        return function

    return register


def component_of(yard: Yard) -> Component:
    return ComponentFactory.create(boat=BoatFactory.create(yard=yard))


def inspection_of(yard: Yard) -> Inspection:
    return InspectionFactory.create(boat=BoatFactory.create(yard=yard))


@grows("devices")
def _device(yard: Yard, n: int) -> None:
    device_token_issue(member=TechnicianFactory.create(yard=yard), device_name=f"tablet {n}", at=NOW)


@grows("device-codes")
def _device_code(yard: Yard, n: int) -> None:
    device_code_make(by=MemberFactory.create(yard=yard), device_name=f"tablet {n}", at=NOW)


@grows("vat-classes")
def _vat_class(yard: Yard, n: int) -> None:
    vat_class_set(
        yard=yard,
        code=f"class_{n}",
        name=f"Class {n}",
        category="S",
        rate_pct=Decimal(1 + n % 25),
        valid_from=NOW.date(),
        at=NOW,
    )


@grows("members")
def _member(yard: Yard, n: int) -> None:
    MemberFactory.create(yard=yard)


@grows("owners")
def _owner(yard: Yard, n: int) -> None:
    OwnerFactory.create(yard=yard)


@grows("surfaces")
def _surface(yard: Yard, n: int) -> None:
    surface = SurfaceFactory.create(boat=BoatFactory.create(yard=yard))
    ComponentFactory.create(boat=surface.boat, surface=surface)


@grows("seasons")
def _season(yard: Yard, n: int) -> None:
    year = 2040 + n
    Season.objects.create(yard=yard, year=year, launch_on=date(year, 5, 1), layup_on=date(year, 10, 1))


@grows("hourly-rates")
def _rate(yard: Yard, n: int) -> None:
    HourlyRate.objects.create(yard=yard, trade=f"trade {n}", amount=Decimal(50))


@grows("boats")
def _boat(yard: Yard, n: int) -> None:
    owners = OwnerFactory.create_batch(2, yard=yard)
    member = MemberFactory.create(yard=yard) if n % 2 else None
    BoatFactory.create(yard=yard, owners=owners, decider_owner=None if member else owners[0], decider_member=member)


@grows("components")
def _component(yard: Yard, n: int) -> None:
    component_of(yard)


@grows("spots")
def _spot(yard: Yard, n: int) -> None:
    SpotFactory.create(component=component_of(yard))


@grows("component-classes")
def _class(yard: Yard, n: int) -> None:
    ComponentClassFactory.create(yard=yard)


@grows("signs")
def _sign(yard: Yard, n: int) -> None:
    SignFactory.create(yard=yard)


@grows("treatments")
def _treatment(yard: Yard, n: int) -> None:
    TreatmentFactory.create(yard=yard)


@grows("materials")
def _material(yard: Yard, n: int) -> None:
    MaterialFactory.create(yard=yard)


@grows("cautions")
def _caution(yard: Yard, n: int) -> None:
    CautionFactory.create(yard=yard)


@grows("templates")
def _template(yard: Yard, n: int) -> None:
    template = TemplateFactory.create(component_class=ComponentClassFactory.create(yard=yard))
    TemplateVersionFactory.create(template=template)
    TemplateVersionFactory.create(template=template, number=2, published_at=None)


@grows("inspections")
def _inspection(yard: Yard, n: int) -> None:
    by = TechnicianFactory.create(yard=yard)
    InspectionFactory.create(boat=BoatFactory.create(yard=yard), opened_by=by, closed_by=by, closed_at=NOW)


@grows("entries")
def _entry(yard: Yard, n: int) -> None:
    entry = EntryFactory.create(component=component_of(yard))
    ReadingFactory.create(entry=entry)
    EntryPhotoFactory.create_batch(2, entry=entry)


@grows("set-aside")
def _set_aside(yard: Yard, n: int) -> None:
    SetAsideFactory.create(boat=BoatFactory.create(yard=yard))


def finding_of(yard: Yard) -> object:
    return FindingFactory.create(spot=SpotFactory.create(component=component_of(yard)))


@grows("findings")
def _finding(yard: Yard, n: int) -> None:
    finding = FindingFactory.create(spot=SpotFactory.create(component=component_of(yard)))
    ReadingFactory.create(entry=finding.entry)
    EntryPhotoFactory.create(entry=finding.entry)
    assessment = AssessmentFactory.create(finding=finding)
    if n % 2:
        OverrulingFactory.create(finding=finding, assessment=assessment)


@grows("due-back")
def _due_back(yard: Yard, n: int) -> None:
    finding = FindingFactory.create(spot=SpotFactory.create(component=component_of(yard)))
    DueBackFactory.create(finding=finding)


def job_of(yard: Yard) -> Job:
    finding = FindingFactory.create(spot=SpotFactory.create(component=component_of(yard)))
    job = JobFactory.create(inspection=finding.inspection, edited_by=MemberFactory.create(yard=yard))
    OperationFactory.create(job=job, finding=finding)
    return job


def hold_of(job: Job) -> Hold:
    hold: Hold = Hold.objects.create(
        yard=job.yard,
        job=job,
        kind="part",
        what="bolts",
        who=TechnicianFactory.create(yard=job.yard),
        expected_on=date(2027, 4, 20),
        meanwhile="taped over",
        made_at=NOW,
    )
    return hold


@grows("jobs")
def _job(yard: Yard, n: int) -> None:
    hold_of(job_of(yard))


@grows("holds")
def _hold(yard: Yard, n: int) -> None:
    hold_of(job_of(yard))


def decided(yard: Yard, n: int) -> Decision:
    """A quote with a line, a link that was opened, and two words of its decider."""
    job = job_of(yard)
    by = MemberFactory.create(yard=yard)
    quote = Quote.objects.create(
        yard=yard,
        boat=job.boat,
        inspection=job.inspection,
        number=1000 + n,
        currency="EUR",
        valid_until=date(2027, 5, 1),
        created_at=NOW,
        created_by=by,
        sent_by=by,
    )
    line = QuoteLine.objects.create(
        yard=yard,
        quote=quote,
        job=job,
        position=1,
        hours_likely=Decimal(2),
        hours_ceiling=Decimal(3),
        net_labour=Decimal(100),
        net_materials=Decimal(10),
        vat_rate_pct=Decimal(25),
    )
    OwnerLink.objects.create(
        yard=yard,
        boat=job.boat,
        quote=quote,
        owner=job.boat.decider_owner,
        created_at=NOW,
        expires_at=NOW + timedelta(days=30),
    )
    word = {"yard": yard, "line": line, "digest": "0" * 64, "decided_at": NOW}
    Decision.objects.create(**word, verdict="ask", question="When?", owner=job.boat.decider_owner)
    decision: Decision = Decision.objects.create(**word, verdict="approve", member=by)
    return decision


@grows("quotes")
def _quote(yard: Yard, n: int) -> None:
    decided(yard, n)


@grows("decisions")
def _decision(yard: Yard, n: int) -> None:
    decided(yard, n)


@grows("replies")
def _reply(yard: Yard, n: int) -> None:
    line, member = decided(yard, n).line, MemberFactory.create(yard=yard)
    Reply.objects.create(yard=yard, line=line, text="Before lay-up.", member=member, written_at=NOW)


@grows("reports")
def _report(yard: Yard, n: int) -> None:
    inspection = inspection_of(yard)
    Report.objects.create(
        yard=yard,
        boat=inspection.boat,
        inspection=inspection,
        file=f"reports/{n}.pdf",
        sha256="0" * 64,
        pages=3,
        made_at=NOW,
    )


@grows("work-logs")
def _work_log(yard: Yard, n: int) -> None:
    WorkLog.objects.create(
        yard=yard,
        job=job_of(yard),
        member=TechnicianFactory.create(yard=yard),
        worked_on=date(2027, 4, 6),
        hours=Decimal(1),
        booked_at=NOW,
    )


@grows("material-logs")
def _material_log(yard: Yard, n: int) -> None:
    MaterialLog.objects.create(
        yard=yard,
        job=job_of(yard),
        material=MaterialFactory.create(yard=yard),
        member=TechnicianFactory.create(yard=yard),
        used_on=date(2027, 4, 6),
        quantity=Decimal(40),
        unit="ml",
        booked_at=NOW,
    )


@grows("verifications")
def _verification(yard: Yard, n: int) -> None:
    job, first = job_of(yard), TechnicianFactory.create(yard=yard)
    look = Verification.objects.create(
        yard=yard,
        finding=job.operations.get().finding,
        job=job,
        by=first,
        needs_second_look=True,
        reading="moisture 14 %",
        seen_at=NOW,
        look_again_on=date(2028, 4, 14),
    )
    VerificationReading.objects.create(
        yard=yard, verification=look, quantity="moisture", value=Decimal(14), unit="%"
    )
    if n % 2:
        by = MemberFactory.create(yard=yard)
        SecondLook.objects.create(yard=yard, verification=look, by=by, first_look_by=first, holds=True, seen_at=NOW)


@grows("calendar-feeds")
def _calendar_feed(yard: Yard, n: int) -> None:
    feed_issue(by=MemberFactory.create(yard=yard), boat=BoatFactory.create(yard=yard), at=NOW)


@grows("outbox")
def _outbox(yard: Yard, n: int) -> None:
    OutboxRow.objects.create(yard=yard, task="workshop.make_report", key=f"key {n}", created_at=NOW, not_before=NOW)


@pytest.mark.parametrize("name", GROW)
def test_ten_rows_take_as_many_queries_as_one(manager: Caller, yard: Yard, name: str) -> None:
    _hold_alike(manager, yard, name, (1, 10))


@pytest.mark.parametrize("name", ["entries", "findings"])
def test_a_full_page_and_more_take_as_many_queries_as_one_row(manager: Caller, yard: Yard, name: str) -> None:
    _hold_alike(manager, yard, name, (1, 201))


def test_every_list_is_among_them() -> None:
    from api.urls import router

    lists = {prefix for prefix, viewset, _ in router.registry if hasattr(viewset, "list")}
    assert lists == set(GROW)


def test_a_tablets_load_takes_as_many_queries_for_a_large_boat(technician: Caller, yard: Yard) -> None:
    inspection = inspection_of(yard)
    address = f"inspections/{inspection.pk}/"

    def grow(rows: int) -> None:
        for _ in range(rows):
            _fill(inspection.boat, inspection)

    assert_same_queries(lambda: technician.get(address), grow, to=(2, 12))
    assert len(technician.get(address).json()["entries"]) == 14


def _fill(boat: Boat, inspection: Inspection) -> None:
    """One more part with a spot, an answer with reading and photo, and a finding of an earlier year."""
    component = ComponentFactory.create(boat=boat)
    spot = SpotFactory.create(component=component)
    entry = EntryFactory.create(component=component, inspection=inspection, spot=spot)
    ReadingFactory.create(entry=entry)
    EntryPhotoFactory.create(entry=entry)
    before, _ = Inspection.objects.get_or_create(
        boat=boat,
        season_year=2026,
        defaults={"yard": boat.yard, "launch_on": date(2026, 5, 1), "opened_at": NOW - timedelta(days=370)},
    )
    finding = FindingFactory.create(spot=spot, inspection=before)
    assessment = AssessmentFactory.create(finding=finding)
    OverrulingFactory.create(finding=finding, assessment=assessment)


def _hold_alike(manager: Caller, yard: Yard, name: str, to: tuple[int, ...]) -> None:
    made = 0

    def grow(rows: int) -> None:
        nonlocal made
        while made < rows:
            GROW[name](yard, made)
            made += 1

    address = f"{name}/?page_size=200"
    assert_same_queries(lambda: manager.results(address), grow, to=to)
    assert len(manager.results(address)) >= min(to[-1], 200)
