"""The picking list of a week: which jobs stand in it, what they need by job and in all, packs, CSV, paper."""

from __future__ import annotations

import csv
from datetime import date, timedelta
from decimal import Decimal
from io import StringIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.factories.workshop import MaterialFactory, MaterialPackFactory, TreatmentFactory
from tests.queries import assert_same_queries
from tests.workshop import pdf_reading
from tests.workshop.spring import AT, TODAY, Spring, a_spring
from workshop.estimating.packs import PackSize
from workshop.models import Job, Material, MaterialLog, Treatment
from workshop.pricing.job_price import MaterialLine, MaterialPrice
from workshop.pricing.picking import picked
from workshop.report.picking_list import picking_csv, picking_render, picking_view
from workshop.selectors.picking import PickingList, picking_list
from workshop.services.jobs import hold_add
from yard.safe_cells import safe_cell
from yard.weeks import Week, week_of, week_read

D = Decimal
DUE = date(2027, 4, 30)


@pytest.fixture
def spring() -> Spring:
    """Rebedding takes 40 ml of sealant and 10 % waste, by cartridges of 290; varnishing 600 ml from litre tins."""
    made = a_spring(name="Sea Pink")
    sealant = Material.objects.of_yard(made.yard).get(code="sealant")
    sealant.charged_by = "pack"
    sealant.save()
    MaterialPackFactory.create(material=sealant)
    varnish = MaterialFactory.create(yard=made.yard, code="varnish", name="Varnish", waste_pct=0)
    MaterialPackFactory.create(material=varnish, name="tin", plural="tins", size=D(1000), price=D(42))
    TreatmentFactory.create(
        yard=made.yard,
        code="VARNISH",
        name="Varnish",
        tools=["brush"],
        materials=[{"item": "varnish", "low": "500", "likely": "600", "high": "700"}],
    )
    return made


def approved(spring: Spring, *treatments: str, due_on: date = DUE, name: str = "Window frame") -> Job:
    before = set(Job.objects.values_list("pk", flat=True))
    spring.finding(spring.component(name), *treatments, due_on=due_on)
    spring.propose()
    job: Job = Job.objects.exclude(pk__in=before).get()
    job.state = Job.State.APPROVED
    job.save()
    return job


def of_week(spring: Spring, code: str) -> PickingList:
    week = week_read(code)
    assert week is not None
    return picking_list(spring.yard, week, on_date=TODAY)


def week_of_due() -> str:
    return week_of(DUE).code


needs = st.dictionaries(st.integers(1, 9), st.decimals("0.01", 900, places=2), max_size=5)


@given(needs, st.booleans())
@settings(deadline=None, max_examples=40)
def test_nothing_is_lost_or_fetched_twice(by_job: dict[int, Decimal], whole_packs: bool) -> None:
    sizes = (PackSize(D(290), D(16)), PackSize(D(600), D(30)))
    price = MaterialPrice("x", "X", "ml", D("0.05"), D(0), None, D(25), sizes, whole_packs)
    lines = {job: [MaterialLine("x", "X", "ml", quantity, D(1), D(25))] for job, quantity in by_job.items()}
    if not by_job:
        assert picked(lines, {"x": price}) == ()
        return
    (one,) = picked(lines, {"x": price})
    assert {need.job: need.quantity for need in one.by_job} == by_job
    assert one.quantity == one.needed == sum(by_job.values())
    if not whole_packs:
        held = sum(each.count * each.pack.size for each in one.packs)
        assert one.left_over == held - one.quantity
        assert 0 <= one.left_over < 600


