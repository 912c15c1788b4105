"""The sheet a technician takes along, read back from the PDF itself."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from datetime import date
from decimal import Decimal

import pytest

from inspections.models import Assessment, Finding
from tests.workshop import pdf_reading
from tests.workshop.spring import AT, TODAY, Spring, a_spring
from workshop.models import Hold, Job, Operation, Treatment
from workshop.report.job_sheet import job_sheet_render, job_sheet_view
from workshop.services.catalogue import cautions_load, materials_load, treatments_load
from workshop.services.job_calendar import Where, grouped
from yard.models import ClimateNormal, Component, HourlyRate
from yard.refusals import Refused

pytestmark = pytest.mark.django_db

EVIL = '</td></style><script>alert(1)</script><img src="http://192.0.2.1/x.png"> {{ 7 }} & co'
DRYING = {
    "target_pct": 16.0,
    "earliest_on": "2027-04-20",
    "likely_on": "2027-05-11",
    "cautious_on": "2027-07-02",
    "shed_likely_on": "2027-04-18",
    "wash_first": True,
    "too_late": False,
}


@pytest.fixture(autouse=True)
def weasyprint_says_no_error(caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    with caplog.at_level(logging.WARNING, logger="weasyprint"):
        yield
    assert [record.getMessage() for record in caplog.get_records("call") if "weasyprint" in record.name] == []


@pytest.fixture
def spring() -> Spring:
    """A yard with the stock catalogue."""
    made = a_spring()
    Treatment.objects.of_yard(made.yard).delete()
    cautions_load(yard=made.yard)
    materials_load(yard=made.yard)
    treatments_load(yard=made.yard)
    return made


def judged(finding: Finding, **document: object) -> None:
    Assessment.objects.filter(finding=finding, superseded_at__isnull=True).update(superseded_at=AT)
    old = Assessment.objects.filter(finding=finding).latest("pk")
    old.pk, old.superseded_at, old.document = None, None, document
    old.save(force_insert=True)


def deck_job(spring: Spring) -> Job:
    deck = spring.component("Laid deck", "aft")
    deck.species = "teak"
    deck.save()
    judged(
        spring.finding(deck, "WASH_DRY", "REEF_PAY_DECK", "REFASTEN"),
        drying=DRYING,
        do_not=["Do not close the seam while the wood beneath is wet."],
        hold={"treatment": "WASH_DRY", "say": "keep a cover over it", "until": "2027-06-01"},
    )
    (job,) = spring.propose()
    return job


def read(job: Job, where: Where = Where.OUTDOORS) -> str:
    return pdf_reading.text(job_sheet_render(job, on_date=TODAY, where=where).pdf)


def test_the_sheet_says_what_is_done_in_which_order_and_not_before_which_day(spring: Spring) -> None:
    words = read(deck_job(spring))
    for name in ("Wash out the salt and dry", "Blow or wick the water out.", "Fill from the bottom, proud."):
        assert name in words
    assert words.index("Tent it") < words.index("Primer on the sides") < words.index("Dig the bung out")
    assert "Do not seal before 11 May 2027" in words
    assert "takes until 2 Jul 2027" in words
    assert "Do not close the seam while the wood beneath is wet." in words
    assert "keep a cover over it" in words
    assert "moisture meter" in words  # a tool
    assert "Not before" in words
    assert "Do not begin: proposed, not approved" in words
    assert "Photo of the finished work taken" in words
    assert "Local rules come first" in words


def test_in_a_shed_the_wood_is_dry_earlier(spring: Spring) -> None:
    assert "Do not seal before 18 Apr 2027" in read(deck_job(spring), Where.SHED)


def test_holes_and_seams_are_worked_out_where_the_wood_is_known(spring: Spring) -> None:
    view = job_sheet_view(deck_job(spring), on_date=TODAY)
    by_name = {work.name: work for work in view.works}
    (seams,) = by_name[Treatment.objects.get(yard=spring.yard, code="REEF_PAY_DECK").name].figures
    assert [row[0] for row in seams.rows] == ["40", "45", "50", "60", "75", "100"]
    widths = [float(row[1].split(" × ")[0]) for row in seams.rows]
    assert widths == sorted(widths)
    assert widths[0] >= 4
    (holes,) = by_name[Treatment.objects.get(yard=spring.yard, code="REFASTEN").name].figures
    assert holes.rows[1][:2] == ("No. 8", "4.17")  # ASME B18.6.1: 0.164 in
    Component.objects.update(species="")
    view = job_sheet_view(Job.objects.get(), on_date=TODAY)
    assert all(work.figures == () for work in view.works)
    assert any("No wood of the table is entered for Laid deck, aft" in work.limits for work in view.works)


def test_what_it_waits_for_moves_the_first_day_and_says_what_holds_the_boat(spring: Spring) -> None:
    job = deck_job(spring)
    Hold.objects.create(
        yard=spring.yard,
        job=job,
        kind="part",
        what="bronze screws",
        expected_on=date(2027, 6, 1),
        meanwhile="taped over and dry",
        made_at=AT,
    )
    view = job_sheet_view(job, on_date=TODAY)
    assert [row.text for row in view.facts if row.label == "Can begin"] == ["1 Jun 2027"]
    words = read(job)
    assert "bronze screws nobody named 1 Jun 2027 taped over and dry" in words
    Hold.objects.update(released_at=AT)
    view = job_sheet_view(job, on_date=TODAY)
    assert [row.text for row in view.facts if row.label == "Can begin"] == ["6 Apr 2027"]


def test_the_sheet_is_tagged_its_fonts_are_inside_and_its_codes_lead_to_the_findings(spring: Spring) -> None:
    job = deck_job(spring)
    rendered = job_sheet_render(job, on_date=TODAY)
    with pdf_reading.opened(rendered.pdf) as pdf:
        assert len(pdf.pages) == rendered.pages <= 4
        assert all(pdf_reading.fonts(pdf).values())
        assert {name.partition("+")[2].split("-")[0] for name in pdf_reading.fonts(pdf)} <= {
            "Gentium", "GentiumBookPlus", "Routed",
        }  # fmt: skip
        kinds = [each.kind for each in pdf_reading.elements(pdf)]
        assert kinds.count("H1") == 1
        figures = [each.alt for each in pdf_reading.elements(pdf) if each.kind == "Figure"]
        assert len(figures) == 1
        assert figures[0].startswith("QR code of the page of the finding at Laid deck, aft")
        assert pdf_reading.addresses(pdf) == []


def test_text_of_users_is_text_on_the_sheet(spring: Spring) -> None:
    job = deck_job(spring)
    Job.objects.filter(pk=job.pk).update(title=EVIL[:200], opening_up=EVIL)
    Treatment.objects.of_yard(spring.yard).update(limits=EVIL)
    job.refresh_from_db()
    words = read(job)
    assert "<script>alert(1)</script>" in words
    assert "{{ 7 }}" in words


def test_materials_come_with_waste_and_what_is_missing_is_told(spring: Spring) -> None:
    job = deck_job(spring)
    assert job_sheet_view(job, on_date=TODAY).materials
    HourlyRate.objects.of_yard(spring.yard).delete()
    view = job_sheet_view(job, on_date=TODAY)
    assert view.materials == ()
    assert view.no_materials.startswith("Materials can't be reckoned: ")


def test_without_a_climate_the_sheet_says_that_it_reckons_with_twenty_degrees(spring: Spring) -> None:
    ClimateNormal.objects.all().delete()
    words = read(deck_job(spring))
    assert "air of 20 °C, since the yard has entered no climate" in words
    assert "Not worked out for Laid deck, aft: the yard has entered no climate; enter its twelve months." in words


def test_the_same_treatment_at_two_findings_is_done_in_one_go_unless_something_comes_between(
    spring: Spring,
) -> None:
    one, two = (spring.finding(spring.component(name), "WASH_DRY") for name in ("Deck", "Hatch"))
    wash, open_up = (Treatment.objects.get(yard=spring.yard, code=code) for code in ("WASH_DRY", "OPEN_UP"))

    def on(finding: Finding, treatment: Treatment) -> Operation:
        return Operation(finding=finding, treatment=treatment, quantity=Decimal(1))

    together = grouped([on(one, open_up), on(one, wash), on(two, wash)])
    assert [(group.first.treatment.code, len(group.operations)) for group in together] == [
        ("OPEN_UP", 1),
        ("WASH_DRY", 2),
    ]
    apart = grouped([on(one, wash), on(two, open_up), on(two, wash), on(one, open_up)])
    order = [(group.first.treatment.code, len(group.operations)) for group in apart]
    assert order == [("WASH_DRY", 1), ("OPEN_UP", 2), ("WASH_DRY", 1)]


def test_a_job_without_work_has_no_sheet(spring: Spring) -> None:
    job = deck_job(spring)
    job.operations.all().delete()
    with pytest.raises(Refused, match="operations"):
        job_sheet_render(job, on_date=TODAY)
