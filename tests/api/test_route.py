"""The way round a boat over the API."""

import pytest

from tests.api.callers import Caller, problem_of
from tests.api.worlds import Aboard, aboard
from tests.factories import ComponentFactory, FindingFactory, InspectionFactory, TemplateVersionFactory
from tests.factories.inspections import CheckFactory, EntryFactory, OpeningStepFactory
from tests.queries import assert_same_queries


@pytest.fixture
def tablet(db: None) -> Aboard:
    return aboard()


def test_it_leads_to_every_place_that_nobody_has_seen(tablet: Aboard) -> None:
    answer = tablet.technician.get(f"{tablet.address}route/")
    assert answer.status_code == 200
    route = answer.json()
    assert (route["checks"], route["seen"]) == (2, 0)
    legs = {leg["opening"]: leg for leg in route["legs"]}
    assert set(legs) == {"lining", ""}
    behind = legs["lining"]
    assert behind["opening_text"] == "Lining off below the window"
    (stop,) = behind["stops"]
    assert (stop["check_id"], stop["prompt"]) == (tablet.scene.corners.pk, "Are the lower corners tight?")
    assert stop["component"] == tablet.scene.component.pk
    assert stop["reasons"][0] == "No look at it is on record."
    assert stop["open_up_advised"] is True
    assert stop["open_up_because"]
    assert (legs[""]["open_up_advised"], legs[""]["stops"][0]["open_up_because"]) == (False, "")


def test_what_was_seen_is_on_the_way_no_more_and_what_was_hidden_stays(tablet: Aboard) -> None:
    scene = tablet.scene
    tablet.send(scene.wet(), scene.not_seen())
    route = tablet.manager.get(f"{tablet.address}route/").json()
    assert (route["checks"], route["seen"]) == (2, 1)
    (leg,) = route["legs"]
    (stop,) = leg["stops"]
    assert (stop["check_id"], stop["not_seen_because"]) == (scene.corners.pk, "lining screwed down")


def test_an_unchanged_way_is_not_sent_again(tablet: Aboard) -> None:
    etag = tablet.technician.get(f"{tablet.address}route/")["ETag"]
    assert tablet.technician.get(f"{tablet.address}route/", If_None_Match=etag).status_code == 304


def test_it_is_no_business_of_another_yard_or_of_nobody(tablet: Aboard, stranger: Caller, nobody: Caller) -> None:
    problem_of(stranger.get(f"{tablet.address}route/"), 404)
    problem_of(nobody.get(f"{tablet.address}route/"), 401)
    problem_of(tablet.technician.get("inspections/99999999999999999999/route/"), 404)


def test_it_asks_the_same_questions_for_any_number_of_places(tablet: Aboard) -> None:
    scene = tablet.scene
    last_year = InspectionFactory.create(boat=scene.boat, season_year=2026)
    TemplateVersionFactory.create(template=scene.component.component_class.template, number=2)
    made = 0

    def grow(places: int) -> None:
        nonlocal made
        while made < places:
            made += 1
            part = ComponentFactory.create(boat=scene.boat, component_class=scene.component.component_class)
            OpeningStepFactory.create(inspection=scene.inspection, component=part)
            check = CheckFactory.create(inspection=scene.inspection, component=part, after=["lining"])
            before = CheckFactory.create(inspection=last_year, component=part, key=check.key)
            EntryFactory.create(inspection=last_year, component=part, answers=before, author=scene.technician)
            finding = FindingFactory.create(spot__component=part, inspection=last_year)
            CheckFactory.create(inspection=scene.inspection, component=part, spot=finding.spot, origin="watched")

    assert_same_queries(lambda: tablet.technician.get(f"{tablet.address}route/"), grow, to=(2, 20))
    route = tablet.technician.get(f"{tablet.address}route/").json()
    assert sum(len(leg["stops"]) for leg in route["legs"]) == 42
