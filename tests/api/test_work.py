"""Hours that were spent, and the look afterwards that ends a finding."""

from typing import Any

import pytest

from tests.api.callers import Caller, fields_of, problem_of
from tests.api.worlds import Bench, bench
from tests.factories import PhotoFactory
from tests.workshop.spring import AT
from workshop.models import Job, WorkLog
from workshop.services.decisions import decision_make
from workshop.services.work import job_done, job_start

VERIFIED_BY = {"photo_sha256": "ab" * 32}


@pytest.fixture
def shed(db: None) -> Bench:
    laid = bench()
    PhotoFactory.create(yard=laid.spring.yard, sha256="ab" * 32)
    return laid


@pytest.fixture
def job(shed: Bench) -> Job:
    line = shed.line()
    owner = shed.spring.boat.decider_owner
    decision_make(line=line, verdict="approve", digest=line.quote.digest, at=AT, owner=owner)
    return job_start(job=line.job, by=shed.spring.technician, at=AT)


def hours(job: Job, **change: Any) -> dict[str, Any]:
    return {"job": job.pk, "worked_on": "2027-04-06", "hours": "2.50", **change}


def test_a_technician_books_own_hours_and_a_manager_anybodys(shed: Bench, job: Job) -> None:
    booked = shed.technician.post("work-logs/", hours(job, note="bedding out"))
    assert booked.status_code == 201
    assert booked.json()["member"]["id"] == shed.spring.technician.pk
    assert booked.json()["hours"] == "2.50"
    for_another = hours(job, member=shed.spring.manager.pk)
    problem_of(shed.technician.post("work-logs/", for_another), 403)
    for_technician = hours(job, member=shed.spring.technician.pk, hours=-0.5)
    assert shed.manager.post("work-logs/", for_technician).json()["hours"] == "-0.50"
    assert [row["hours"] for row in shed.technician.results(f"work-logs/?job={job.pk}")] == ["-0.50", "2.50"]
    assert shed.technician.results("work-logs/?worked_after=2027-04-07") == []


@pytest.mark.parametrize(
    ("change", "status", "fields"),
    [
        ({"hours": 0}, 422, {"hours"}),
        ({"hours": "24.01"}, 400, {"hours"}),
        ({"hours": True}, 400, {"hours"}),
        ({"hours": "-1"}, 422, {"hours"}),
        ({"worked_on": "2027-04-07"}, 422, {"worked_on"}),
        ({"worked_on": "yesterday"}, 400, {"worked_on"}),
        ({"job": 0}, 400, {"job"}),
        ({"rate": "62.00"}, 400, {"rate"}),
    ],
)
def test_what_is_wrong_with_hours_is_named(
    shed: Bench, job: Job, change: dict[str, Any], status: int, fields: set[str]
) -> None:
    assert fields_of(shed.technician.post("work-logs/", hours(job) | change), status) == fields
    assert not WorkLog.objects.exists()


def test_a_repaired_finding_is_verified_by_photo_or_reading(shed: Bench, job: Job) -> None:
    finding = str(job.operations.get().finding_id)
    early = shed.technician.post("verifications/", VERIFIED_BY | {"finding": finding})
    assert fields_of(early, 422) == {"finding"}
    job_done(job=job, by=shed.spring.technician, at=AT)
    bare = {"finding": finding}
    assert fields_of(shed.technician.post("verifications/", bare), 422) == {"photo_sha256"}
    verified = shed.technician.post("verifications/", VERIFIED_BY | {"finding": finding})
    assert verified.status_code == 201
    assert verified.json()["job"] == job.pk
    assert shed.manager.get(f"jobs/{job.pk}/").json()["state"] == "verified"
    assert shed.manager.get(f"findings/{finding}/").json()["state"] == "verified"
    again = shed.technician.post("verifications/", VERIFIED_BY | {"finding": finding})
    assert fields_of(again, 422) == {"finding"}


@pytest.mark.parametrize(
    ("change", "status", "fields"),
    [
        ({"finding": 7}, 400, {"finding"}),
        ({"finding": "8e03978e-40d5-43e8-bc93-6894a57f9324"}, 400, {"finding"}),
        ({"photo_sha256": "AB" * 32}, 400, {"photo_sha256"}),
        ({"look_again_on": "2027-04-06"}, 422, {"look_again_on"}),
        ({"look_again_on": None}, 400, {"look_again_on"}),
        ({"look_again_on": "2029-04-06"}, 422, {"look_again_on"}),
        ({"photo_sha256": "cd" * 32}, 422, {"photo_sha256"}),
        ({"readings": [{"quantity": "colour", "value": "3"}]}, 400, {"readings[0].quantity"}),
        ({"readings": [{"quantity": "play", "value": "3", "unit": "in"}]}, 422, {"readings[0].unit"}),
        ({"reading": "looks good"}, 400, {"reading"}),
        ({"second_look_by": 1}, 400, {"second_look_by"}),
    ],
)
def test_what_is_wrong_with_a_verification_is_named(
    shed: Bench, job: Job, change: dict[str, Any], status: int, fields: set[str]
) -> None:
    job_done(job=job, by=shed.spring.technician, at=AT)
    sheet = VERIFIED_BY | {"finding": str(job.operations.get().finding_id)} | change
    assert fields_of(shed.technician.post("verifications/", sheet), status) == fields


def test_work_of_another_yard_is_neither_seen_nor_booked_on(
    shed: Bench, job: Job, stranger: Caller, nobody: Caller
) -> None:
    log = shed.technician.post("work-logs/", hours(job)).json()
    job_done(job=job, by=shed.spring.technician, at=AT)
    finding = str(job.operations.get().finding_id)
    verified = shed.technician.post("verifications/", VERIFIED_BY | {"finding": finding}).json()
    assert fields_of(stranger.post("work-logs/", hours(job)), 400) == {"job"}
    assert fields_of(stranger.post("verifications/", VERIFIED_BY | {"finding": finding}), 400) == {"finding"}
    problem_of(stranger.get(f"work-logs/{log['id']}/"), 404)
    problem_of(stranger.get(f"verifications/{verified['id']}/"), 404)
    assert stranger.results("work-logs/") == []
    assert stranger.results("verifications/") == []
    problem_of(nobody.post("work-logs/", hours(job)), 401)
