"""Quotes and decisions: frozen on sending, decided once, and only by whom it was put to."""

import hashlib
from typing import Any

import pytest

from tests.api.callers import Caller, fields_of, problem_of
from tests.api.worlds import Bench, bench, worked
from tests.factories import MemberFactory
from workshop.models import Decision, Job, Quote
from yard.models import OutboxRow

pytestmark = pytest.mark.both_databases


@pytest.fixture
def shed(db: None) -> Bench:
    return bench()


@pytest.fixture
def operators_own(db: None) -> Bench:
    """A boat of the operator's own: a manager decides on her."""
    shed = bench()
    boat = shed.spring.boat
    boat.decider_owner, boat.decider_member = None, shed.spring.manager
    boat.save()
    return shed


def drafted(shed: Bench) -> dict[str, Any]:
    job = shed.proposed()
    answer = shed.manager.post("quotes/", {"inspection": shed.spring.inspection.pk, "jobs": [job.pk]})
    assert answer.status_code == 201, answer.content
    draft: dict[str, Any] = answer.json()
    return draft


def sent(shed: Bench) -> dict[str, Any]:
    answer = shed.manager.post(f"quotes/{drafted(shed)['id']}/send/", {})
    assert answer.status_code == 200, answer.content
    quote: dict[str, Any] = answer.json()
    return quote


def test_a_draft_is_looked_over_and_exactly_that_is_sent(shed: Bench) -> None:
    draft = drafted(shed)
    address = f"quotes/{draft['id']}/"
    assert (draft["state"], draft["content"], draft["digest"]) == ("draft", None, "")
    preview = shed.manager.get(f"{address}preview/").json()
    assert preview["content"]["jobs"][0]["id"] == draft["lines"][0]["job"]
    other = {"seen_digest": "0" * 64}
    assert fields_of(shed.manager.post(f"{address}send/", other), 422) == {"seen_digest"}
    gone = shed.manager.post(f"{address}send/", {"seen_digest": preview["digest"]}).json()
    assert (gone["state"], gone["digest"]) == ("sent", preview["digest"])
    assert gone["content"] == preview["content"]
    assert gone["lines"][0]["job_state"] == "quoted"
    assert gone["links"][0]["openings"] == 0
    assert OutboxRow.objects.filter(task="workshop.make_report", done_at=None).count() == 1


def test_the_content_has_the_digest_that_the_quote_names(shed: Bench) -> None:
    quote = sent(shed)
    content = shed.manager.get(f"quotes/{quote['id']}/content/")
    assert content["Content-Type"] == "application/json"
    assert hashlib.sha256(content.content).hexdigest() == quote["digest"]
    assert content.json() == quote["content"]


def test_sending_twice_sends_once(shed: Bench) -> None:
    draft = drafted(shed)
    address = f"quotes/{draft['id']}/send/"
    first = shed.manager.post(address, {}, Idempotency_Key='"one press"')
    again = shed.manager.post(address, {}, Idempotency_Key='"one press"')
    assert (again.status_code, again.json()) == (200, first.json())
    assert fields_of(shed.manager.post(address, {}), 422) == {"state"}
    assert OutboxRow.objects.filter(task="workshop.make_report").count() == 1


def test_a_drafts_jobs_and_last_day_are_changed_in_the_version_that_was_read(shed: Bench) -> None:
    draft = drafted(shed)
    address = f"quotes/{draft['id']}/"
    etag = shed.manager.get(address)["ETag"]
    changed = shed.manager.patch(address, {"valid_until": "2027-05-15"}, If_Match=etag)
    assert changed.json()["valid_until"] == "2027-05-15"
    problem_of(shed.manager.patch(address, {"valid_until": "2027-05-16"}, If_Match=etag), 412)
    problem_of(shed.manager.patch(address, {"valid_until": "2027-05-16"}), 428)
    for day in ("2027-01-01", "2037-01-01"):
        assert fields_of(shed.manager.change(address, {"valid_until": day}), 422) == {"valid_until"}
    assert fields_of(shed.manager.change(address, {"jobs": []}), 400) == {"jobs"}
    assert fields_of(shed.manager.change(address, {"jobs": [0]}), 400) == {"jobs"}
    assert fields_of(shed.manager.change(address, {"digest": "0" * 64}), 400) == {"digest"}


