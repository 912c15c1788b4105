"""What others ask this floor: right, of one yard only, and with a number of queries that does not grow."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest

from inspections.judgement.vocabulary import Priority
from inspections.models import DueBack, Entry, Finding
from inspections.models.findings import FindingState
from inspections.selectors import (
    boat_due_back_on,
    boats_due_back_on,
    check_states,
    due_back_book,
    entries_outside_the_list,
    findings_with_judgement,
    missing_photos,
    photos_by_entry,
    season_rows,
    spot_history,
)
from inspections.services.inspections import inspection_open
from tests.factories import (
    AssessmentFactory,
    BoatFactory,
    CheckFactory,
    ComponentFactory,
    DueBackFactory,
    EntryFactory,
    EntryPhotoFactory,
    FindingFactory,
    InspectionFactory,
    OverrulingFactory,
    PhotoFactory,
    ReadingFactory,
    SpotFactory,
)
from tests.inspections.scenes import Scene
from tests.queries import assert_same_queries

pytestmark = pytest.mark.django_db

PHOTO = "ab" * 32


# --- checks ------------------------------------------------------------------------------------------


def test_every_check_is_told_with_its_answers(ours: Scene, theirs: Scene) -> None:
    theirs.store(theirs.sound())
    ours.store(ours.sound())
    corners, moisture = check_states(ours.inspection)
    assert (corners.check, moisture.check) == (ours.corners, ours.moisture)
    assert corners.current is not None
    assert (corners.current.answer, corners.current.inspection) == ("sound", ours.inspection)
    assert (moisture.current, moisture.answers) == (None, ())


def test_a_superseded_answer_does_not_count(ours: Scene) -> None:
    first = ours.sound()
    ours.store(first)
    second = ours.not_seen(supersedes=first["id"])
    ours.store(second)
    state = check_states(ours.inspection)[0]
    assert [str(entry.pk) for entry in state.answers] == [second["id"]]


@pytest.mark.parametrize(
    ("minutes", "newest"),
    [((0, 5), 1), ((5, 0), 0), ((0, 0), 1), ((60 * 30, 5), 0), ((60 * 30, 60 * 30), 1)],
    ids=["in order", "sent late", "at the same time", "a clock ahead: taken for the sending", "both ahead"],
)
def test_of_two_tablets_the_newer_look_shows_and_both_are_kept(
    ours: Scene, minutes: tuple[int, int], newest: int
) -> None:
    sheets = [
        ours.sound(observed_at=(ours.at + timedelta(minutes=minute)).isoformat(), note=str(number))
        for number, minute in enumerate(minutes)
    ]
    ours.store(*sheets)  # at ten minutes past by the server's clock
    state = check_states(ours.inspection)[0]
    assert len(state.answers) == 2
    assert state.current is not None
    assert state.current.note == str(newest)


def test_all_findings_of_a_check_are_told(ours: Scene) -> None:
    ours.store(ours.finding(), ours.finding(), ours.sound())
    state = check_states(ours.inspection)[0]
    assert (len(state.findings), len(state.answers)) == (2, 3)


def test_what_is_beside_the_list_is_told_apart(ours: Scene) -> None:
    sheet = ours.finding()
    del sheet["check"]
    beside = {**sheet, "component": ours.component.pk}
    ours.store(ours.sound(), beside)
    assert [str(entry.pk) for entry in entries_outside_the_list(ours.inspection)] == [beside["id"]]


def test_photos_that_have_not_arrived_are_told(ours: Scene, theirs: Scene) -> None:
    PhotoFactory.create(yard=theirs.yard, sha256=PHOTO)
    PhotoFactory.create(yard=ours.yard, sha256="cd" * 32)
    ours.store(ours.sound(photos=[PHOTO, "cd" * 32]))
    theirs.store(theirs.sound(photos=["ef" * 32]))
    assert [named.sha256 for named in missing_photos(ours.inspection)] == [PHOTO]


# --- findings ----------------------------------------------------------------------------------------


def test_findings_come_with_what_holds_of_them(ours: Scene, theirs: Scene) -> None:
    AssessmentFactory.create(
        finding=FindingFactory.create(spot__component=theirs.component, inspection=theirs.inspection)
    )
    component = {"spot__component": ours.component, "inspection": ours.inspection}
    unjudged, judged, overruled = (FindingFactory.create(**component) for _ in range(3))
    AssessmentFactory.create(
        finding=judged, priority="before_launch", superseded_at=ours.at, made_at=ours.at - timedelta(days=1)
    )
    assessment = AssessmentFactory.create(finding=judged, priority="next_layup", due_back_on=date(2027, 10, 18))
    OverrulingFactory.create(finding=overruled, priority="before_launch", withdrawn_at=ours.at)
    OverrulingFactory.create(
        finding=overruled, assessment=overruled.assessments.get(), priority="watch", due_back_on=date(2027, 9, 1)
    )
    told = {
        one.pk: (one.standing_priority, one.standing_due_back_on, one.is_overruled, one.urgency)
        for one in findings_with_judgement(ours.yard)
    }
    assert told == {
        unjudged.pk: (None, None, False, 0),
        judged.pk: ("next_layup", date(2027, 10, 18), False, 3),
        overruled.pk: ("watch", date(2027, 9, 1), True, 4),
    }
    one = findings_with_judgement(ours.yard).get(pk=judged.pk)
    assert (one.standing_assessments, one.standing_overrulings) == ([assessment], [])


def test_a_spot_tells_its_years(ours: Scene, theirs: Scene) -> None:
    spot = SpotFactory.create(component=ours.component)
    last = InspectionFactory.create(boat=ours.boat, season_year=2026)
    old = FindingFactory.create(spot=spot, inspection=last, state=FindingState.SEEN_AGAIN)
    old_judgement = AssessmentFactory.create(finding=old)
    first = ours.finding(spot={"id": str(spot.pk)}, size_mm="30", photos=[PHOTO])
    second = ours.finding(spot={"id": str(spot.pk)}, size_mm="35", supersedes=first["id"])
    ours.store(first)
    ours.store(second)
    photo = PhotoFactory.create(yard=ours.yard, sha256=PHOTO)
    PhotoFactory.create(yard=theirs.yard, sha256=PHOTO)
    FindingFactory.create(spot__component=ours.component, inspection=ours.inspection)  # at another spot
    newest, corrected, oldest = spot_history(spot)
    assert [str(look.entry.pk) for look in (newest, corrected)] == [second["id"], first["id"]]
    assert (oldest.entry, oldest.finding, oldest.assessment) == (old.entry, old, old_judgement)
    assert (newest.finding is not None, newest.is_superseded) == (True, False)
    assert (corrected.finding, corrected.is_superseded, corrected.photos) == (None, True, (photo,))


def test_photos_come_in_the_order_of_the_entry_and_of_the_yard(ours: Scene, theirs: Scene) -> None:
    names = [f"{number:064x}" for number in (3, 1, 2)]
    ours.store(ours.sound(photos=names))
    entry = Entry.objects.get()
    for sha256 in names[:2]:
        PhotoFactory.create(yard=ours.yard, sha256=sha256)
    PhotoFactory.create(yard=theirs.yard, sha256=names[2])
    assert [photo.sha256 for photo in photos_by_entry(ours.yard, [entry.pk])[entry.pk]] == names[:2]
    assert photos_by_entry(theirs.yard, [entry.pk]) == {}


# --- due back ------------------------------------------------------------------------------------------


def line(scene: Scene, due_on: date = date(2027, 10, 15), **more: Any) -> DueBack:
    """A line of last year's finding; the scene's inspection is this year's."""
    last, _ = scene.boat.inspections.model.objects.get_or_create(
        boat=scene.boat,
        season_year=2026,
        defaults={"yard": scene.yard, "launch_on": date(2026, 5, 1), "opened_at": scene.at - timedelta(days=365)},
    )
    finding = FindingFactory.create(
        spot=SpotFactory.create(component=more.pop("component", scene.component)),
        inspection=last,
        state=more.pop("state", FindingState.WATCHED),
    )
    return DueBackFactory.create(finding=finding, due_on=due_on, **more)


