"""Findings: what they mean, a manager's word against it, what was seen there before, and the due-back book."""

from typing import Any

import pytest

from inspections.models import Overruling
from tests.api.callers import Caller, fields_of, problem_of
from tests.api.worlds import Aboard, aboard, worked
from tests.factories import AssessmentFactory, DueBackFactory, FindingFactory, InspectionFactory, SpotFactory

WORD = {
    "priority": "watch",
    "due_back_on": "2027-09-01",
    "reason": "I have had it under my own eyes for ten years.",
}


@pytest.fixture
def tablet(db: None) -> Aboard:
    return aboard()


def test_a_finding_says_what_it_means_when_and_why(tablet: Aboard) -> None:
    finding = tablet.found()
    shown = tablet.technician.get(f"findings/{finding.pk}/").json()
    judged = shown["assessment"]
    assert shown["priority"] == judged["priority"]
    assert shown["due_back_on"] == judged["due_back_on"]
    assert shown["overruling"] is None
    assert judged["reasons"]
    assert 1 <= judged["severity"] <= 4
    assert judged["probability_level"] in "ABCDEF"
    assert shown["assessments"][0]["trace"]
    assert shown["entry"]["signs"] == ["CRACK_WOOD"]
    assert shown["spot"]["name"] == "lower aft corner"
    assert [look["finding"] for look in shown["history"]] == [str(finding.pk)]


def test_a_manager_overrules_and_both_stay_visible(tablet: Aboard) -> None:
    finding = tablet.found()
    address = f"findings/{finding.pk}/"
    problem_of(tablet.technician.post(f"{address}overruling/", WORD), 403)
    overruled = tablet.manager.post(f"{address}overruling/", WORD).json()
    assert (overruled["priority"], overruled["due_back_on"], overruled["overruled"]) == (
        "watch",
        "2027-09-01",
        True,
    )
    assert overruled["assessment"]["priority"] is not None
    assert overruled["overruling"]["by"]["id"] == tablet.scene.manager.pk
    assert overruled["overruling"]["reason"] == WORD["reason"]
    again = tablet.manager.post(f"{address}overruling/", WORD).json()
    assert len(again["overrulings"]) == 1
    problem_of(tablet.technician.delete(f"{address}overruling/"), 403)
    taken_back = tablet.manager.delete(f"{address}overruling/").json()
    assert taken_back["priority"] == taken_back["assessment"]["priority"]
    assert taken_back["overruling"] is None
    assert taken_back["overrulings"][0]["withdrawn_at"] is not None
    problem_of(tablet.manager.delete(f"{address}overruling/"), 404)


@pytest.mark.parametrize(
    ("change", "status", "fields"),
    [
        ({"priority": "soon"}, 400, {"priority"}),
        ({"due_back_on": "2027-04-01"}, 422, {"due_back_on"}),
        ({"due_back_on": "next week"}, 400, {"due_back_on"}),
        ({"due_back_on": "9999-12-31"}, 422, {"due_back_on"}),
        ({"reason": "  "}, 400, {"reason"}),
        ({"reason": 7}, 400, {"reason"}),
        ({"risk": "low"}, 400, {"risk"}),
    ],
)
def test_what_is_wrong_with_an_overruling_is_named(
    tablet: Aboard, change: dict[str, Any], status: int, fields: set[str]
) -> None:
    finding = tablet.found()
    answer = tablet.manager.post(f"findings/{finding.pk}/overruling/", WORD | change)
    assert fields_of(answer, status) == fields
    assert not Overruling.objects.exists()


def test_a_finding_that_is_not_judged_yet_can_not_be_overruled(tablet: Aboard) -> None:
    sheet = tablet.scene.finding()
    tablet.send(sheet)
    answer = tablet.manager.post(f"findings/{sheet['id']}/overruling/", WORD)
    assert fields_of(answer, 422) == {"finding"}


def test_the_list_puts_the_most_urgent_first_and_is_filtered(tablet: Aboard) -> None:
    scene = tablet.scene
    spot = SpotFactory.create(component=scene.component)
    made = {}
    for priority, due_on in (
        ("watch", "2028-03-01"),
        ("before_launch", "2027-04-30"),
        ("this_season", "2027-09-30"),
    ):
        finding = FindingFactory.create(
            spot=SpotFactory.create(component=scene.component), inspection=scene.inspection
        )
        AssessmentFactory.create(finding=finding, priority=priority, due_back_on=due_on)
        made[priority] = str(finding.pk)
    unjudged = FindingFactory.create(spot=spot, inspection=scene.inspection)
    older = FindingFactory.create(
        spot=spot,
        inspection=InspectionFactory.create(boat=scene.boat, season_year=2026),
        state="seen_again",
    )
    AssessmentFactory.create(finding=older, priority="next_layup", due_back_on="2026-10-15")
    FindingFactory.create()

    def ids(query: str) -> list[str]:
        return [row["id"] for row in tablet.technician.results(f"findings/?{query}")]

    open_ones = [str(unjudged.pk), made["before_launch"], made["this_season"], made["watch"]]
    assert ids("season=2027") == open_ones
    assert ids("lasting=true") == open_ones
    assert ids("lasting=false") == [str(older.pk)]
    assert ids("season=2027&ordering=due") == [*open_ones[1:], str(unjudged.pk)]
    assert ids("priority=watch") == [made["watch"]]
    assert ids("due_before=2027-04-30&lasting=true") == [made["before_launch"]]
    assert ids(f"boat={scene.boat.pk}&state=seen_again") == [str(older.pk)]
    assert set(ids(f"spot={spot.pk}")) == {str(unjudged.pk), str(older.pk)}
    assert fields_of(tablet.technician.get("findings/?due_before=30.4.2027"), 400) == {"due_before"}
    assert fields_of(tablet.technician.get("findings/?priority=soon"), 400) == {"priority"}