def test_a_second_draft_of_the_same_inspection_is_refused(shed: Bench) -> None:
    draft = drafted(shed)
    sheet = {"inspection": shed.spring.inspection.pk, "jobs": [draft["lines"][0]["job"]]}
    assert fields_of(shed.manager.post("quotes/", sheet), 422) == {"inspection"}


def test_jobs_of_another_yard_can_not_be_quoted(shed: Bench) -> None:
    other = bench()
    foreign = other.proposed()
    sheet = {"inspection": shed.spring.inspection.pk, "jobs": [foreign.pk]}
    assert fields_of(shed.manager.post("quotes/", sheet), 400) == {"jobs"}
    sheet = {"inspection": other.spring.inspection.pk, "jobs": [foreign.pk]}
    assert fields_of(shed.manager.post("quotes/", sheet), 400) == {"inspection", "jobs"}


def test_a_superseded_quote_gives_its_jobs_to_a_new_draft(shed: Bench) -> None:
    quote = sent(shed)
    answer = shed.manager.post(f"quotes/{quote['id']}/supersede/")
    assert answer.status_code == 201
    draft = shed.manager.get(answer["Location"]).json()
    assert (draft["state"], [line["job"] for line in draft["lines"]]) == ("draft", [quote["lines"][0]["job"]])
    old = shed.manager.get(f"quotes/{quote['id']}/").json()
    assert old["state"] == "superseded"
    assert old["content"] == quote["content"]
    assert old["links"][0]["revoked_at"] is not None
    assert [row["id"] for row in shed.manager.results("quotes/?state=draft")] == [draft["id"]]


def test_a_withdrawn_quote_can_be_decided_on_no_more(operators_own: Bench) -> None:
    quote = sent(operators_own)
    assert operators_own.manager.post(f"quotes/{quote['id']}/withdraw/").json()["state"] == "superseded"
    assert fields_of(decide(operators_own, quote), 422) == {"quote"}
    problem_of(operators_own.manager.get("quotes/999999/content/"), 404)


def test_the_owners_link_is_renewed_and_withdrawn(shed: Bench) -> None:
    quote = sent(shed)
    address = f"quotes/{quote['id']}/link/"
    renewed = shed.manager.post(address).json()
    assert sorted(link["revoked_at"] is None for link in renewed["links"]) == [False, True]
    assert shed.manager.delete(address).status_code == 204
    links = shed.manager.get(f"quotes/{quote['id']}/").json()["links"]
    assert all(link["revoked_at"] for link in links)
    draft = shed.manager.post(f"quotes/{quote['id']}/supersede/").json()
    assert fields_of(shed.manager.post(f"quotes/{draft['id']}/link/"), 422) == {"state"}


def test_quotes_are_read_by_members_and_moved_by_managers(shed: Bench, stranger: Caller, nobody: Caller) -> None:
    quote = sent(shed)
    address = f"quotes/{quote['id']}/"
    for below in ("", "content/"):
        assert shed.technician.get(f"{address}{below}").status_code == 200
        problem_of(stranger.get(f"{address}{below}"), 404)
        problem_of(nobody.get(f"{address}{below}"), 401)
    for caller, status in ((shed.technician, 403), (stranger, 404), (nobody, 401)):
        for below in ("send/", "withdraw/", "supersede/", "link/"):
            problem_of(caller.post(f"{address}{below}", {}), status)
        problem_of(caller.patch(address, {"valid_until": "2027-05-15"}, If_Match="*"), status)
        problem_of(caller.delete(f"{address}link/"), status)
    problem_of(shed.technician.post("quotes/", {}), 403)
    problem_of(shed.technician.post("decisions/", {}), 403)
    assert [row["id"] for row in shed.technician.results("quotes/")] == [quote["id"]]
    assert stranger.results("quotes/") == []
    assert Quote.objects.get(pk=quote["id"]).state == "sent"


def decide(shed: Bench, quote: dict[str, Any], **change: Any) -> Any:
    sheet = {"line": quote["lines"][0]["id"], "verdict": "approve", "digest": quote["digest"]} | change
    return shed.manager.post("decisions/", sheet)