def test_the_book_has_the_open_lines_of_the_yard_the_earliest_first(ours: Scene, theirs: Scene) -> None:
    line(theirs)
    line(ours, ended_at=ours.at)
    late, early = line(ours, date(2027, 12, 1)), line(ours, date(2027, 6, 1))
    assert list(due_back_book(ours.yard)) == [early, late]
    assert boat_due_back_on(ours.boat) == date(2027, 6, 1)
    assert boats_due_back_on(ours.yard) == {ours.boat.pk: date(2027, 6, 1)}


def test_parts_taken_off_and_boats_that_left_are_not_in_the_book(ours: Scene) -> None:
    gone = ComponentFactory.create(
        boat=ours.boat, component_class=ours.component.component_class, removed_on=date(2027, 1, 1), name="gone"
    )
    line(ours, component=gone)
    assert list(due_back_book(ours.yard)) == []
    line(ours)
    ours.boat.left_on = date(2027, 4, 1)
    ours.boat.save()
    assert list(due_back_book(ours.yard)) == []
    assert boat_due_back_on(ours.boat) is None


@pytest.mark.parametrize(
    ("answer", "state", "stays"),
    [
        ("sound", FindingState.WATCHED, False),
        ("finding", FindingState.DECLINED, False),
        ("not_fitted", FindingState.DEFERRED, False),
        ("not_seen", FindingState.WATCHED, True),
        ("sound", FindingState.HELD, True),
        ("sound", FindingState.REPAIRED, True),
        ("sound", FindingState.VERIFIED, False),
    ],
)
def test_a_place_that_was_looked_at_this_year_leaves_the_book(
    ours: Scene, answer: str, state: FindingState, stays: bool
) -> None:
    old = line(ours, state=state)
    EntryFactory.create(
        inspection=ours.inspection, component=ours.component, spot=old.spot, answer=answer, observed_at=ours.at
    )
    assert (old in due_back_book(ours.yard)) == stays


