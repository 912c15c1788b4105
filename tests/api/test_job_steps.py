"""Steps, the meter, material, a stop halfway and the two looks, over the API."""

from typing import Any

import pytest

from inspections.models import Finding
from tests.api.callers import Caller, fields_of, problem_of
from tests.api.worlds import Bench
from tests.factories import PhotoFactory
from tests.workshop.spring import AT, a_spring
from workshop.models import Job, StepTick, Treatment
from workshop.services.decisions import decision_make
from workshop.services.work import job_start

WAIT = {
    "for": "recoat",
    "hours_low": "20",
    "hours_likely": "20",
    "hours_high": "20",
    "cold_factor": "1",
    "since_step": 1,
}


@pytest.fixture
def shed(db: None) -> Bench:
    spring = a_spring()
    steps = [{"text": "First coat.", "wait": WAIT}, {"text": "Second coat.", "wait": None}]
    Treatment.objects.filter(yard=spring.yard, code="SEAM").update(steps=steps)
    spring.finding(spring.component("Chainplate"), "SEAM", severity=2)
    return Bench(spring=spring, manager=Caller(spring.manager), technician=Caller(spring.technician))


@pytest.fixture
def job(shed: Bench) -> Job:
    line = shed.line()
    owner = shed.spring.boat.decider_owner
    decision_make(line=line, verdict="approve", digest=line.quote.digest, at=AT, owner=owner)
    return job_start(job=line.job, by=shed.spring.technician, at=AT)


def test_a_job_from_the_first_tick_to_the_second_look(shed: Bench, job: Job) -> None:
    operation = job.operations.get().pk
    address = f"jobs/{job.pk}/ticks/"
    ticked = shed.technician.post(address, {"operation": operation, "step": 1})
    assert (ticked.status_code, ticked.json()["kind"]) == (201, "done")
    # the same again is the same
    assert shed.technician.post(address, {"operation": operation, "step": 1}).json()["id"] == ticked.json()["id"]
    early = {"operation": operation, "step": 2}
    assert fields_of(shed.technician.post(address, early), 422) == {"reason"}
    assert shed.technician.post(address, early | {"reason": "Warm as toast."}).status_code == 201
    steps = shed.manager.get(f"jobs/{job.pk}/steps/").json()["works"][0]["steps"]
    assert [(step["is_open"], step["said"]["reason"]) for step in steps] == [
        (False, ""),
        (False, "Warm as toast."),
    ]
    back = shed.technician.post(address, {"operation": operation, "step": 2, "done": False})
    assert back.json()["kind"] == "taken_back"
    assert shed.technician.post(address, early | {"reason": "Again."}).status_code == 201
    assert len(shed.manager.get(f"jobs/{job.pk}/steps/").json()["history"]) == StepTick.objects.count() == 4

    used = {"job": job.pk, "material": "sealant", "used_on": "2027-04-06", "quantity": "40.5"}
    assert shed.technician.post("material-logs/", used).json()["unit"] == "ml"
    problem_of(shed.technician.post("material-logs/", used | {"member": shed.spring.manager.pk}), 403)
    assert fields_of(shed.technician.post("material-logs/", used | {"material": "gold"}), 422) == {"material"}

    assert shed.technician.post(f"jobs/{job.pk}/done/", {}).json()["state"] == "done"
    finding = str(job.operations.get().finding_id)
    photo = PhotoFactory.create(yard=shed.spring.yard).sha256
    looked = shed.technician.post("verifications/", {"finding": finding, "photo_sha256": photo}).json()
    assert (looked["needs_second_look"], looked["waits_for_second_look"]) == (True, True)
    assert looked["judged_look_on"] == looked["look_again_on"]
    assert shed.manager.get(f"findings/{finding}/").json()["state"] == "repaired"
    assert [row["id"] for row in shed.manager.results("verifications/?waiting=true")] == [looked["id"]]
    second = f"verifications/{looked['id']}/second-look/"
    assert fields_of(shed.technician.post(second, {"holds": True}), 422) == {"by"}
    for _ in range(2):
        seen = shed.manager.post(second, {"holds": True})
        assert (seen.status_code, seen.json()["second_look"]["by"]["id"]) == (201, shed.spring.manager.pk)
    assert shed.manager.results("verifications/?waiting=true") == []
    assert shed.manager.get(f"findings/{finding}/").json()["state"] == "verified"
    assert shed.manager.get(f"jobs/{job.pk}/").json()["state"] == "verified"


def test_a_job_is_stopped_metered_and_goes_on(shed: Bench, job: Job) -> None:
    wait = {"kind": "part", "what": "bolts", "expected_on": "2027-04-20", "meanwhile": "bedded in butyl"}
    assert fields_of(shed.technician.post(f"jobs/{job.pk}/stop/", wait), 400) == {"who"}
    stopped = shed.technician.post(f"jobs/{job.pk}/stop/", wait | {"who": shed.spring.manager.pk}).json()
    assert (stopped["stopped_work"], stopped["put_right_by"]) == (True, "2027-04-30")
    assert shed.manager.get(f"jobs/{job.pk}/").json()["state"] == "stopped"
    shown = shed.technician.post(f"jobs/{job.pk}/air/", {"worked_in": "shed"}).json()
    assert shown["worked_in"] == "shed"
    finding = str(job.operations.get().finding_id)
    read = {"finding": finding, "moisture_pct": "15.5"}
    assert shed.technician.post(f"jobs/{job.pk}/meter-readings/", read).status_code == 201
    assert shed.manager.get(f"jobs/{job.pk}/steps/").json()["readings"][0]["moisture_pct"] == "15.5"
    shed.technician.post(f"holds/{stopped['id']}/release/")
    assert shed.manager.get(f"jobs/{job.pk}/").json()["state"] == "in_work"
    assert Finding.objects.get().state == Finding.State.OPEN


@pytest.mark.parametrize(
    ("path", "body", "status", "fields"),
    [
        ("ticks", {"operation": 0, "step": 1}, 400, {"operation"}),
        ("ticks", {"operation": "own", "step": 3}, 422, {"step"}),
        ("ticks", {"operation": "own", "step": "1"}, 400, {"step"}),
        ("meter-readings", {"finding": "own", "moisture_pct": "121"}, 400, {"moisture_pct"}),
        ("meter-readings", {"finding": 7, "moisture_pct": "12"}, 400, {"finding"}),
        ("air", {"worked_in": "cellar"}, 400, {"worked_in"}),
        ("stop", {"kind": "part"}, 400, {"what", "who", "expected_on", "meanwhile"}),
    ],
)
def test_what_is_wrong_is_named(
    shed: Bench, job: Job, path: str, body: dict[str, Any], status: int, fields: set[str]
) -> None:
    operation = job.operations.get()
    own = {"operation": operation.pk, "finding": str(operation.finding_id)}
    sent = {name: own[name] if value == "own" else value for name, value in body.items()}
    assert fields_of(shed.technician.post(f"jobs/{job.pk}/{path}/", sent), status) == fields


def test_another_yards_job_is_neither_ticked_nor_stopped(shed: Bench, job: Job, stranger: Caller) -> None:
    for path in ("ticks", "meter-readings", "air", "stop"):
        problem_of(stranger.post(f"jobs/{job.pk}/{path}/", {}), 404)
    problem_of(stranger.get(f"jobs/{job.pk}/steps/"), 404)
    used = {"job": job.pk, "material": "sealant", "used_on": "2027-04-06", "quantity": "1"}
    assert fields_of(stranger.post("material-logs/", used), 400) == {"job"}