def test_the_operators_manager_decides_and_the_last_word_ends_the_quote(operators_own: Bench) -> None:
    quote = sent(operators_own)
    question = decide(operators_own, quote, verdict="ask", question="Can it wait until lay-up?")
    assert question.status_code == 201
    word = decide(operators_own, quote)
    assert word.status_code == 201
    assert (word.json()["by_kind"], word.json()["by_name"]) == ("member", operators_own.spring.manager.name)
    shown = operators_own.manager.get(f"quotes/{quote['id']}/").json()
    assert (shown["state"], shown["lines"][0]["job_state"]) == ("decided", "approved")
    assert [row["verdict"] for row in shown["lines"][0]["decisions"]] == ["ask", "approve"]
    problem = problem_of(decide(operators_own, quote, verdict="decline"), 409)
    assert problem["errors"][0]["field"] == "verdict"
    assert Decision.objects.exclude(verdict="ask").count() == 1
    kinds = operators_own.manager.results(f"decisions/?quote={quote['id']}&verdict=approve")
    assert [row["id"] for row in kinds] == [word.json()["id"]]
    assert Decision.objects.get(pk=word.json()["id"]).from_address == "127.0.0.1"


@pytest.mark.parametrize(
    ("change", "status", "fields"),
    [
        ({"digest": "0" * 64}, 422, {"digest"}),
        ({"digest": "latest"}, 400, {"digest"}),
        ({"verdict": "maybe"}, 400, {"verdict"}),
        ({"verdict": "ask"}, 422, {"question"}),
        ({"line": None}, 400, {"line"}),
        ({"at": "2027-04-01T00:00:00Z"}, 400, {"at"}),
    ],
)
def test_what_is_wrong_with_a_decision_is_named(
    operators_own: Bench, change: dict[str, Any], status: int, fields: set[str]
) -> None:
    quote = sent(operators_own)
    assert fields_of(decide(operators_own, quote, **change), status) == fields
    assert not Decision.objects.exists()


def test_a_manager_does_not_decide_on_an_owners_boat(shed: Bench) -> None:
    quote = sent(shed)
    assert fields_of(decide(shed, quote), 422) == {"decider"}


def test_another_manager_does_not_decide_in_the_deciders_stead(operators_own: Bench) -> None:
    quote = sent(operators_own)
    other = Bench(operators_own.spring, Caller(MemberFactory.create(yard=operators_own.spring.yard)), Caller())
    assert fields_of(decide(other, quote), 422) == {"decider"}