@pytest.mark.django_db
@pytest.mark.both_databases
def test_what_keeps_is_rounded_once_and_what_does_not_for_each_job(spring: Spring) -> None:
    jobs = [approved(spring, "REBED_SEALANT", "VARNISH", name=f"Frame {at}") for at in range(3)]
    listed = of_week(spring, week_of_due())
    assert [each.job for each in listed.jobs] == jobs
    sealant, varnish = listed.materials
    # 40 ml + 10 % in each job; an opened cartridge does not last until the next
    assert [(need.job, need.quantity) for need in sealant.by_job] == [(job.pk, D("44.00")) for job in jobs]
    assert (sealant.name, sealant.quantity, sealant.packs[0].count, sealant.keeps) == ("Sealant", D(132), 3, False)
    # 3 × 600 ml are two tins of a litre, not three
    assert (varnish.quantity, varnish.packs[0].count, varnish.left_over, varnish.keeps) == (
        D(1800),
        2,
        D(200),
        True,
    )
    assert [(tool.name, tool.jobs) for tool in listed.tools] == [("brush", tuple(job.pk for job in jobs))]


@pytest.mark.django_db
@pytest.mark.both_databases
def test_what_is_booked_to_a_job_is_taken_off_its_own_need_and_never_below_nothing(spring: Spring) -> None:
    begun, other = (approved(spring, "REBED_SEALANT", "VARNISH", name=f"Frame {at}") for at in range(2))
    materials = {row.code: row for row in Material.objects.of_yard(spring.yard)}

    def book(code: str, quantity: str, unit: str = "ml") -> None:
        MaterialLog.objects.create(
            yard=spring.yard, job=begun, material=materials[code], member=spring.technician, used_on=TODAY,
            quantity=D(quantity), unit=unit, booked_at=AT,
        )  # fmt: skip

    book("sealant", "40")
    book("sealant", "-10")
    book("sealant", "2", unit="cartridge")  # as the list had it before
    book("varnish", "750.5")
    listed = of_week(spring, week_of_due())
    sealant, varnish = listed.materials
    assert [(need.needed, need.booked, need.quantity) for need in sealant.by_job] == [
        (D(44), D(30), D(14)),
        (D(44), D(0), D(44)),
    ]
    assert (sealant.needed, sealant.quantity, sealant.fetched, sealant.packs[0].count) == (D(88), D(58), D(30), 2)
    # more than it needs is booked: that is nobody else's
    assert [need.quantity for need in varnish.by_job] == [D(0), D(600)]
    assert (varnish.needed, varnish.quantity, varnish.packs[0].count) == (D(1200), D(600), 1)

    other.state = Job.State.DONE
    other.save()
    listed = of_week(spring, week_of_due())
    assert [(one.quantity, one.packs) for one in listed.materials][1] == (D(0), ())
    words = " ".join(pdf_reading.text(picking_render(picking_view(listed, spring.yard, on_date=TODAY)).pdf).split())
    for said in ("What is booked to a job is taken off", "14 ml of 44 ml", "nothing more", "600 ml booked"):
        assert said in words
    rows = list(csv.DictReader(StringIO(picking_csv(listed))))
    assert [(row["boat"], row["amount"], row["needed"], row["booked"]) for row in rows[2:4]] == [
        ("Sea Pink", "0", "600", "750.5"),
        ("in all", "0", "600", "750.5"),
    ]


@pytest.mark.django_db
def test_a_job_stands_in_the_week_in_which_it_must_be_begun(spring: Spring) -> None:
    this_week = week_of(TODAY)
    job = approved(spring, "VARNISH")

    def weeks() -> list[str]:
        return [
            week.code
            for ahead in range(-1, 9)
            if picking_list(spring.yard, week := this_week.away(7 * ahead), on_date=TODAY).jobs
        ]

    assert weeks() == [week_of(DUE).code]
    # two weeks of curing: it must be begun two weeks before
    wait = {"for": "cure", "cold_factor": "1", "since_step": 1}
    hours = dict.fromkeys(("hours_low", "hours_likely", "hours_high"), "336")
    Treatment.objects.filter(code="VARNISH").update(steps=[{"text": "Varnish.", "wait": {**wait, **hours}}])
    assert weeks() == [week_of(DUE - timedelta(days=14)).code]
    # not before what it waits for is there
    hold_add(
        job=job, kind="part", what="a brush", who=None, expected_on=date(2027, 5, 18), meanwhile="taped", at=AT
    )
    assert weeks() == [week_of(date(2027, 5, 18)).code]
    Job.objects.update(state=Job.State.IN_WORK)
    assert weeks() == [this_week.code]
    for state in (Job.State.QUOTED, Job.State.DECLINED, Job.State.DONE):
        Job.objects.update(state=state)
        assert weeks() == []


