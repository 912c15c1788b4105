"""What the hours say, over the API."""

from typing import Any

import pytest

from tests.api.callers import Caller, problem_of
from tests.workshop.booked import Booked
from workshop.models import HoursAdopted

pytestmark = pytest.mark.django_db
ADDRESS = "learned-hours/"
ADOPT = f"{ADDRESS}REBED_SEALANT/adopt/"


def jobs(number: int) -> tuple[Booked, Caller]:
    booked = Booked()
    for _ in range(number):
        booked.done("3.80")
    return booked, Caller(booked.spring.manager)


def told(manager: Caller) -> dict[str, Any]:
    (said,) = manager.get(ADDRESS).json()["treatments"]
    return dict(said)


def test_it_tells_catalogue_records_and_nothing_to_adopt_below_ten() -> None:
    _, manager = jobs(9)
    whole = manager.get(ADDRESS).json()
    assert (whole["least_jobs"], whole["ceiling_probability"]) == (10, 0.8)
    said = told(manager)
    assert said["treatment"] == "REBED_SEALANT"
    assert said["catalogue"] == said["stands"] == {"low": "1.00", "likely": "1.50", "high": "3.00"}
    assert (said["jobs"], said["alone"], said["drawn_in"], said["adoptable"]) == (9, 9, 0, False)
    assert said["proposed"] is said["adopted"] is None
    assert 1.63 < said["median_hours"] < said["p80_hours"]
    body = {"hours": said["stands"], "why": "To see."}
    problem = problem_of(manager.post(ADOPT, body), 422)
    assert [error["field"] for error in problem["errors"]] == ["hours"]


def test_a_manager_adopts_what_is_proposed_once() -> None:
    booked, manager = jobs(10)
    body = {"hours": told(manager)["proposed"], "why": "Old fittings."}
    answer = manager.post(ADOPT, body)
    assert answer.status_code == 201
    adopted = answer.json()
    assert (adopted["hours"], adopted["jobs"], adopted["why"]) == (body["hours"], 10, "Old fittings.")
    assert adopted["adopted_by"] == booked.spring.manager.pk
    assert manager.post(ADOPT, body).json() == adopted
    assert HoursAdopted.objects.count() == 1
    said = told(manager)
    assert said["stands"] == body["hours"]
    assert said["adopted"] == adopted
    assert said["adoptable"] is False


def test_others_have_nothing_to_do_with_it(stranger: Caller) -> None:
    booked, _ = jobs(10)
    technician = Caller(booked.spring.technician)
    problem_of(technician.get(ADDRESS), 403)
    problem_of(technician.post(ADOPT, {}), 403)
    assert stranger.get(ADDRESS).json()["treatments"] == []
    problem_of(stranger.post(ADOPT, {}), 404)


def test_hours_out_of_order_are_named() -> None:
    _, manager = jobs(10)
    body = {"hours": {"low": "3", "likely": "2", "high": "4"}, "why": "To see."}
    problem_of(manager.post(ADOPT, body), 422)
    problem_of(manager.post(ADOPT, {**body, "hours": {"low": "3", "likely": "much", "high": "4"}}), 400)