def test_it_comes_back_when_the_answer_is_taken_back(ours: Scene) -> None:
    old = line(ours)
    entry = EntryFactory.create(inspection=ours.inspection, component=ours.component, spot=old.spot)
    assert old not in due_back_book(ours.yard)
    EntryFactory.create(inspection=ours.inspection, component=ours.component, supersedes=entry)
    assert old in due_back_book(ours.yard)


def test_this_years_own_lines_stay(ours: Scene) -> None:
    finding = FindingFactory.create(spot__component=ours.component, inspection=ours.inspection)
    EntryFactory.create(inspection=ours.inspection, component=ours.component, spot=finding.spot)
    own = DueBackFactory.create(finding=finding)
    assert list(due_back_book(ours.yard)) == [own]


def test_a_line_that_a_verification_set_after_the_look_stays(ours: Scene) -> None:
    old = line(ours, state=FindingState.VERIFIED, set_at=ours.at + timedelta(days=60))
    EntryFactory.create(inspection=ours.inspection, component=ours.component, spot=old.spot, observed_at=ours.at)
    assert old in due_back_book(ours.yard)


def test_a_place_not_seen_last_year_and_seen_now_leaves_the_book(ours: Scene) -> None:
    last = InspectionFactory.create(boat=ours.boat, season_year=2026)
    check = CheckFactory.create(inspection=last, component=ours.component, key="corners")
    entry = EntryFactory.create(
        inspection=last, component=ours.component, answers=check, answer="not_seen", observed_at=last.opened_at
    )
    old = DueBackFactory.create(
        finding=None, entry=entry, boat=ours.boat, component=ours.component, spot=None, set_at=ours.at
    )
    other_place = EntryFactory.create(
        inspection=ours.inspection, component=ours.component, answers=ours.moisture, observed_at=ours.at
    )
    assert old in due_back_book(ours.yard)
    ours.store(ours.sound())
    assert old not in due_back_book(ours.yard)
    assert other_place.answers_id != ours.corners.pk


# --- the season ------------------------------------------------------------------------------------------


def test_the_season_page_tells_boat_by_boat(ours: Scene, theirs: Scene) -> None:
    theirs.store(theirs.finding())
    waiting = BoatFactory.create(yard=ours.yard, name="Aurelia")
    BoatFactory.create(yard=ours.yard, left_on=date(2026, 10, 1))
    ours.store(ours.finding(), ours.not_seen(), ours.wet())
    found = Finding.objects.get(yard=ours.yard)
    AssessmentFactory.create(finding=found, priority="before_launch", due_back_on=date(2027, 4, 20))
    DueBackFactory.create(finding=found, due_on=date(2027, 4, 20))
    FindingFactory.create(spot__component=ours.component, inspection=ours.inspection)
    FindingFactory.create(spot__component=ours.component, inspection=ours.inspection, state=FindingState.WITHDRAWN)
    line(ours, date(2027, 11, 1))  # last year's, later than this year's
    first, second = season_rows(ours.yard, 2027)
    assert (first.boat.pk, first.inspection, first.checks) == (waiting.pk, None, 0)
    assert first.launch_on == date(2027, 5, 1)
    assert second.inspection is not None
    assert (second.boat.pk, second.inspection.pk) == (ours.boat.pk, ours.inspection.pk)
    assert (second.checks, second.answered, second.not_seen) == (2, 2, 1)
    assert {priority: number for priority, number in second.findings.items() if number} == {
        Priority.BEFORE_LAUNCH: 1
    }
    assert (second.unjudged, second.due_back_on) == (1, date(2027, 4, 20))
    assert second.launch_week == (2027, 17)


