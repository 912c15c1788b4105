"""The hours of many jobs, median and 80 % figure, against only adding up their likely hours."""

from __future__ import annotations

from itertools import cycle, islice

import pytest

from inspections.services.catalogue import catalogue_items
from tests.bench.measuring import in_turns, ratio, report
from workshop.estimating.hours import ThreePoint, sum_of

pytestmark = pytest.mark.bench

JOBS = 10_000
ROUNDS, WARM_UP = 5, 1


def test_hours_against_adding_up_the_likely_ones() -> None:
    jobs = jobs_of_the_stock_list()
    estimates = [sum_of(job) for job in jobs]
    assert len({(one.median, one.p80) for one in estimates}) > 1000, "they are all alike"
    assert all(one.low <= one.median <= one.p80 <= one.high for one in estimates)

    def estimate() -> None:
        for job in jobs:
            sum_of(job)

    def add_up() -> None:
        for job in jobs:
            sum(operation.likely for operation in job)

    seconds = in_turns({"median and 80 %": estimate, "likely hours": add_up}, rounds=ROUNDS, warm_up=WARM_UP)
    median = sorted(seconds["median and 80 %"])[ROUNDS // 2]
    report(
        "hours",
        seconds,
        [ratio("estimating a job's hours", seconds, of="median and 80 %", to="likely hours")],
        facts={"jobs": JOBS, "estimated in a second": round(JOBS / median)},
    )


def jobs_of_the_stock_list() -> list[list[ThreePoint]]:
    """Jobs of one to six operations out of the stock list, each in another amount, with their set-ups."""
    stock = [
        (tuple(float(item[f"hours_{name}"]) for name in ("low", "likely", "high")), float(item["setup_hours"]))
        for item in catalogue_items("treatments")
    ]
    work = cycle(stock)
    jobs = []
    for number in range(JOBS):
        job = []
        for (low, likely, high), setup in islice(work, 1 + number % 6):
            units = 0.5 + number % 97 / 10
            job.append(ThreePoint(low * units, likely * units, high * units))
            job.append(ThreePoint(setup, setup, setup))
        jobs.append(job)
    return jobs
