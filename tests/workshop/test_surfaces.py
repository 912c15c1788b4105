"""A boat's finished surfaces: their history, their line in the due-back book, and the area jobs that strip them."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from inspections.models import DueBack, Finding
from inspections.selectors.due_backs import due_back_book
from tests.factories import BoatFactory, ComponentFactory, SurfaceFactory
from tests.factories.workshop import MaterialFactory, TreatmentFactory
from tests.workshop.spring import AT, TODAY, Spring, a_spring
from workshop.handlers import propose_jobs
from workshop.models import Job, Quote, SurfaceWork
from workshop.models.jobs import Operation
from workshop.quoting.document import document_read
from workshop.report.job_sheet import job_sheet_view
from workshop.selectors.surfaces import boat_surfaces
from workshop.services.decisions import decision_make
from workshop.services.jobs import OperationSheet, job_change, job_drop
from workshop.services.quotes import quote_draft, quote_prepare, quote_send
from workshop.services.strips import strip_propose, strip_verify, strips_propose
from workshop.services.surface_history import surface_work_add, surface_work_strike
from workshop.services.surfaces import surface_change, surface_create
from workshop.services.verifying import Measured, finding_verify
from workshop.services.work import job_done, job_start
from yard.models import Component, Deed, DeedKind, Season, Surface
from yard.refusals import Refused, RefusedMany

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def spring() -> Spring:
    made = a_spring()
    MaterialFactory.create(yard=made.yard, code="varnish", name="Varnish")
    TreatmentFactory.create(
        yard=made.yard,
        code="STRIP_REVARNISH",
        name="Strip, stain and revarnish",
        unit="m2",
        materials=[{"item": "varnish", "low": "600", "likely": "750", "high": "1000"}],
    )
    TreatmentFactory.create(yard=made.yard, code="SEAL_EPOXY_VARN", name="Seal, then varnish", unit="m")
    Season.objects.filter(yard=made.yard, year=2027).update(layup_on=date(2027, 10, 15))
    return made


def cabin_sides(spring: Spring, *parts: Component, **more: Any) -> Surface:
    given = {"name": "Cabin sides", "area_m2": Decimal("6.00"), "finish": "varnish", "exposure": "full_sun", **more}
    return surface_create(boat=spring.boat, components=parts, at=AT, **given)


def written(spring: Spring, surface: Surface, deed: str, done_on: date, **more: Any) -> SurfaceWork:
    return surface_work_add(surface=surface, deed=deed, done_on=done_on, by=spring.manager, at=AT, **more)


def old(spring: Spring, *parts: Component) -> Surface:
    """Stripped in May 2018 and coated with eight coats: due in May 2026."""
    surface = cabin_sides(spring, *parts)
    written(spring, surface, "stripped", date(2018, 5, 2))
    written(spring, surface, "coated", date(2018, 5, 20), coats=8)
    return surface


def line_of(surface: Surface) -> DueBack | None:
    found: DueBack | None = DueBack.objects.filter(surface=surface, ended_at__isnull=True).first()
    return found


def approved(spring: Spring, *jobs: Job) -> Quote:
    quote = quote_draft(inspection=spring.inspection, jobs=jobs, by=spring.manager, at=AT)
    quote = quote_send(quote=quote, by=spring.manager, at=AT)
    for line in quote.lines.all():
        decision_make(line=line, verdict="approve", digest=quote.digest, at=AT, owner=spring.boat.decider_owner)
    return quote


def test_its_history_sets_its_line_of_the_due_back_book(spring: Spring) -> None:
    surface = old(spring)
    line = line_of(surface)
    assert line is not None
    assert (line.due_on, line.kind) == (date(2026, 5, 2), "put_right")
    assert line.reason == (
        "Strip it to bare wood and build the finish up again. "
        "So exposed, this finish has had its time after 8 years."
    )
    assert line in due_back_book(spring.yard)
    written(spring, surface, "stripped", date(2027, 4, 1))
    moved = line_of(surface)
    assert moved is not None
    assert moved.due_on == date(2035, 4, 1)
    surface_change(surface=surface, changes={"finish": "oil"}, at=AT)
    assert line_of(surface) is None


def test_a_struck_line_stays_to_be_read_and_counts_no_more(spring: Spring) -> None:
    surface = old(spring)
    wrong = written(spring, surface, "stripped", date(2027, 4, 1), note="that was the coaming")
    surface_work_strike(work=wrong, by=spring.manager, at=AT)
    line = line_of(surface)
    assert line is not None
    assert line.due_on == date(2026, 5, 2)
    (standing,) = boat_surfaces(spring.boat, on_date=TODAY)
    assert len(standing.works) == 4
    for again in (wrong, wrong.struck_by):
        with pytest.raises(Refused):
            surface_work_strike(work=again, by=spring.manager, at=AT)
    with pytest.raises(IntegrityError), transaction.atomic():
        SurfaceWork.objects.filter(pk=wrong.pk).update(note="tidied up")


def test_an_area_job_from_the_worker_to_the_verified_surface(spring: Spring) -> None:
    surface = old(spring)
    for _ in range(2):  # asked twice, proposed once
        finish = propose_jobs(spring.inspection.pk)
        finish(AT)
    job = Job.objects.get(inspection=spring.inspection)
    operation = job.operations.get()
    assert (job.title, operation.surface, operation.finding) == (
        "Cabin sides: strip, stain and revarnish",
        surface,
        None,
    )
    # 6 m² at 1.5 h likely each by the factory
    assert (operation.quantity, operation.hours_likely) == (Decimal("6.00"), Decimal("9.00"))
    assert strip_propose(surface=surface, by=spring.manager, at=AT) == job
    quote = approved(spring, job)
    document = document_read(quote.content)
    (asked,) = document.jobs
    assert (asked.findings, asked.surfaces) == ((), (surface.pk,))
    assert document.surfaces[0].reasons[0] == "Stripping to bare wood was due by 2 May 2026."
    job = job_start(job=job, by=spring.technician, at=AT)
    assert job_sheet_view(job, on_date=TODAY).works[0].places == ("Cabin sides, the whole surface (6)",)
    job = job_done(job=job, by=spring.technician, at=AT)
    works = list(SurfaceWork.objects.filter(job=job).order_by("pk").values_list("deed", "coats", "product__code"))
    assert works == [("stripped", None, None), ("stained", None, None), ("coated", 8, "varnish")]
    line = line_of(surface)
    assert line is not None
    assert line.due_on == date(2035, 4, 6)
    with pytest.raises(Refused) as refused:
        strip_verify(job=job, surface=surface, by=spring.technician, at=AT)
    assert refused.value.field == "photo_sha256"
    seen = strip_verify(job=job, surface=surface, by=spring.technician, at=AT, reading="12 %")
    assert seen.look_again_on == date(2028, 4, 6)  # the next coat, twelve months on
    job.refresh_from_db()
    assert job.state == Job.State.VERIFIED


def test_the_same_strip_is_never_proposed_twice(spring: Spring) -> None:
    surface = old(spring)
    (job,) = strips_propose(inspection=spring.inspection, at=AT)
    job_drop(job=job, by=spring.manager, at=AT)
    assert strips_propose(inspection=spring.inspection, at=AT) == []
    again = strip_propose(surface=surface, by=spring.manager, at=AT)  # the manager's own click may
    assert again.pk != job.pk
    Job.objects.filter(pk=again.pk).update(state="declined")
    assert strips_propose(inspection=spring.inspection, at=AT) == []
    with pytest.raises(Refused):
        strip_propose(surface=surface, by=spring.manager, at=AT)


def test_a_proposed_strip_follows_the_surface_until_a_member_changes_it(spring: Spring) -> None:
    surface = old(spring)
    (job,) = strips_propose(inspection=spring.inspection, at=AT)
    changes = {"area_m2": Decimal("6.50")}
    surface = surface_change(surface=surface, changes=changes, by=spring.manager, at=AT)
    told = Deed.objects.get(kind=DeedKind.SURFACE_CHANGED, by=spring.manager).told
    assert told.endswith(" to 6.5")
    strips_propose(inspection=spring.inspection, at=AT)
    assert job.operations.get().quantity == Decimal("6.50")
    spring.propose()
    job.refresh_from_db()
    assert job.state == Job.State.PROPOSED  # no finding speaks for it, and it stays
    wrong = written(spring, surface, "stripped", date(2027, 4, 1))
    strips_propose(inspection=spring.inspection, at=AT)
    job.refresh_from_db()
    assert job.state == Job.State.DROPPED
    surface_work_strike(work=wrong, by=spring.manager, at=AT)
    (anew,) = strips_propose(inspection=spring.inspection, at=AT)
    sheet = OperationSheet("STRIP_REVARNISH", None, Decimal(5), surface=surface.pk)
    job_change(job=anew, by=spring.manager, at=AT, operations=[sheet])
    strips_propose(inspection=spring.inspection, at=AT)
    assert anew.operations.get().quantity == Decimal("5.00")


def test_work_at_a_finding_writes_a_patch_once(spring: Spring) -> None:
    frame = spring.component()
    surface = cabin_sides(spring, frame)
    written(spring, surface, "coated", date(2026, 5, 1), coats=2)
    finding = spring.finding(frame, "SEAL_EPOXY_VARN", "REBED_SEALANT", size_mm="1500.0")
    (job,) = spring.propose()
    approved(spring, job)
    job_done(job=job_start(job=job, by=spring.technician, at=AT), by=spring.technician, at=AT)
    work = SurfaceWork.objects.get(surface=surface, deed="patched")
    # 1.5 m of a line 40 mm wide
    assert (work.area_m2, work.finding, work.done_on) == (Decimal("0.060"), finding, TODAY)
    finding_verify(finding=finding, by=spring.technician, at=AT, readings=[Measured("moisture", Decimal(14))])
    job.refresh_from_db()
    assert job.state == Job.State.VERIFIED


def test_patches_that_a_coming_strip_takes_off_are_quoted_as_such(spring: Spring) -> None:
    frame = spring.component()
    surface = old(spring, frame)
    spring.finding(frame, "SEAL_EPOXY_VARN")
    spring.finding(spring.component("Hatch", "forward"), "SEAL_EPOXY_VARN")
    patch, beside = spring.propose()
    quote = quote_draft(inspection=spring.inspection, jobs=[patch, beside], by=spring.manager, at=AT)
    first, second = quote_prepare(quote=quote, at=AT).document.jobs
    assert [(each.surface, each.by, each.job) for each in first.taken_off] == [("Cabin sides", date(2026, 5, 2), 0)]
    assert second.taken_off == ()
    (strip,) = strips_propose(inspection=spring.inspection, at=AT)
    quote.lines.all().delete()
    quote.delete()
    quote = quote_draft(inspection=spring.inspection, jobs=[strip, patch], by=spring.manager, at=AT)
    document = quote_prepare(quote=quote, at=AT).document
    assert [each.job for each in document.jobs[1].taken_off] == [1]
    written(spring, surface, "stripped", date(2027, 4, 1))
    quote.delete()
    quote = quote_draft(inspection=spring.inspection, jobs=[patch], by=spring.manager, at=AT)
    assert quote_prepare(quote=quote, at=AT).document.jobs[0].taken_off == ()


def test_the_database_holds_an_operation_to_one_place(spring: Spring) -> None:
    surface = old(spring)
    finding = spring.finding(spring.component(), "REBED_SEALANT")
    (job,) = strips_propose(inspection=spring.inspection, at=AT)
    rows = Operation.objects.filter(job=job)
    for change in ({"finding": finding}, {"surface": None}):
        with pytest.raises(IntegrityError), transaction.atomic():
            rows.update(**change)
    assert surface.operations.count() == 1


BAD_SURFACES = [
    ({"name": " "}, "name"),
    ({"area_m2": Decimal(0)}, "area_m2"),
    ({"area_m2": Decimal("1.005")}, "area_m2"),
    ({"finish": "tar"}, "finish"),
    ({"exposure": "moonlight"}, "exposure"),
    ({"coat_every_months": 241}, "coat_every_months"),
    ({"strip_after_years": 0}, "strip_after_years"),
]


@pytest.mark.parametrize(("change", "field"), BAD_SURFACES)
def test_a_surface_that_makes_no_sense_is_refused(spring: Spring, change: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refused:
        cabin_sides(spring, **change)
    assert refused.value.field == field
    assert not Surface.objects.exists()


def test_a_name_twice_and_parts_of_another_boat_are_refused(spring: Spring) -> None:
    another = BoatFactory.create(yard=spring.yard, name="Skarven")
    cabin_sides(spring)
    with pytest.raises(Refused) as refused:
        cabin_sides(spring)
    assert refused.value.field == "name"
    with pytest.raises(Refused) as refused:
        cabin_sides(spring, ComponentFactory.create(boat=another), name="Coaming")
    assert refused.value.field == "components"
    with pytest.raises(RefusedMany):
        cabin_sides(spring, name="", area_m2=Decimal(-1))


BAD_WORKS = [
    ({"deed": "polished"}, "deed"),
    ({"done_on": TODAY + timedelta(days=1)}, "done_on"),
    ({"deed": "coated"}, "coats"),
    ({"deed": "coated", "coats": 31}, "coats"),
    ({"deed": "stripped", "coats": 2}, "coats"),
    ({"deed": "patched"}, "area_m2"),
    ({"deed": "patched", "area_m2": Decimal("6.001")}, "area_m2"),
    ({"deed": "stained", "area_m2": Decimal(1)}, "area_m2"),
]


@pytest.mark.parametrize(("change", "field"), BAD_WORKS)
def test_a_line_that_makes_no_sense_is_refused(spring: Spring, change: dict[str, Any], field: str) -> None:
    given: dict[str, Any] = {"deed": "stripped", "done_on": TODAY, **change}
    with pytest.raises(Refused) as refused:
        written(spring, cabin_sides(spring), **given)
    assert refused.value.field == field
    assert not SurfaceWork.objects.exists()


def test_a_strip_that_nobody_advises_or_can_do_is_refused(spring: Spring) -> None:
    surface = cabin_sides(spring)
    with pytest.raises(Refused) as refused:
        strip_propose(surface=surface, by=spring.manager, at=AT)
    assert refused.value.field == "surface"
    painted = cabin_sides(spring, name="Topsides", finish="paint")
    written(spring, painted, "stripped", date(2000, 5, 2))
    assert strips_propose(inspection=spring.inspection, at=AT) == []
    with pytest.raises(Refused) as refused:
        strip_propose(surface=painted, by=spring.manager, at=AT)
    assert refused.value.field == "treatments"
    never_seen = SurfaceFactory.create(yard=spring.yard, boat__yard=spring.yard)
    with pytest.raises(Refused) as refused:
        strip_propose(surface=never_seen, by=spring.manager, at=AT)
    assert refused.value.field == "inspection"


def test_findings_keep_their_state_while_a_surface_is_worked_on(spring: Spring) -> None:
    frame = spring.component()
    finding = spring.finding(frame, "REBED_SEALANT")
    old(spring, frame)
    (strip,) = strips_propose(inspection=spring.inspection, at=AT)
    approved(spring, strip)
    job_done(job=job_start(job=strip, by=spring.technician, at=AT), by=spring.technician, at=AT)
    finding.refresh_from_db()
    assert finding.state == Finding.State.OPEN
