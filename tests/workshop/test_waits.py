"""The calendar of a job: waits, and the first day of each step."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.services.catalogue import catalogue_items
from inspections.timber.cure import cure_time
from workshop.estimating.calendar_parts import Air, JobDays, Pace, WetWood, Work
from workshop.estimating.steps import Step, Wait, steps_of
from workshop.estimating.waits import job_days, wait_factor
from yard.refusals import Refused

MAY = date(2027, 5, 3)
MILD = Air.shed(20)


def rests(
    hours: float, *, what: str = "recoat", cold_factor: float = 2.0, since: int = 1, spread: float = 0
) -> Wait:
    return Wait(what, hours - spread, hours, hours + spread, cold_factor, since)


def work(*waits: Wait | None, finding: str = "a", **more: Any) -> Work:
    steps = tuple(Step(f"Step {number}.", wait) for number, wait in enumerate(waits, start=1))
    return Work("OPERATION", (finding,), steps, **more)


def days_of(job: JobDays) -> list[int | None]:
    return [
        None if step.not_before is None else (step.not_before - job.start_on).days
        for each in job.works
        for step in each.steps
    ]


def test_coats_go_on_one_a_day_at_twenty_degrees_and_every_third_day_at_ten() -> None:
    coats = work(*(rests(20, cold_factor=2.6, since=number) for number in range(1, 5)))
    warm = job_days(works=[coats], start_on=MAY, air=MILD)
    # 20 h × 2.6 = 52 h: worked by hand
    cold = job_days(works=[coats], start_on=MAY, air=Air.shed(10))
    assert (days_of(warm), warm.days) == ([0, 1, 2, 3], 4)
    assert (days_of(cold), cold.days) == ([0, 3, 6, 9], 12)


@pytest.mark.parametrize(
    ("hours", "next_day"),
    [(0.5, 0), (4, 0), (4.1, 1), (24, 1), (24.1, 2), (168, 7)],
)
def test_a_short_wait_ends_on_the_same_day_and_a_longer_one_at_the_same_hour_of_a_later(
    hours: float, next_day: int
) -> None:
    assert days_of(job_days(works=[work(rests(hours), None)], start_on=MAY, air=MILD)) == [0, next_day]


def test_short_waits_of_one_day_add_up() -> None:
    primed = work(rests(3), rests(3, since=2), None)
    assert days_of(job_days(works=[primed], start_on=MAY, air=MILD)) == [0, 0, 1]


def test_a_wait_that_counts_from_an_earlier_step_is_over_that_much_earlier() -> None:
    splined = work(rests(18, what="cure"), None, rests(120, what="cure", since=1))
    job = job_days(works=[splined], start_on=MAY, air=MILD)
    assert days_of(job) == [0, 1, 1]
    assert job.days == 5


def test_operations_on_one_finding_follow_each_other_and_those_on_others_go_on_beside() -> None:
    first, same, beside = work(rests(48)), work(None), work(None, finding="b")
    job = job_days(works=[first, same, beside], start_on=MAY, air=MILD)
    assert days_of(job) == [0, 2, 0]


def test_wet_wood_is_not_closed_up_before_it_is_dry() -> None:
    dry_on = MAY + timedelta(days=40)
    sealed = work(None, rests(20, since=2), None, wants_dry_wood=True)
    wet = {"a": WetWood(MAY, dry_on, None)}
    job = job_days(works=[sealed], start_on=MAY, air=MILD, wet=wet)
    assert days_of(job) == [0, 40, 41]
    assert (job.not_sealed_before, job.never_dries) == (dry_on, False)
    assert [step.seals for step in job.works[0].steps] == [False, True, False]
    assert job.works[0].steps[1].reasons == ("The wood must be dry before it is closed up.",)
    never = job_days(works=[sealed], start_on=MAY, air=MILD, wet=wet, pace=Pace.CAUTIOUS)
    assert days_of(never) == [0, None, None]
    assert (never.days, never.never_dries) == (None, True)


def test_the_advice_for_the_readings_takes_the_place_of_the_hours_for_drying() -> None:
    washed = work(rests(336, what="drying"), None)
    assert days_of(job_days(works=[washed], start_on=MAY, air=MILD)) == [0, 14]
    wet = {"a": WetWood(MAY, MAY + timedelta(days=3), None)}
    assert days_of(job_days(works=[washed], start_on=MAY, air=MILD, wet=wet)) == [0, 3]


def test_nothing_is_glued_below_the_minimum_of_the_operation() -> None:
    spring = Air({**dict.fromkeys(range(1, 13), 15.0), 1: 2.0, 2: 4.0, 3: 8.0})
    glued = work(None, rests(24, what="cure", since=2), None, minimum_temperature_c=10)
    job = job_days(works=[glued], start_on=date(2027, 3, 1), air=spring)
    assert job.works[0].steps[1].not_before == date(2027, 4, 1)
    assert job.works[0].steps[1].reasons == ("It wants 10 °C.",)
    arctic = job_days(works=[glued], start_on=MAY, air=Air.shed(4))
    assert days_of(arctic) == [0, None, None]


def test_what_rests_whatever_the_weather_rests_in_frost_too() -> None:
    tape = work(rests(24, what="", cold_factor=1), None)
    assert days_of(job_days(works=[tape], start_on=MAY, air=Air.shed(-5))) == [0, 1]


@pytest.mark.parametrize("celsius", [5, 10, 15, 25, 30])
def test_the_factor_of_the_textbook_energy_is_that_of_the_cure_times(celsius: int) -> None:
    # Arrhenius with 50 kJ/mol is 2.06367 times longer at 10 °C than at 20 °C.
    expected = cure_time(hours_on_data_sheet=1, reference_temperature_c=20, temperature_c=celsius).hours_likely
    assert wait_factor(cold_factor=2.06367, temperature_c=celsius) == pytest.approx(expected, rel=1e-5)


@st.composite
def a_work(draw: st.DrawFn) -> Work:
    def a_wait(number: int) -> Wait:
        low, likely, high = sorted(draw(st.tuples(*[st.floats(0.5, 400)] * 3)))
        return Wait(
            what=draw(st.sampled_from(["cure", "recoat", "drying", ""])),
            hours_low=low,
            hours_likely=likely,
            hours_high=high,
            cold_factor=draw(st.sampled_from([1.0, 1.5, 2.0, 2.6])),
            since_step=draw(st.integers(1, number)),
        )

    count = draw(st.integers(1, 5))
    waits = [a_wait(number) if draw(st.booleans()) else None for number in range(1, count + 1)]
    return work(
        *waits,
        finding=draw(st.sampled_from(["a", "b"])),
        minimum_temperature_c=draw(st.sampled_from([None, 5, 10])),
        wants_dry_wood=draw(st.booleans()),
    )


jobs = st.lists(a_work(), min_size=1, max_size=3)
starts = st.dates(date(2027, 1, 1), date(2027, 12, 31))
years = st.lists(st.floats(-10, 30), min_size=12, max_size=12)


@given(jobs, starts, years, st.floats(0, 15))
@settings(max_examples=50, deadline=None)
def test_no_step_comes_earlier_where_it_is_colder(
    works: list[Work], start_on: date, year: list[float], colder_by: float
) -> None:
    warm = job_days(works=works, start_on=start_on, air=Air(dict(enumerate(year, start=1))))
    colder = Air({month: celsius - colder_by for month, celsius in enumerate(year, start=1)})
    cold = job_days(works=works, start_on=start_on, air=colder)
    for there, here in zip([*days_of(warm), warm.days], [*days_of(cold), cold.days], strict=True):
        assert here is None or (there is not None and there <= here)


@given(jobs, starts, years, st.sampled_from(Pace))
@settings(max_examples=50, deadline=None)
def test_steps_keep_their_order_and_their_waits_add_up(
    works: list[Work], start_on: date, year: list[float], pace: Pace
) -> None:
    job = job_days(works=works, start_on=start_on, air=Air(dict(enumerate(year, start=1))), pace=pace)
    assert [each.work for each in job.works] == works
    for each in job.works:
        assert [placed.step for placed in each.steps] == list(each.work.steps)
        allowed = [placed.not_before for placed in each.steps]
        known = [day for day in allowed if day is not None]
        assert known == sorted(known)
        # after a step that is never allowed none is
        assert allowed[: len(known)] == known
        if each.begins_on is not None and len(known) == len(allowed):
            waited = [placed.waits_days for placed in each.steps]
            assert sum(days or 0 for days in waited) == (known[-1] - each.begins_on).days
        if each.ready_on is not None:
            assert each.begins_on is not None
            assert start_on <= each.begins_on <= known[-1] <= each.ready_on
    if job.days is not None:
        assert job.ready_on == max(each.ready_on for each in job.works if each.ready_on is not None)
        assert job.start_on + timedelta(days=job.days) == job.ready_on


@given(jobs, starts, years)
@settings(max_examples=50, deadline=None)
def test_the_cautious_pace_is_never_ahead_of_the_likely_nor_that_of_the_early(
    works: list[Work], start_on: date, year: list[float]
) -> None:
    air = Air(dict(enumerate(year, start=1)))
    wet = {"a": WetWood(start_on + timedelta(5), start_on + timedelta(30), None)}
    paces = [job_days(works=works, start_on=start_on, air=air, wet=wet, pace=pace) for pace in Pace]
    for faster, slower in pairwise(paces):
        for early, late in zip(days_of(faster), days_of(slower), strict=True):
            assert late is None or (early is not None and early <= late)


def test_every_operation_of_the_stock_catalogue_can_be_put_into_the_calendar() -> None:
    for item in catalogue_items("treatments"):
        steps = steps_of(item["steps"])
        job = job_days(works=[Work(item["code"], ("a",), steps)], start_on=MAY, air=MILD)
        assert job.days is not None
        longest = max((step.wait.hours_likely for step in steps if step.wait), default=0)
        assert longest / 24 - 1 <= job.days


@pytest.mark.parametrize(
    ("wait", "field"),
    [
        pytest.param({"hours_low": "a day"}, "steps[0].wait.hours_low", id="prose for a figure"),
        pytest.param({"hours_likely": None}, "steps[0].wait.hours_likely", id="nothing"),
        pytest.param({"hours_high": "NaN"}, "steps[0].wait.hours_high", id="no number"),
        pytest.param({"hours_low": "30"}, "steps[0].wait.hours_likely", id="out of order"),
        pytest.param({"cold_factor": "0.5"}, "steps[0].wait.cold_factor", id="faster in the cold"),
        pytest.param({"since_step": 2}, "steps[0].wait.since_step", id="a later step"),
        pytest.param({"since_step": "1"}, "steps[0].wait.since_step", id="a step in words"),
        pytest.param({"for": "tea"}, "steps[0].wait.for", id="an unknown word"),
    ],
)
def test_a_step_that_makes_no_sense_is_refused_by_its_field(wait: dict[str, object], field: str) -> None:
    good: dict[str, object] = {
        "for": "recoat", "hours_low": "16", "hours_likely": "20", "hours_high": "24", "cold_factor": "2.6",
        "since_step": 1,
    }  # fmt: skip
    with pytest.raises(Refused) as refusal:
        steps_of([{"text": "Coat.", "wait": good | wait}])
    assert refusal.value.field == field


def test_a_job_of_nothing_and_half_a_year_are_refused() -> None:
    with pytest.raises(Refused, match="are none"):
        job_days(works=[], start_on=MAY, air=MILD)
    with pytest.raises(Refused, match="twelve"):
        Air({1: 5.0})