def test_the_history_of_a_place_tells_of_every_year(tablet: Aboard, stranger: Caller) -> None:
    scene = tablet.scene
    spot = SpotFactory.create(component=scene.component)
    older = FindingFactory.create(spot=spot, inspection=InspectionFactory.create(boat=scene.boat, season_year=2026))
    AssessmentFactory.create(finding=older)
    scene.store(scene.finding(spot={"id": str(spot.pk)}))
    looks = tablet.technician.get(f"spots/{spot.pk}/history/").json()
    assert [look["season_year"] for look in looks] == [2027, 2026]
    assert looks[1]["assessment"]["priority"] == "this_season"
    problem_of(stranger.get(f"spots/{spot.pk}/history/"), 404)


def test_the_due_back_book_is_read_from_the_earliest_day_on(tablet: Aboard, stranger: Caller) -> None:
    scene = tablet.scene
    for due_on, kind in (("2027-10-15", "put_right"), ("2027-05-01", "look_again")):
        finding = FindingFactory.create(
            spot=SpotFactory.create(component=scene.component), inspection=scene.inspection
        )
        DueBackFactory.create(finding=finding, due_on=due_on, kind=kind)
    DueBackFactory.create()

    def days(query: str) -> list[str]:
        return [row["due_on"] for row in tablet.technician.results(f"due-back/{query}")]

    assert days("") == ["2027-05-01", "2027-10-15"]
    assert days("?kind=look_again") == ["2027-05-01"]
    assert days("?due_after=2027-05-02") == ["2027-10-15"]
    assert days(f"?boat={scene.boat.pk}&due_before=2027-05-01") == ["2027-05-01"]
    (row, _) = tablet.technician.results("due-back/")
    assert (row["boat_name"], row["season_year"]) == (scene.boat.name, 2027)
    assert len(stranger.results("due-back/")) == 0
    problem_of(tablet.technician.get("due-back/1/"), 404)


def test_a_place_not_seen_stands_in_the_due_back_book(tablet: Aboard) -> None:
    sheet = tablet.scene.not_seen()
    tablet.send(sheet)
    worked()
    (row,) = tablet.manager.results("due-back/")
    assert (row["finding"], row["entry"]) == (None, sheet["id"])


def test_findings_of_another_yard_are_not_there(tablet: Aboard, stranger: Caller, nobody: Caller) -> None:
    finding = tablet.found()
    assert stranger.results("findings/") == []
    problem_of(stranger.get(f"findings/{finding.pk}/"), 404)
    problem_of(stranger.post(f"findings/{finding.pk}/overruling/", WORD), 404)
    problem_of(stranger.delete(f"findings/{finding.pk}/overruling/"), 404)
    problem_of(nobody.get("findings/"), 401)


def test_a_manager_deals_with_what_is_new(tablet: Aboard) -> None:
    finding, other = tablet.found(), tablet.found(size_mm="38")
    manager, address = tablet.manager, f"findings/{finding.pk}/"

    def new() -> set[str]:
        return {row["id"] for row in manager.get("findings/?new=true").json()["results"]}

    assert new() == {str(finding.pk), str(other.pk)}
    shown = manager.post(f"{address}acknowledgement/", {}).json()
    assert (shown["new"], shown["acknowledgements"][0]["by"]["id"]) == (False, tablet.scene.manager.pk)
    asked = manager.post(f"{address}second-look/", {"note": "Probe it from below."}).json()["second_look"]
    checks = tablet.technician.get(f"{tablet.address}package/").json()["checks"]
    (check,) = (check for check in checks if check["id"] == asked["check_id"])
    assert (check["origin"], "asks: Probe it from below." in check["look_for"]) == ("second_look", True)
    problem_of(manager.post(f"{address}second-look/", {"note": "And the knee."}), 422)
    assert manager.delete(f"{address}second-look/").json()["second_look"] is None
    problem_of(manager.delete(f"{address}second-look/"), 404)
    sheet = {"into": str(finding.pk), "reason": "The same crack, seen by two."}
    joined = manager.post(f"findings/{other.pk}/joining/", sheet).json()
    assert (joined["state"], joined["joined_to"]["kept"], new()) == ("joined", str(finding.pk), set())
    assert [one["joined"] for one in manager.get(address).json()["doubles"]] == [str(other.pk)]
    parted = manager.delete(f"findings/{other.pk}/joining/").json()
    assert (parted["state"], parted["joined_to"]) == ("open", None)
    both = {"findings": [str(finding.pk), str(other.pk), str(other.pk)]}
    assert manager.post("findings/assessment/", both).json() == {"asked": 2}
    problem_of(manager.post("findings/jobs/", {"findings": [str(tablet.scene.new_id())]}), 400)