def test_a_question_is_answered_once_and_both_stand_with_the_job(operators_own: Bench, stranger: Caller) -> None:
    quote = sent(operators_own)
    sheet = {"line": quote["lines"][0]["id"], "text": "Until lay-up, no longer."}
    assert fields_of(operators_own.manager.post("replies/", sheet), 422) == {"line"}
    decide(operators_own, quote, verdict="ask", question="Can it wait until lay-up?")
    answers = [operators_own.manager.post("replies/", sheet) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [201, 201]
    assert answers[0].json() == answers[1].json()
    shown = operators_own.manager.get(f"quotes/{quote['id']}/").json()["lines"][0]
    assert [row["question"] for row in shown["decisions"]] == ["Can it wait until lay-up?"]
    assert [row["text"] for row in shown["replies"]] == ["Until lay-up, no longer."]
    assert fields_of(operators_own.manager.post("replies/", sheet | {"text": " "}), 400) == {"text"}
    problem_of(operators_own.technician.post("replies/", sheet), 403)
    assert fields_of(stranger.post("replies/", sheet), 400) == {"line"}
    assert stranger.results("replies/") == []


def test_a_stranger_decides_on_nothing_and_reads_no_decision(operators_own: Bench, stranger: Caller) -> None:
    quote = sent(operators_own)
    word = decide(operators_own, quote).json()
    sheet = {"line": quote["lines"][0]["id"], "verdict": "decline", "digest": quote["digest"]}
    assert fields_of(stranger.post("decisions/", sheet), 400) == {"line"}
    problem_of(stranger.get(f"decisions/{word['id']}/"), 404)
    assert stranger.results("decisions/") == []
    assert Job.objects.get(pk=quote["lines"][0]["job"]).state == "approved"


def test_a_sent_quote_gets_its_report(shed: Bench, stranger: Caller) -> None:
    quote = sent(shed)
    worked()
    (report,) = shed.manager.results(f"reports/?quote={quote['id']}")
    pdf = shed.manager.get(f"reports/{report['id']}/content/")
    assert pdf["Content-Type"] == "application/pdf"
    assert pdf.body.startswith(b"%PDF-")
    assert hashlib.sha256(pdf.body).hexdigest() == report["sha256"]
    assert shed.manager.get(f"reports/{report['id']}/content/", If_None_Match=pdf["ETag"]).status_code == 304
    for below in ("", "content/"):
        assert shed.technician.get(f"reports/{report['id']}/{below}").status_code == 200
        problem_of(stranger.get(f"reports/{report['id']}/{below}"), 404)
    assert stranger.results("reports/") == []


def test_a_choice_is_made_chosen_and_undone_through_the_api(operators_own: Bench, stranger: Caller) -> None:
    shed, manager = operators_own, operators_own.manager
    proper = shed.proposed()
    finding = proper.operations.get().finding_id
    sheet = {
        "title": "Seal and hold until lay-up",
        "means": "The water is kept out; the soft wood stays.",
        "proper_by": "2027-10-15",
        "operations": [{"treatment": "SEAM", "finding": str(finding), "quantity": "1"}],
    }
    hold = manager.post(f"jobs/{proper.pk}/alternative/", sheet)
    assert hold.status_code == 201, hold.content
    assert (hold.json()["alternative_to"], hold.json()["proper_by"]) == (proper.pk, "2027-10-15")
    problem_of(stranger.post(f"jobs/{proper.pk}/alternative/", sheet), 404)
    ways = [proper.pk, hold.json()["id"]]
    quote = manager.post("quotes/", {"inspection": shed.spring.inspection.pk, "jobs": ways}).json()
    address = f"quotes/{quote['id']}/"
    assert fields_of(manager.get(f"{address}preview/"), 422) == {f"jobs.{ways[1]}"}
    group = {"title": "Now or at lay-up", "jobs": ways, "recommended": ways[1]}
    made = manager.post(f"{address}options/", group).json()
    undone = manager.delete(f"{address}options/{made['option_groups'][0]['id']}/")
    assert undone.json()["option_groups"] == []
    made = manager.post(f"{address}options/", group).json()
    assert [line["recommended"] for line in made["lines"]] == [False, True]
    sent_off = manager.post(f"{address}send/", {}).json()
    assert [job["option"] for job in sent_off["content"]["jobs"]] == ["Now or at lay-up"] * 2
    none = {"option_group": made["option_groups"][0]["id"], "digest": sent_off["digest"]}
    assert fields_of(stranger.post("decisions/none/", none), 400) == {"option_group"}
    word = decide(shed, sent_off)
    assert word.status_code == 201
    rows = manager.results(f"decisions/?quote={quote['id']}")
    assert {row["verdict"]: row["because"] for row in rows} == {"approve": None, "not_chosen": word.json()["id"]}
    problem_of(manager.post("decisions/none/", none), 409)
    back = manager.post(f"jobs/{ways[1]}/propose-again/", {})
    assert back.json()["state"] == "proposed"


def test_what_a_job_needs_goes_along_by_name(operators_own: Bench) -> None:
    shed, manager, spring = operators_own, operators_own.manager, operators_own.spring
    under = shed.proposed()
    spring.finding(spring.component("Coaming"), "SEAM")
    (coats,) = [job for job in spring.propose() if job.pk != under.pk]
    said = manager.post(f"jobs/{coats.pk}/needs/", {"needs": [under.pk]})
    assert said.json()["needs"] == [under.pk]
    quote = manager.post("quotes/", {"inspection": spring.inspection.pk, "jobs": [coats.pk, under.pk]}).json()
    quote = manager.post(f"quotes/{quote['id']}/send/", {}).json()
    assert fields_of(decide(shed, quote), 422) == {"along"}
    assert decide(shed, quote, along=[quote["lines"][1]["id"]]).status_code == 201
    assert Quote.objects.get(pk=quote["id"]).state == "decided"
