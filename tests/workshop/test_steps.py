"""The steps of a job, ticked by their real moments; the meter; what is left out."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from inspections.models import Assessment, Finding
from inspections.services.catalogue import catalogue_items
from inspections.timber.cure import cure_time
from tests.factories import TechnicianFactory
from tests.workshop.spring import AT, TODAY, Spring, a_spring
from workshop.estimating.calendar_parts import Air, Work
from workshop.estimating.steps import Step, Wait, steps_of
from workshop.estimating.wait_pace import wait_over
from workshop.estimating.waits import job_days
from workshop.models import Job, Material, Operation, StepTick, Treatment
from workshop.report.job_sheet import job_sheet_view
from workshop.selectors.job_steps import StepState, job_steps
from workshop.services.decisions import decision_make
from workshop.services.jobs import hold_add
from workshop.services.steps import job_air_set, meter_read, step_take_back, step_tick
from workshop.services.work import job_done, job_start, material_book
from yard.models import ClimateNormal, Member
from yard.models.people import Role
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

OSLO = ZoneInfo("Europe/Oslo")
NINE = datetime(2027, 5, 3, 9, 0, tzinfo=OSLO)
HOUR = timedelta(hours=1)


def rests(hours: str, what: str = "recoat", since: int = 1, cold: str = "2.6") -> dict[str, Any]:
    figures = dict.fromkeys(("hours_low", "hours_likely", "hours_high"), hours)
    return {"for": what, **figures, "cold_factor": cold, "since_step": since}


COATS = [
    {"text": "First coat.", "wait": rests("20")},
    {"text": "Second coat.", "wait": rests("20", since=2)},
    {"text": "Take off the tape.", "wait": None},
]
DRYING = {
    "target_pct": 15.0,
    "earliest_on": "2027-04-20",
    "likely_on": "2027-05-11",
    "cautious_on": None,
    "shed_likely_on": "2027-04-18",
}
DRIED = [
    {"text": "Tent it.", "wait": rests("336", "drying", cold="2")},
    {"text": "Go on.", "wait": None},
]


def in_work(spring: Spring, *codes: str) -> Job:
    spring.finding(spring.component("Coaming"), *codes)
    quote = spring.sent()
    for line in quote.lines.all():
        decision_make(line=line, verdict="approve", digest=quote.digest, at=AT, owner=spring.boat.decider_owner)
    return job_start(job=Job.objects.get(), by=spring.technician, at=AT)


@pytest.fixture
def spring() -> Spring:
    made = a_spring()
    Treatment.objects.filter(yard=made.yard, code="SEAM").update(steps=COATS)
    Treatment.objects.filter(yard=made.yard, code="OPEN_UP").update(steps=DRIED, maximum_moisture_pct=16)
    return made


def states(job: Job, on: date = TODAY) -> list[StepState]:
    return [step for work in job_steps(job, on_date=on).works for step in work.steps]


def tick(job: Job, step: int, at: datetime = AT, **more: Any) -> StepTick:
    operation = more.pop("operation", None) or job.operations.order_by("position")[0]
    by = more.pop("by", None) or Member.objects.of_yard(job.yard_id).get(role=Role.TECHNICIAN)
    return step_tick(job=job, operation=operation, step=step, by=by, at=at, **more)


# --- the reckoning --------------------------------------------------------------------------------
@pytest.mark.parametrize("celsius", [5, 10, 15, 25])
def test_a_wait_from_a_tick_is_over_when_the_cure_at_that_temperature_is(celsius: float) -> None:
    # Arrhenius with 50 kJ/mol is 2.06367 times longer at 10 °C than at 20 °C; `cure_time` has its own references.
    wait = Wait("cure", 20, 20, 20, 2.06367, 1)
    over = wait_over(wait, since=NINE, air=Air.shed(celsius))
    expected = cure_time(hours_on_data_sheet=20, reference_temperature_c=20, temperature_c=celsius).hours_likely
    assert over is not None
    assert (over - NINE) / HOUR == pytest.approx(expected, rel=1e-5)


def test_a_wait_runs_through_the_months_and_through_the_change_of_the_clock() -> None:
    # 20 h × 2.6 = 52 h at 10 °C, worked by hand. From midnight on it is 20 °C: of 20 h, 15 h at 10 °C were worth
    # 15 / 2.6 = 5.77 h, and 14.23 h are left.
    may = Air({month: 10.0 if month < 6 else 20.0 for month in range(1, 13)})
    over = wait_over(Wait("recoat", 20, 20, 20, 2.6, 1), since=datetime(2027, 5, 31, 9, 0, tzinfo=OSLO), air=may)
    assert over is not None
    assert (over - datetime(2027, 6, 1, tzinfo=OSLO)) / HOUR == pytest.approx(20 - 15 / 2.6)
    # on 28 March 2027 the clock is put on at two, so that 24 hours later it shows one hour more
    before = datetime(2027, 3, 27, 12, 0, tzinfo=OSLO)
    over = wait_over(Wait("", 24, 24, 24, 1, 1), since=before, air=Air.shed(20))
    assert over == datetime(2027, 3, 28, 13, 0, tzinfo=OSLO)


def test_too_cold_it_does_not_cure_and_what_is_ticked_counts_from_its_moment() -> None:
    assert wait_over(Wait("cure", 4, 8, 16, 2, 1), since=NINE, air=Air.shed(7), minimum_c=10) is None
    work = Work("COAT", ("a",), (Step("One.", Wait("recoat", 3, 3, 3, 1, 1)), Step("Two.")))
    placed = job_days(works=[work, work], start_on=date(2027, 5, 10), air=Air.shed(20), ticked={(0, 1): NINE}).works
    first, second = placed[0].steps
    assert (first.ticked_at, first.not_before) == (NINE, date(2027, 5, 3))
    assert second.not_before_at == NINE + 3 * HOUR
    # the next operation at the same finding does not begin in the past
    assert placed[1].steps[0].not_before == date(2027, 5, 10)


def test_the_reckoning_from_ticks_and_the_one_by_days_agree() -> None:
    """Each step ticked in the first hour it is allowed comes no later than the calendar by days gave."""
    (item,) = [item for item in catalogue_items("treatments") if item["code"] == "SEAL_EPOXY_VARN"]
    work = Work("X", ("a",), steps_of(item["steps"]))
    planned = job_days(works=[work], start_on=NINE.date(), air=Air.shed(15)).works[0].steps
    ticked: dict[tuple[int, int], datetime] = {}
    now = NINE
    for number in range(1, len(planned) + 1):
        step = job_days(works=[work], start_on=NINE.date(), air=Air.shed(15), ticked=ticked).works[0].steps
        now = max(now, step[number - 1].not_before_at or now)
        ticked[0, number] = now
        given = planned[number - 1].not_before
        assert given is not None
        assert now.date() <= given


def test_the_wait_of_washed_wood_stands_where_the_meter_is_read() -> None:
    (item,) = [item for item in catalogue_items("treatments") if item["code"] == "WASH_DRY"]
    waits = {number: step.wait for number, step in enumerate(steps_of(item["steps"]), start=1) if step.wait}
    assert {number: (wait.what, wait.since_step) for number, wait in waits.items()} == {5: ("drying", 4)}
    assert "Meter" in item["steps"][4]["text"]


# --- ticking --------------------------------------------------------------------------------------
def test_a_coat_before_its_time_asks_for_a_reason_that_stays_to_be_seen(spring: Spring) -> None:
    job = in_work(spring, "SEAM")
    job = job_air_set(job=job, worked_in="shed", at=AT)
    tick(job, 1)
    # 20 h at the shed's temperature, from eleven o'clock in summer time
    allowed = states(job)[1].days.not_before_at
    assert allowed is not None
    with pytest.raises(Refused) as refused:
        tick(job, 2, allowed - timedelta(minutes=1))
    assert refused.value.field == "reason"
    assert f"{allowed:%Y-%m-%d %H:%M}" in refused.value.problem
    assert "wait until then" in refused.value.remedy
    early = tick(job, 2, AT + HOUR, reason="A lamp stood before it all morning.")
    assert early.allowed_on == allowed.date()
    view = job_sheet_view(job, on_date=TODAY).works[0].steps
    assert view[0].said.startswith("Ticked 6 Apr 2027")
    assert "A lamp stood before it all morning." in view[1].why
    assert view[1].not_before == ""
    tick(job, 2, AT + HOUR)
    assert job.ticks.count() == 2


def test_at_its_time_nothing_is_asked(spring: Spring) -> None:
    job = in_work(spring, "SEAM")
    tick(job, 1)
    allowed = states(job)[1].days.not_before_at
    assert allowed is not None
    assert tick(job, 2, allowed).allowed_on is None


def test_out_of_turn_asks_for_a_reason_too_across_the_operations_at_a_finding(spring: Spring) -> None:
    job = in_work(spring, "REBED_SEALANT", "SEAM")
    second = job.operations.order_by("position")[1]
    with pytest.raises(Refused) as refused:
        tick(job, 1, operation=second)
    assert "Rebed in sealant comes before it" in refused.value.problem
    tick(job, 1)
    tick(job, 1, operation=second)
    with pytest.raises(Refused) as refused:
        tick(job, 3, AT + timedelta(days=9), operation=second)
    assert "step 2 before it is not ticked" in refused.value.problem
    assert tick(job, 3, AT + timedelta(days=9), operation=second, reason="One coat is enough.").reason


def test_a_tick_is_taken_back_by_a_further_row_and_given_again(spring: Spring) -> None:
    job = in_work(spring, "SEAM")
    operation = job.operations.get()
    said = {"job": job, "operation": operation, "step": 1, "by": spring.technician}
    with pytest.raises(Refused):
        step_take_back(**said, at=AT)  # type: ignore[arg-type]
    first = tick(job, 1)
    back = step_take_back(**said, at=AT + HOUR, note="The wrong boat.")  # type: ignore[arg-type]
    assert step_take_back(**said, at=AT + HOUR) == back  # type: ignore[arg-type]
    assert states(job)[0].is_open
    again = tick(job, 1, AT + 2 * HOUR)
    assert [row.pk for row in job.ticks.all()] == [first.pk, back.pk, again.pk]
    assert states(job)[0].done == again


def test_a_reading_dry_enough_ends_the_drying_and_a_wet_one_does_not(spring: Spring) -> None:
    job = in_work(spring, "OPEN_UP")
    finding = Finding.objects.get(operations__job=job)
    week = AT + timedelta(days=7)

    def read(pct: str, at: datetime) -> None:
        meter_read(job=job, finding=finding, moisture_pct=Decimal(pct), by=spring.technician, at=at)

    read("12", AT - HOUR)  # before the tent stood it says nothing of the drying
    tick(job, 1)
    with pytest.raises(Refused) as refused:
        tick(job, 2, week)
    assert "2027-05-" in refused.value.problem
    assert "meter reading of 16 % or less" in refused.value.remedy
    read("16.1", week)
    with pytest.raises(Refused):
        tick(job, 2, week + HOUR)
    read("16", week + HOUR)
    assert tick(job, 2, week + 2 * HOUR).allowed_on is None
    # read wet again after the reckoned time, it is not dry either
    step_take_back(job=job, operation=job.operations.get(), step=2, by=spring.technician, at=week + 3 * HOUR)
    read("22", AT + timedelta(days=60))
    with pytest.raises(Refused):
        tick(job, 2, AT + timedelta(days=60, hours=1))


def test_the_judged_day_of_dry_wood_holds_where_nobody_metered(spring: Spring) -> None:
    job = in_work(spring, "OPEN_UP")
    old = Assessment.objects.get()
    Assessment.objects.filter(pk=old.pk).update(superseded_at=AT)
    old.pk, old.document = None, {"drying": DRYING}
    old.save(force_insert=True)
    tick(job, 1)
    assert [state.days.not_before for state in states(job)] == [TODAY, date(2027, 5, 11)]
    job = job_air_set(job=job, worked_in="shed", at=AT)
    assert states(job)[1].days.not_before == date(2027, 4, 18)


def test_outdoors_the_yards_months_count(spring: Spring) -> None:
    ClimateNormal.objects.of_yard(spring.yard).update(air_temperature_c=10)
    job = in_work(spring, "SEAM")
    tick(job, 1)
    assert states(job)[1].days.not_before_at == AT + 52 * HOUR  # 20 h × 2.6, worked by hand


def test_ticks_of_steps_that_were_written_anew_stay_with_their_words(spring: Spring) -> None:
    job = in_work(spring, "SEAM")
    tick(job, 1)
    changed = [{"text": "Sand it.", "wait": None}, *COATS[:1], {"text": "Something else.", "wait": None}]
    Treatment.objects.filter(code="SEAM").update(steps=changed)
    assert [state.is_open for state in states(job)] == [True, False, True]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        pytest.param({"step": 4}, "step", id="no such step"),
        pytest.param({"step": 0}, "step", id="counted from nought"),
        pytest.param({"note": "x" * 301}, "note", id="a novel"),
        pytest.param({"by": "stranger"}, "member", id="somebody of another yard"),
        pytest.param({"operation": "other"}, "operation", id="another job's"),
    ],
)
def test_what_can_not_be_ticked_is_named(spring: Spring, change: dict[str, Any], field: str) -> None:
    job = in_work(spring, "SEAM")
    if change.get("by"):
        change = {"by": TechnicianFactory.create()}
    if change.get("operation"):
        change = {"operation": Operation(pk=0)}
    with pytest.raises(Refused) as refused:
        tick(job, **{"step": 1, **change})
    assert refused.value.field == field


def test_only_a_job_in_work_is_ticked(spring: Spring) -> None:
    spring.finding(spring.component("Coaming"), "SEAM")
    (job,) = spring.propose()
    with pytest.raises(Refused) as refused:
        tick(job, 1)
    assert refused.value.field == "state"


def test_done_with_open_steps_asks_why_where_steps_are_ticked_at_all(spring: Spring) -> None:
    job = in_work(spring, "SEAM")
    tick(job, 1)
    with pytest.raises(Refused) as refused:
        job_done(job=job, by=spring.technician, at=AT)
    assert refused.value.field == "left_out_because"
    job_done(job=job, by=spring.technician, at=AT, left_out_because="The owner does the rest.")
    left = [state.left_out for state in states(job)]
    assert [row.reason if row else None for row in left] == [None, *["The owner does the rest."] * 2]


def test_a_held_jobs_steps_begin_when_what_it_waits_for_is_expected(spring: Spring) -> None:
    spring.finding(spring.component("Coaming"), "SEAM")
    (job,) = spring.propose()
    hold_add(job=job, kind="part", what="bolts", who=None, expected_on=date(2027, 4, 20), meanwhile="taped", at=AT)
    assert states(job)[0].days.not_before == date(2027, 4, 20)


# --- material -------------------------------------------------------------------------------------
def test_material_is_booked_and_corrected_by_further_lines(spring: Spring) -> None:
    job = in_work(spring, "SEAM")
    material = Material.objects.of_yard(spring.yard).get(code="sealant")

    def book(quantity: str, on: date = TODAY) -> None:
        material_book(
            job=job, material=material, member=spring.technician, used_on=on, quantity=Decimal(quantity), at=AT
        )

    book("310")
    book("-60.5")
    assert [log.quantity for log in job.material_logs.order_by("id")] == [Decimal(310), Decimal("-60.5")]
    for quantity, on, field in (
        ("-250", TODAY, "quantity"),
        ("0.0001", TODAY, "quantity"),
        ("NaN", TODAY, "quantity"),
        ("1", TODAY + timedelta(days=1), "used_on"),
    ):
        with pytest.raises(Refused) as refused:
            book(quantity, on)
        assert refused.value.field == field
