"""Jobs: changed while proposed, held, started, done."""

from decimal import Decimal
from typing import Any

import pytest

from tests.api.callers import Caller, fields_of, problem_of
from tests.api.worlds import Bench, bench
from tests.factories import MemberFactory
from tests.workshop import pdf_reading
from tests.workshop.spring import AT, a_spring
from workshop.models import Job
from workshop.services.decisions import decision_make

HOLD = {
    "kind": "part",
    "what": "bronze bolts",
    "expected_on": "2027-04-20",
    "meanwhile": "taped over and dry",
}


@pytest.fixture
def shed(db: None) -> Bench:
    return bench()


def approved(shed: Bench) -> Job:
    line = shed.line()
    owner = shed.spring.boat.decider_owner
    decision_make(line=line, verdict="approve", digest=line.quote.digest, at=AT, owner=owner)
    return line.job


def test_a_job_shows_its_operations_and_what_it_would_cost(shed: Bench) -> None:
    job = shed.proposed()
    shown = shed.technician.get(f"jobs/{job.pk}/").json()
    assert shown["state"] == "proposed"
    (operation,) = shown["operations"]
    assert (operation["treatment"], operation["quantity"], operation["unit"]) == (
        "REBED_SEALANT",
        "1.00",
        "fitting",
    )
    assert shed.technician.results(f"jobs/?boat={job.boat_id}&live=true")[0]["id"] == job.pk
    price = shed.technician.get(f"jobs/{job.pk}/price/").json()
    assert Decimal(price["net_labour"]) == Decimal(price["hours_likely"]) * 62
    assert Decimal(price["net"]) == Decimal(price["net_labour"]) + Decimal(price["net_materials"])
    assert price["saving"] == {"hours": "0.00", "net": "0.00"}


def test_a_manager_splits_a_job_and_joins_it_again(shed: Bench) -> None:
    frame = shed.spring.component("Hatch", "")
    first, second = (shed.spring.finding(frame, "REBED_SEALANT") for _ in range(2))
    job = next(job for job in shed.spring.propose() if job.title.startswith("Hatch"))
    whole = shed.technician.get(f"jobs/{job.pk}/price/").json()
    problem_of(shed.technician.post(f"jobs/{job.pk}/split/", {"findings": [str(second.pk)]}), 403)
    answer = shed.manager.post(f"jobs/{job.pk}/split/", {"findings": [str(second.pk)]})
    assert answer.status_code == 201
    new = answer.json()
    assert answer["Location"] == f"/api/v1/jobs/{new['id']}/"
    assert [each["finding"] for each in new["operations"]] == [str(second.pk)]
    parts = [shed.technician.get(f"jobs/{each}/price/").json() for each in (job.pk, new["id"])]
    # the set-up is done once instead of twice
    for of_it, of_all in (("hours", "hours_likely"), ("net", "net")):
        apart = sum(Decimal(part[of_all]) for part in parts)
        assert Decimal(whole["saving"][of_it]) == apart - Decimal(whole[of_all]) > 0
    again = problem_of(shed.manager.post(f"jobs/{job.pk}/split/", {"findings": [str(second.pk)]}), 422)
    assert "findings.0" in str(again)
    joined = shed.manager.post("jobs/join/", {"jobs": [job.pk, new["id"]]}).json()
    assert (joined["id"], {each["finding"] for each in joined["operations"]}) == (
        job.pk,
        {str(first.pk), str(second.pk)},
    )
    problem_of(shed.manager.post("jobs/join/", {"jobs": [job.pk, new["id"]]}), 422)


