"""The count of overrulings over the API."""

import pytest

from tests.api.callers import Caller, problem_of
from tests.api.worlds import Aboard, aboard


@pytest.fixture
def tablet(db: None) -> Aboard:
    return aboard()


def test_a_manager_reads_how_often_and_which_way(tablet: Aboard) -> None:
    finding = tablet.found(signs=["SOFT_PROBE"], water="rain")
    computed = finding.assessments.get()
    sheet = {"priority": "watch", "due_back_on": "2027-09-01", "reason": "Probed it myself: it is the paint."}
    assert tablet.manager.post(f"findings/{finding.pk}/overruling/", sheet).status_code == 200
    (version,) = tablet.manager.get("overrulings/report/").json()["versions"]
    later = {"judgements": 1, "overruled": 1, "sooner": 0, "later": 1, "same_priority": 0, "taken_back": 0}
    assert (version["rules_version"], version["tally"]) == (computed.rules_version, later)
    (condition,) = version["conditions"]
    assert (condition["condition"], condition["tally"]) == (computed.condition, later)
    (one,) = condition["latest"]
    assert (one["finding"], one["direction"]) == (str(finding.pk), "later")
    by_the_rules = {"priority": computed.priority, "due_back_on": computed.due_back_on.isoformat()}
    assert one["by_the_rules"] == by_the_rules
    assert {name: one["by_the_office"][name] for name in sheet} == sheet
    (cell,) = version["cells"]
    assert (cell["severity"], cell["probability_level"], cell["risk"]) == (
        computed.severity,
        computed.probability_level,
        computed.risk,
    )


def test_it_is_for_managers_of_the_yard(tablet: Aboard, stranger: Caller) -> None:
    tablet.found(signs=["SOFT_PROBE"], water="rain")
    problem_of(tablet.technician.get("overrulings/report/"), 403)
    assert stranger.get("overrulings/report/").json() == {"versions": []}