@pytest.mark.django_db
def test_what_should_have_been_begun_stands_in_this_week_and_without_a_price_list_it_still_stands(
    spring: Spring,
) -> None:
    approved(spring, "VARNISH", due_on=TODAY - timedelta(days=20))
    Treatment.objects.filter(code="VARNISH").update(
        materials=[{"item": "gold", "low": "1", "likely": "1", "high": "1"}]
    )
    listed = picking_list(spring.yard, week_of(TODAY), on_date=TODAY)
    assert listed.jobs[0].begin_by == TODAY
    assert "gold" in listed.jobs[0].why_not
    assert listed.materials == ()
    assert [tool.name for tool in listed.tools] == ["brush"]


@pytest.mark.django_db
@pytest.mark.both_databases
def test_it_asks_the_database_no_more_for_more_jobs_and_never_for_another_yards(spring: Spring) -> None:
    approved(a_spring(), "REBED_SEALANT", name="Next door")
    week = Week(week_of(DUE).monday)
    made = 0

    def grow(jobs: int) -> None:
        nonlocal made
        while made < jobs:
            made += 1
            approved(spring, "REBED_SEALANT", "VARNISH", name=f"Frame {made}")

    assert_same_queries(lambda: picking_list(spring.yard, week, on_date=TODAY), grow, to=(2, 12))
    assert len(picking_list(spring.yard, week, on_date=TODAY).jobs) == 12


@pytest.mark.django_db
def test_the_spreadsheet_has_a_line_by_job_and_one_in_all_and_no_formula(spring: Spring) -> None:
    spring.boat.name = '=HYPERLINK("x")'
    spring.boat.save()
    Treatment.objects.filter(code="VARNISH").update(tools=["-brush", " @line"])
    approved(spring, "VARNISH", name="+Frame")
    rows = list(csv.DictReader(StringIO(picking_csv(of_week(spring, week_of_due())))))
    assert [(row["what"], row["name"], row["boat"], row["amount"], row["packs"]) for row in rows] == [
        ("material", "Varnish", '\'=HYPERLINK("x")', "600", ""),
        ("material", "Varnish", "in all", "600", "1 tin of 1 L"),
        ("tool", "' @line", '\'=HYPERLINK("x")', "", ""),
        ("tool", "'-brush", '\'=HYPERLINK("x")', "", ""),
    ]
    assert not any(cell.lstrip().startswith(("=", "+", "-", "@")) for row in rows for cell in row.values())


@pytest.mark.parametrize(
    ("text", "cell"),
    [("=1+1", "'=1+1"), ("+1", "'+1"), ("-1", "'-1"), ("@A1", "'@A1"), ("\t=1", "'\t=1"), ("\rx", "'\rx"),
     ("2-3 mm", "2-3 mm"), ("", "")],
)  # fmt: skip
def test_a_cell_is_text(text: str, cell: str) -> None:
    assert safe_cell(text) == cell


@pytest.mark.django_db
def test_on_paper_it_says_what_to_fetch_and_escapes_what_people_wrote(spring: Spring) -> None:
    approved(spring, "REBED_SEALANT", "VARNISH", name="<b>Frame</b>")
    Job.objects.update(title="<script>alert(1)</script>")
    view = picking_view(of_week(spring, week_of_due()), spring.yard, on_date=TODAY)
    rendered = picking_render(view)
    words = " ".join(pdf_reading.text(rendered.pdf).split())
    assert rendered.pages == 1
    for said in ("Picking list, 2027-W17", "Sea Pink", "1 cartridge of 290 ml", "1 tin of 1 L", "leaves 400 ml",
                 "brush", "<script>alert(1)</script>"):  # fmt: skip
        assert said in words