def test_a_manager_changes_a_proposed_job_in_the_version_that_was_read(shed: Bench) -> None:
    job = shed.proposed()
    address = f"jobs/{job.pk}/"
    etag = shed.manager.get(address)["ETag"]
    line = {
        "treatment": "REBED_SEALANT",
        "finding": str(job.operations.get().finding_id),
        "quantity": 2,
        "hours": {"low": "2.5", "likely": 3, "high": 6},
    }
    problem_of(shed.technician.patch(address, {"title": "x"}, If_Match=etag), 403)
    problem_of(shed.manager.patch(address, {"title": "x"}), 428)
    changed = shed.manager.patch(address, {"title": "Both frames", "operations": [line]}, If_Match=etag).json()
    assert changed["title"] == "Both frames"
    assert changed["edited_by"]["id"] == shed.spring.manager.pk
    (operation,) = changed["operations"]
    assert (operation["quantity"], operation["hours_low"], operation["hours_likely"]) == ("2.00", "2.50", "3.00")
    problem_of(shed.manager.patch(address, {"title": "y"}, If_Match=etag), 412)


@pytest.mark.parametrize(
    ("change", "status", "fields"),
    [
        ({"title": ""}, 400, {"title"}),
        ({"unsafe_to_leave": "no"}, 400, {"unsafe_to_leave"}),
        ({"operations": []}, 400, {"operations"}),
        ({"operations": [{"treatment": "SEAM"}]}, 400, {"operations[0].quantity"}),
        ({"state": "approved"}, 400, {"state"}),
        ({"price": "1.00"}, 400, {"price"}),
    ],
)
def test_what_is_wrong_with_a_job_is_named(
    shed: Bench, change: dict[str, Any], status: int, fields: set[str]
) -> None:
    job = shed.proposed()
    assert fields_of(shed.manager.change(f"jobs/{job.pk}/", change), status) == fields


@pytest.mark.parametrize(
    ("change", "status", "fields"),
    [
        ({"treatment": "NO_SUCH"}, 422, {"operations.0.treatment"}),
        ({"finding": "8e03978e-40d5-43e8-bc93-6894a57f9324"}, 422, {"operations.0.finding"}),
        ({"finding": None}, 422, {"operations.0.finding"}),
        ({"quantity": 0}, 422, {"operations.0.quantity"}),
        ({"quantity": "many"}, 400, {"operations[0].quantity"}),
        ({"hours": {"low": 3, "likely": 2, "high": 4}}, 422, {"operations[0].hours.likely"}),
        ({"hours": {"low": 3}}, 400, {"operations[0].hours.likely", "operations[0].hours.high"}),
    ],
)
def test_what_is_wrong_with_an_operation_is_named(
    shed: Bench, change: dict[str, Any], status: int, fields: set[str]
) -> None:
    job = shed.proposed()
    line = {"treatment": "SEAM", "finding": str(job.operations.get().finding_id), "quantity": "1.5"} | change
    assert fields_of(shed.manager.change(f"jobs/{job.pk}/", {"operations": [line]}), status) == fields


def test_a_dropped_job_is_off_the_list(shed: Bench, stranger: Caller) -> None:
    job = shed.proposed()
    problem_of(shed.technician.post(f"jobs/{job.pk}/drop/"), 403)
    problem_of(stranger.post(f"jobs/{job.pk}/drop/"), 404)
    assert shed.manager.post(f"jobs/{job.pk}/drop/").json()["state"] == "dropped"
    assert shed.manager.results("jobs/?live=true") == []
    assert fields_of(shed.manager.post(f"jobs/{job.pk}/drop/"), 422) == {"state"}


def test_a_hold_stops_a_job_until_it_is_released(shed: Bench) -> None:
    job = approved(shed)
    hold = shed.technician.post(f"jobs/{job.pk}/holds/", HOLD | {"who": shed.spring.technician.pk})
    assert hold.status_code == 201
    assert hold.json()["who"]["id"] == shed.spring.technician.pk
    assert fields_of(shed.technician.post(f"jobs/{job.pk}/start/"), 422) == {"holds"}
    assert [row["id"] for row in shed.manager.results("holds/?waiting=true")] == [hold.json()["id"]]
    address = f"holds/{hold.json()['id']}/release/"
    assert shed.technician.post(address).json()["released_at"] is not None
    assert fields_of(shed.technician.post(address), 422) == {"hold"}
    assert shed.technician.post(f"jobs/{job.pk}/start/").json()["state"] == "in_work"
    assert shed.technician.post(f"jobs/{job.pk}/done/").json()["state"] == "done"
    assert fields_of(shed.technician.post(f"jobs/{job.pk}/start/"), 422) == {"state"}


