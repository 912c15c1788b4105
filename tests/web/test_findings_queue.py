"""The findings queue: narrowed and sorted; several ticked and dealt with; doubles; what was set aside."""

from __future__ import annotations

import csv
from datetime import timedelta
from io import StringIO

import pytest
from django.http import QueryDict
from playwright.sync_api import Browser, expect
from pytest_django.live_server_helper import LiveServer

from inspections.models import Acknowledgement, Entry, Finding, FindingJoin, SecondLookAsk, SetAside
from tests.factories import ComponentFactory
from tests.factories.inspections import SetAsideFactory
from tests.inspections.scenes import Scene, scene
from tests.web.conftest import NOW
from tests.web.screens import screen
from tests.web.visitor import Visitor
from tests.workshop.spring import Spring, a_spring
from workshop.models import Job
from yard.models import OutboxRow
from yard.services.boats import component_remove


@pytest.fixture
def spring(db: None) -> Spring:
    made = a_spring(name="=Sea Pink")
    made.finding(made.component("Toerail"), "SEAM", priority="watch")
    made.finding(made.component("Mast step"), "SEAM", priority="before_launch", severity=1)
    return made


def at(spring: Spring, name: str) -> Finding:
    found: Finding = Finding.objects.get(boat=spring.boat, component__name=name)
    return found


def told(page: str) -> list[str]:
    """The parts that a page lists, in its order."""
    names = ("Toerail", "Mast step", "Rudder")
    places = sorted((page.index(f">{name}, port side:"), name) for name in names if f">{name}, port side:" in page)
    return [name for _, name in places]


def test_it_lists_the_most_urgent_first_and_is_narrowed_by_its_address(spring: Spring) -> None:
    spring.finding(spring.component("Rudder"), judged=False)
    spring.propose()
    visitor = Visitor(spring.technician)
    assert told(visitor.page("/findings/")) == ["Rudder", "Mast step", "Toerail"]
    for query, parts in (
        ({"priority": "before_launch"}, ["Mast step"]),
        ({"priority": "unjudged"}, ["Rudder"]),
        ({"no_job": "yes"}, ["Rudder", "Toerail"]),
        ({"text": "sea mast"}, ["Mast step"]),
        ({"state": "verified"}, []),
        ({"since": "2027-04-07"}, []),
        ({"since": "2027-04-06", "order": "boat"}, ["Rudder", "Mast step", "Toerail"]),
        ({"class": str(spring.component_class.pk), "boat": str(spring.boat.pk), "priority": "watch"}, ["Toerail"]),
        (
            {"boat": "x", "class": "\0", "order": "?", "text": "\0", "page": "99"},
            ["Rudder", "Mast step", "Toerail"],
        ),
    ):
        assert told(visitor.page("/findings/", **query)) == parts, query
    for no_day in ("yesterday", "0001-01-01", "9999-12-31"):
        assert visitor.get("/findings/", since=no_day).status_code == 422
    assert "Nothing fits that" in visitor.page("/findings/", priority="next_layup")
    answer = visitor.get("/findings/list.csv", show="open", priority="before_launch")
    (row,) = csv.DictReader(StringIO(answer.content.decode(), newline=""))
    assert (row["boat"], row["priority"], row["advised"], row["new"]) == (
        "'=Sea Pink",
        "before launch",
        "Pay a seam",
        "yes",
    )
    assert "With the ticked ones" not in visitor.page("/findings/")


def test_several_are_dealt_with_at_once_and_leave_what_is_new(spring: Spring) -> None:
    visitor = Visitor(spring.manager)
    both = [str(at(spring, name).pk) for name in ("Toerail", "Mast step")]
    act = "/findings/act/?show=new&order=due"
    assert "none is ticked" in visitor.refused(act, how="seen")
    page = visitor.refused(act, how="second_look", finding=both, note=" ")
    assert page.count(" checked>") == 2
    assert "2 findings judged again" in visitor.after(act, how="assess", finding=both)
    assert OutboxRow.objects.filter(task="inspections.assess").count() == 2
    assert "2 jobs made." in visitor.after(act, how="jobs", finding=both)
    assert Job.objects.count() == 2
    page = visitor.after(act, how="second_look", finding=both[:1], note="Probe it.")
    assert SecondLookAsk.objects.get().note == "Probe it."
    assert "Nothing is new" in page
    page = visitor.refused(act, how="second_look", finding=both, note="And once more.")
    assert "has asked already: Probe it." in page
    assert SecondLookAsk.objects.count() == 1
    stranger = a_spring()
    theirs = stranger.finding(stranger.component(), "SEAM")
    visitor.refused(act, how="seen", finding=[str(theirs.pk), "x"])
    assert not Acknowledgement.objects.filter(finding=theirs).exists()


def test_doubles_are_compared_joined_and_parted(spring: Spring) -> None:
    first = at(spring, "Toerail")
    second = spring.finding(first.component, "SEAM", size_mm="80.0")
    visitor = Visitor(spring.manager)
    pair = [str(first.pk), str(second.pk)]
    assert "Perhaps seen twice" in visitor.page("/findings/")
    page = visitor.after("/findings/act/", how="join", finding=pair)
    assert page.count("Keep this one") == 2
    assert "Reason: is missing" in visitor.refused("/findings/doubles/", finding=pair, keep=pair[0], reason="")
    assert "none is chosen" in visitor.refused("/findings/doubles/", finding=pair, reason="One seam.")
    page = visitor.after("/findings/doubles/", finding=pair, keep=pair[0], reason="One seam, seen by two.")
    assert "It speaks for 1 more" in page
    assert FindingJoin.objects.get().joined == second
    page = visitor.page(f"/findings/{second.pk}/")
    assert "Joined to" in page
    assert "One seam, seen by two." in page
    assert "joined to another" in visitor.page("/findings/", show="all")
    assert "stands alone again" in visitor.after(f"/findings/{second.pk}/part/")
    second.refresh_from_db()
    assert second.state == Finding.State.OPEN
    one = QueryDict(mutable=True)
    one["finding"] = pair[0]
    assert visitor.get(f"/findings/doubles/?{one.urlencode()}").status_code == 422