def test_boats_stand_in_the_order_in_which_they_go_in(ours: Scene) -> None:
    for name, launch_on in (("Late", date(2027, 6, 1)), ("Early", date(2027, 4, 15))):
        InspectionFactory.create(boat=BoatFactory.create(yard=ours.yard, name=name), launch_on=launch_on)
    assert [row.boat.name for row in season_rows(ours.yard, 2027)] == ["Early", ours.boat.name, "Late"]


def test_a_season_that_is_not_entered_has_boats_without_a_day(ours: Scene) -> None:
    (row,) = season_rows(ours.yard, 2041)
    assert (row.inspection, row.launch_on, row.launch_week) == (None, None, None)


# --- how often the database is asked ----------------------------------------------------------------------


class Fleet:
    """Boats with findings, answers, photos and lines, as many as wanted."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.boats = 0

    def grow(self, boats: int) -> None:
        scene = self.scene
        while self.boats < boats:
            self.boats += 1
            boat = BoatFactory.create(yard=scene.yard)
            component = ComponentFactory.create(boat=boat, component_class=scene.component.component_class)
            inspection = inspection_open(boat=boat, season_year=2027, at=scene.at, by=None)
            finding = FindingFactory.create(spot__component=component, inspection=inspection)
            OverrulingFactory.create(finding=finding)
            DueBackFactory.create(finding=finding)
            ReadingFactory.create(entry=finding.entry)
            named = EntryPhotoFactory.create(entry=finding.entry)
            PhotoFactory.create(yard=scene.yard, sha256=named.sha256)
            EntryFactory.create(
                inspection=inspection, component=component, answers=inspection.checks.first(), answer="not_seen"
            )


def read_findings(scene: Scene) -> None:
    findings = list(findings_with_judgement(scene.yard))
    for finding in findings:
        _ = (finding.boat.name, finding.component.component_class.name, finding.spot.tag, finding.entry.author.name)
        _ = (finding.standing_assessments, [overruling.by.name for overruling in finding.standing_overrulings])
        _ = (
            list(finding.entry.readings.all()),
            list(finding.entry.photo_names.all()),
            finding.inspection.launch_on,
        )
    photos_by_entry(scene.yard, [finding.entry_id for finding in findings])


def read_book(scene: Scene) -> None:
    for one in due_back_book(scene.yard):
        _ = (one.boat.name, str(one.component), str(one.spot), one.finding and one.finding.state)


def read_season(scene: Scene) -> None:
    for row in season_rows(scene.yard, 2027):
        _ = (row.boat.name, row.boat.decider, row.findings)


@pytest.mark.parametrize("read", [read_findings, read_book, read_season])
def test_lists_ask_the_same_for_any_number_of_boats(ours: Scene, read: Callable[[Scene], None]) -> None:
    assert_same_queries(lambda: read(ours), Fleet(ours).grow, to=(2, 9))


def test_one_inspection_asks_the_same_for_any_number_of_answers(ours: Scene) -> None:
    def read() -> None:
        for state in check_states(ours.inspection):
            _ = (state.check.component.component_class.name, state.check.spot)
            for entry in state.answers:
                _ = (entry.author.name, list(entry.readings.all()), list(entry.photo_names.all()), entry.component)
        list(missing_photos(ours.inspection))

    def grow(number: int) -> None:
        there = Entry.objects.filter(inspection=ours.inspection).count()
        ours.store(*(ours.finding(photos=[PHOTO]) for _ in range(number - there)))

    assert_same_queries(read, grow, to=(2, 12))


def test_the_history_of_a_spot_asks_the_same_for_any_number_of_years(ours: Scene) -> None:
    spot = SpotFactory.create(component=ours.component)

    def read() -> None:
        for look in spot_history(spot):
            _ = (look.entry.author.name, look.entry.inspection.season_year, list(look.entry.readings.all()))

    def grow(years: int) -> None:
        for year in range(2000 + spot.findings.count(), 2000 + years):
            inspection = InspectionFactory.create(boat=ours.boat, season_year=year)
            OverrulingFactory.create(finding=FindingFactory.create(spot=spot, inspection=inspection))

    assert_same_queries(read, grow, to=(1, 8))