@pytest.mark.parametrize(
    ("change", "status", "fields"),
    [
        ({"kind": "weather"}, 400, {"kind"}),
        ({"what": " "}, 400, {"what"}),
        ({"expected_on": "soon"}, 400, {"expected_on"}),
        ({"meanwhile": None}, 400, {"meanwhile"}),
        ({"who": "me"}, 400, {"who"}),
        ({"until": "2027-05-01"}, 400, {"until"}),
    ],
)
def test_what_is_wrong_with_a_hold_is_named(
    shed: Bench, change: dict[str, Any], status: int, fields: set[str]
) -> None:
    job = shed.proposed()
    assert fields_of(shed.technician.post(f"jobs/{job.pk}/holds/", HOLD | change), status) == fields


def test_nobody_of_another_yard_gets_what_a_job_waits_for(shed: Bench) -> None:
    foreigner = MemberFactory.create()
    job = shed.proposed()
    assert fields_of(shed.manager.post(f"jobs/{job.pk}/holds/", HOLD | {"who": foreigner.pk}), 400) == {"who"}


def test_jobs_and_holds_of_another_yard_are_not_there(shed: Bench, stranger: Caller, nobody: Caller) -> None:
    job = approved(shed)
    hold = shed.manager.post(f"jobs/{job.pk}/holds/", HOLD).json()
    for below in ("", "price/"):
        problem_of(stranger.get(f"jobs/{job.pk}/{below}"), 404)
    for below in ("start/", "done/", "drop/", "holds/"):
        problem_of(stranger.post(f"jobs/{job.pk}/{below}", HOLD if below == "holds/" else None), 404)
    problem_of(stranger.patch(f"jobs/{job.pk}/", {"title": "x"}, If_Match="*"), 404)
    problem_of(stranger.get(f"holds/{hold['id']}/"), 404)
    problem_of(stranger.post(f"holds/{hold['id']}/release/"), 404)
    assert stranger.results("jobs/") == []
    assert stranger.results("holds/") == []
    problem_of(nobody.get("jobs/"), 401)


def test_a_job_without_a_rate_says_what_is_missing(db: None) -> None:
    laid = a_spring()
    laid.finding(laid.component("Window frame"), "REBED_SEALANT")
    (job,) = laid.propose()
    manager = Caller(laid.manager)
    laid.yard._meta.apps.get_model("yard", "HourlyRate").objects.all().delete()
    (field,) = fields_of(manager.get(f"jobs/{job.pk}/price/"), 422)
    assert field.startswith(f"jobs.{job.pk}")


def test_members_get_the_sheet_of_a_job_outdoors_or_in_a_shed(shed: Bench) -> None:
    job = shed.proposed()
    for query in ("", "?where=shed"):
        answer = shed.technician.get(f"jobs/{job.pk}/sheet/{query}")
        assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
        assert "no-store" in answer["Cache-Control"]
        assert job.title in pdf_reading.text(answer.content)
    assert fields_of(shed.technician.get(f"jobs/{job.pk}/sheet/?where=moon"), 400) == {"where"}
    assert fields_of(shed.technician.get(f"jobs/{job.pk}/sheet/?air=wet"), 400) == {"air"}
    assert Caller().get(f"jobs/{job.pk}/sheet/").status_code == 401


def test_a_job_whose_steps_hold_prose_for_a_figure_has_no_sheet_and_says_why(shed: Bench) -> None:
    job = shed.proposed()
    treatment = job.operations.get().treatment
    treatment.steps = [{"text": "Coat.", "wait": {"for": "cure", "hours_low": "a day or so"}}]
    treatment.save()
    answer = shed.technician.get(f"jobs/{job.pk}/sheet/")
    assert fields_of(answer, 422) == {"treatments.REBED_SEALANT.steps[0].wait.hours_low"}