def test_one_finding_is_asked_about_taken_back_and_noted_as_seen(spring: Spring) -> None:
    address = f"/findings/{at(spring, 'Toerail').pk}/"
    visitor = Visitor(spring.manager)
    assert "New: nobody" in visitor.page(address)
    assert "dealt with it on" in visitor.after(f"{address}seen/")
    page = visitor.after(f"{address}second-look/", note="Probe it <from> below.")
    assert "Probe it &lt;from&gt; below." in page
    assert "holds its closing" in page
    assert "asks for a second look" not in visitor.after(f"{address}second-look/back/")


@pytest.fixture
def made(db: None) -> Scene:
    return scene(NOW - timedelta(days=1))


def test_an_entry_set_aside_is_told_in_words_and_given_a_place(made: Scene) -> None:
    part = ComponentFactory.create(boat=made.boat, component_class=made.component.component_class)
    component_remove(component=part, at=NOW)
    sent = {**made.finding(), "check": None, "component": part.pk, "note": "It was here"}
    (result,) = made.submit(sent)
    assert result.outcome == "set_aside"
    aside = SetAside.objects.get()
    visitor = Visitor(made.manager)
    page = visitor.page("/findings/set-aside/", boat=str(made.boat.pk))
    for words in ("Finding: Crack in the wood", "lower aft corner", "was taken out on"):
        assert words in page
    address = f"/findings/set-aside/{aside.pk}/"
    page = visitor.page(address)
    assert "It was here" in page
    assert "40 mm" in page
    for place in ("", "x", "component:0", f"component:{'9' * 30}", "check:1.5"):
        assert "no place is given" in visitor.refused(address, how="place", place=place)
    theirs = ComponentFactory.create()
    visitor.refused(address, how="place", place=f"component:{theirs.pk}")
    assert "The entry has its place." in visitor.after(
        address, how="place", inspection=str(made.inspection.pk), place=f"check:{made.corners.pk}"
    )
    assert Entry.objects.get(pk=sent["id"]).answers == made.corners
    assert "placed at" in visitor.page("/findings/set-aside/", show="settled")


def test_an_entry_set_aside_is_let_go_with_a_reason(made: Scene) -> None:
    odd = {"answer": 7, "signs": "x", "spot": {"id": "y"}, "readings": [1], "check": True, "size_mm": []}
    for sent in (odd, {"step": 10**30, "outcome": "done"}, {"answer": "sound"}):
        aside = SetAsideFactory.create(boat=made.boat, sent=sent)
        address = f"/findings/set-aside/{aside.pk}/"
        visitor = Visitor(made.manager)
        assert "Reason: is missing or too long; say why" in visitor.refused(address, how="dismiss", reason=" ")
        assert "its words are kept" in visitor.after(address, how="dismiss", reason="Sent twice by hand")
        aside.refresh_from_db()
        assert (aside.settled_by, aside.settled_how) == (made.manager, "Sent twice by hand")
        assert "Dealt with by" in visitor.page(address)
    assert Visitor(made.technician).get("/findings/set-aside/").status_code == 403


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_a_managers_morning(browser: Browser, live_server: LiveServer) -> None:
    spring = a_spring(name="Sea Pink")
    first = spring.finding(spring.component("Toerail"), "SEAM", priority="watch")
    second = spring.finding(first.component, "SEAM", size_mm="80.0")
    spring.finding(spring.component("Mast step"), "SEAM", priority="before_launch", severity=1)
    SetAsideFactory.create(boat=spring.boat)
    with screen(browser, live_server.url, "desk", policy=False) as desk:
        page = desk.sign_in(spring.manager)
        page.get_by_role("link", name="Findings").click()

        def sound() -> None:
            """Nothing to object to, folded open, on a desk and on a phone in the dark."""
            desk.open_all()
            assert desk.violations() == []
            desk.look("phone", "dark")
            assert desk.violations() == []
            assert not desk.overflows()
            assert desk.small_targets() == []
            desk.look("desk")

        sound()
        row = page.get_by_role("row").filter(has_text="Mast step")
        row.get_by_role("checkbox").focus()
        page.keyboard.press("Space")
        page.get_by_label("What to look for").fill("Is it the plate or the wood?")
        page.get_by_role("button", name="Ask for a second look").click()
        expect(page.get_by_role("status")).to_contain_text("1 finding to be looked at again")
        expect(page.get_by_role("row").filter(has_text="Mast step")).to_have_count(0)
        page.get_by_role("link", name="Perhaps seen twice").first.click()
        sound()
        page.get_by_label("Why they are one").fill("One seam, seen by two.")
        page.get_by_role("button", name="Join them").click()
        expect(page.get_by_role("status")).to_contain_text("Joined")
        sound()
        page.get_by_role("link", name="Findings").first.click()
        expect(page.get_by_text("Nothing is new")).to_be_visible()
        page.get_by_role("link", name="Entries set aside").click()
        sound()
        page.get_by_role("link", name="Place it").click()
        sound()
    assert FindingJoin.objects.get().joined == first
    assert second.doubles.count() == 1
