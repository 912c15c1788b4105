"""Finished surfaces on the boat's page, and patches that go with a strip on the owner's."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal

import pytest

from tests.factories.workshop import MaterialFactory, TreatmentFactory
from tests.queries import assert_same_queries
from tests.web.visitor import Visitor
from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import Job, OwnerLink
from workshop.services.links import link_token
from workshop.services.quotes import quote_draft, quote_send
from workshop.services.strips import strip_propose
from workshop.services.surface_history import surface_work_add, surface_work_strike
from workshop.services.surfaces import surface_create
from yard.models import Component, Surface

pytestmark = pytest.mark.django_db


def an_old_surface(spring: Spring, *parts: Component, name: str = "Cabin sides") -> Surface:
    surface = surface_create(
        boat=spring.boat,
        name=name,
        area_m2=Decimal("6.5"),
        finish="varnish",
        exposure="full_sun",
        components=parts,
        at=AT,
    )
    by = spring.manager
    surface_work_add(surface=surface, deed="stripped", done_on=date(2018, 5, 2), by=by, at=AT)
    surface_work_add(surface=surface, deed="coated", done_on=date(2018, 5, 20), coats=8, by=by, at=AT)
    patch = surface_work_add(
        surface=surface, deed="patched", done_on=date(2024, 4, 9), area_m2=Decimal("0.40"), by=by, at=AT
    )
    surface_work_strike(work=patch, by=by, at=AT, note="that was the coaming")
    return surface


@pytest.fixture
def spring() -> Spring:
    made = a_spring(name="Sea Pink")
    MaterialFactory.create(yard=made.yard, code="varnish", name="Varnish")
    TreatmentFactory.create(yard=made.yard, code="STRIP_REVARNISH", name="Strip, stain and revarnish", unit="m2")
    TreatmentFactory.create(yard=made.yard, code="SEAL_EPOXY_VARN", name="Seal, then varnish", unit="m")
    return made


def test_a_surface_has_its_history_its_advice_and_a_button_that_asks_once(spring: Spring) -> None:
    surface = an_old_surface(spring, spring.component("Cabin side"))
    address = f"/boats/{spring.boat.pk}/"
    office = Visitor(spring.manager)
    page = office.page(address)
    told = page.split('id="surfaces"')[1]
    assert "<strong>Stripping to bare wood was due by 2 May 2026.</strong>" in told
    assert "6.5 m² of varnish, full sun: Cabin side, port side." in told
    assert "coated all over, 8 coats" in told
    assert "<s>patched, 0.4 m²</s> struck" in told
    assert "put right at Cabin sides" in page
    assert "Propose the strip" in told
    assert "Propose the strip" not in Visitor(spring.technician).page(address)
    assert "stands among the jobs of the inspection of 2027" in office.after(f"/surfaces/{surface.pk}/strip/")
    told = office.page(address).split('id="surfaces"')[1]
    assert "Its strip is asked for: Cabin sides: strip, stain and revarnish, proposed." in told
    assert "Propose the strip" not in told
    office.after(f"/surfaces/{surface.pk}/strip/")
    assert Job.objects.filter(boat=spring.boat).count() == 1
    assert "Cabin sides" in office.page("/due-back/")


def test_its_history_is_written_and_struck_on_the_page(spring: Spring) -> None:
    surface = surface_create(boat=spring.boat, name="Hatch", area_m2=Decimal(2), finish="varnish", at=AT)
    office, history = Visitor(spring.technician), f"/surfaces/{surface.pk}/history/"
    page = office.after(history, deed="coated", done_on="2025-04-01", coats="3", area_m2="", note="by hand")
    assert "coated all over, 3 coats" in page
    assert "by hand" in page
    page = office.refused(history, deed="patched", done_on="2025-04-01", coats="", area_m2="", note="dent")
    assert "say how large the patch is" in page
    assert 'value="dent"' in page
    assert "2 m²" in office.refused(history, deed="patched", done_on="2025-04-01", area_m2="2,5")
    assert "has not come yet" in office.refused(history, deed="stripped", done_on="2028-04-01")
    assert "no whole number" in office.refused(history, deed="coated", done_on="2025-04-01", coats="a")
    work = surface.works.get()
    assert "Strike it" not in office.page(f"/boats/{spring.boat.pk}/")
    office = Visitor(spring.manager)
    assert "<s>coated all over, 3 coats</s> struck" in office.after(f"{history}{work.pk}/strike/")
    assert "was struck already" in office.refused(f"{history}{work.pk}/strike/")


def test_a_surface_is_entered_and_changed_on_pages_of_its_own(spring: Spring) -> None:
    cabin, frame = spring.component("Cabin side"), spring.component("Window frame")
    office, enter = Visitor(spring.manager), f"/boats/{spring.boat.pk}/surfaces/"
    assert f'href="{enter}"' in office.page(f"/boats/{spring.boat.pk}/")
    typed = {"name": "Cabin sides", "area_m2": "6,5", "finish": "varnish", "exposure": "full_sun"}
    refused = office.refused(enter, **{**typed, "area_m2": "20000"}, components=[cabin.pk], strip_after_years="x")
    assert "no whole number" in refused
    assert re.search(rf'name="components" value="{cabin.pk}"[^>]* checked', refused)
    assert "m²" in office.refused(enter, **{**typed, "area_m2": "20000"})
    page = office.after(enter, **typed, components=[cabin.pk], strip_after_years="9")
    assert "Cabin sides is entered." in page
    surface = Surface.objects.get()
    assert (surface.area_m2, surface.strip_after_years, surface.coat_every_months) == (Decimal("6.5"), 9, None)
    assert list(surface.components.all()) == [cabin]
    assert "another surface of hers" in office.refused(enter, **typed)

    here = f"/surfaces/{surface.pk}/"
    assert f'href="{here}"' in page
    asked = office.page(here)
    assert 'value="6.50"' in asked
    seen = {f"initial-{name}": value for name, value in typed.items()} | {
        "initial-area_m2": "6.50", "initial-components": [cabin.pk], "initial-strip_after_years": "9",
        "initial-coat_every_months": "",
    }  # fmt: skip
    Surface.objects.update(exposure="shaded")  # by somebody else, since the page was opened
    kept = {**typed, "area_m2": "6.50", "name": "House sides", "coat_every_months": "", "strip_after_years": ""}
    office.after(here, **seen, **kept, components=[cabin.pk, frame.pk])
    surface.refresh_from_db()
    assert (surface.name, surface.exposure, surface.strip_after_years) == ("House sides", "shaded", None)
    assert set(surface.components.all()) == {cabin, frame}
    assert "is empty" in office.refused(here, **{**kept, "name": ""})
    assert "House sides" in office.last.content.decode()


def test_a_strip_that_is_not_advised_is_refused_on_the_page(spring: Spring) -> None:
    surface = surface_create(boat=spring.boat, name="Hatch", area_m2=Decimal(1), finish="oil", at=AT)
    page = Visitor(spring.manager).refused(f"/surfaces/{surface.pk}/strip/")
    assert "strip of it is advised now" in page


def test_the_owner_reads_why_the_surface_and_that_the_patch_goes_with_it(spring: Spring) -> None:
    frame = spring.component("Window frame")
    surface = an_old_surface(spring, frame)
    spring.finding(frame, "SEAL_EPOXY_VARN")
    jobs = [*spring.propose(), strip_propose(surface=surface, by=spring.manager, at=AT)]
    office = Visitor(spring.manager).page(f"/inspections/{spring.inspection.pk}/")
    assert "Cabin sides" in office.split("next lay-up")[-1]
    quote = quote_draft(inspection=spring.inspection, jobs=jobs, by=spring.manager, at=AT)
    quote = quote_send(quote=quote, by=spring.manager, at=AT)
    page = Visitor().page(f"/o/{link_token(OwnerLink.objects.get(quote=quote))}/")
    assert "<strong>The strip of Cabin sides in this quote, job 2, takes this patch off again.</strong>" in page
    assert "<strong>Cabin sides</strong>, varnish, 6.5 m²" in page
    assert "So exposed, this finish has had its time after 8 years." in page
    # what is found comes before upkeep
    assert page.index("Question 1 of 2") < page.index("The whole surface")


def test_the_page_asks_as_often_for_many_surfaces_as_for_one(spring: Spring) -> None:
    office = Visitor(spring.manager)

    def grow(surfaces: int) -> None:
        while Surface.objects.filter(boat=spring.boat).count() < surfaces:
            an_old_surface(spring, name=f"Surface {Surface.objects.count()}")

    assert_same_queries(lambda: office.page(f"/boats/{spring.boat.pk}/"), grow, to=(1, 4))
