"""The season page."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from inspections.services.inspections import inspection_close
from tests.factories import BoatFactory, InspectionFactory, MemberFactory, TechnicianFactory, YardFactory
from tests.factories.inspections import SetAsideFactory
from tests.inspections.scenes import Scene, scene
from tests.web.conftest import NOW
from tests.web.letters import a_letter
from tests.web.visitor import Visitor
from tests.workshop.spring import a_spring
from workshop.services.jobs import hold_add
from workshop.services.quotes import quote_draft
from yard.models import OutboxRow, Season, Yard
from yard.outbox import drain

pytestmark = pytest.mark.django_db
SEASON = "/season/"


def row_of(page: str, boat: str) -> str:
    """The row of a boat, as text with blanks drawn together."""
    body = page.split("<tbody")[1:]
    rows = [row for part in body for row in part.split("<tr")]
    return " ".join(next(row for row in rows if f">{boat}</a>" in row).split())


def laid() -> tuple[Scene, Visitor]:
    made = scene(NOW - timedelta(days=1))
    return made, Visitor(made.manager)


def test_it_shows_this_years_boats_under_the_week_they_go_in() -> None:
    yard = YardFactory.create()
    InspectionFactory.create(boat=BoatFactory.create(yard=yard, name="Early"), launch_on=date(2027, 4, 20))
    InspectionFactory.create(boat=BoatFactory.create(yard=yard, name="Late"), launch_on=date(2027, 5, 3))
    page = Visitor(MemberFactory.create(yard=yard)).page(SEASON)
    assert "<h1>Season 2027</h1>" in page
    assert page.index("Week 16, in 2 weeks: Mon 19 Apr to Sun 25 Apr") < page.index(">Early</a>")
    assert page.index(">Early</a>") < page.index("Week 18, in 4 weeks") < page.index(">Late</a>")


def test_a_boat_without_an_inspection_says_what_comes_first() -> None:
    yard = YardFactory.create()
    BoatFactory.create(yard=yard, name="Idle")
    row = row_of(Visitor(MemberFactory.create(yard=yard)).page(SEASON), "Idle")
    assert "not looked at yet" in row
    assert "Inspection to be opened" in row


def test_a_boat_goes_through_the_spring() -> None:
    made, visitor = laid()
    boat = made.boat.name
    assert "2 checks to answer" in row_of(visitor.page(SEASON), boat)
    made.store(made.not_seen(made.corners))
    row = row_of(visitor.page(SEASON), boat)
    assert "1 of 2" in row
    assert "1 check to answer" in row
    made.store(made.wet())
    assert "Inspection to be closed" in row_of(visitor.page(SEASON), boat)
    inspection_close(inspection=made.inspection, at=NOW, by=made.manager)
    drain(now=NOW)
    row = row_of(visitor.page(SEASON), boat)
    assert "2 of 2" in row
    assert '<td role="cell" class="number"><span class="cell-name">Not seen</span>1</td>' in row


def test_a_photo_that_is_still_on_a_tablet_is_in_the_way() -> None:
    made, visitor = laid()
    made.store(made.finding(photos=["a" * 64]), made.wet())
    row = row_of(visitor.page(SEASON), made.boat.name)
    assert "1 photo not here yet" in row
    assert "1 finding not judged yet" in row


def test_findings_count_under_the_priority_that_stands() -> None:
    made = a_spring()
    frame = made.component()
    made.finding(frame, "REBED_SEALANT", priority="before_launch")
    made.overrule(made.finding(frame, "REBED_SEALANT", priority="before_launch"), "watch")
    row = row_of(Visitor(made.manager).page(SEASON), made.boat.name)
    counts = [part.split("</td>")[0][-1] for part in row.split('<td role="cell" class="number')[1:]]
    assert counts == ["1", "0", "0", "1", "0", "0"]  # by priority, then not seen and hours open


def test_quotes_say_where_they_are_and_since_when() -> None:
    made = a_spring()
    visitor = Visitor(made.manager)
    made.finding(made.component(), "REBED_SEALANT")
    jobs = made.propose()
    assert "1 job to be quoted" in row_of(visitor.page(SEASON), made.boat.name)
    quote_draft(inspection=made.inspection, jobs=jobs, by=made.manager, at=NOW)
    row = row_of(visitor.page(SEASON), made.boat.name)
    assert "draft" in row
    assert "quote 1 to be sent" in row


def test_what_the_decider_still_has_to_say_is_in_the_way() -> None:
    letter = a_letter()
    visitor = Visitor(letter.spring.manager)
    decider = letter.spring.boat.decider.name
    letter.answer("Toerail", "approve")
    letter.answer("Window frame", "ask", question="Why?")
    row = row_of(visitor.page(SEASON), "Sea Pink")
    assert "since Tue 6 Apr" in row
    assert "1 question to be answered" in row
    assert f"{decider} to decide on 2 of 3" in row
    assert "1 job to be done" in row


def test_what_people_have_typed_is_told_as_they_typed_it() -> None:
    letter = a_letter()
    boat = letter.spring.boat
    boat.name = "<b>Sea</b> & Pink"
    boat.save()
    decider = boat.decider
    decider.name = '<i title="x">Ane</i>'
    decider.save()
    page = Visitor(letter.spring.manager).page(f"{SEASON}?order=boat")
    assert ">&lt;b&gt;Sea&lt;/b&gt; &amp; Pink</a>" in page
    assert "&lt;i title=&quot;x&quot;&gt;Ane&lt;/i&gt; to decide on" in page
    assert "<b>Sea" not in page
    assert "<i title" not in page


def test_holds_and_entries_set_aside_are_in_the_way() -> None:
    made = a_spring()
    made.finding(made.component(), "REBED_SEALANT")
    (job,) = made.propose()
    hold_add(
        job=job, kind="part", what="a pane", who=None, expected_on=date(2027, 4, 20), meanwhile="taped", at=NOW
    )
    SetAsideFactory.create(boat=made.boat)
    row = row_of(Visitor(made.manager).page(SEASON), made.boat.name)
    assert "holds: a part, expected in 14 days" in row
    assert "1 entry set aside" in row


def test_a_day_that_has_passed_is_called_overdue_in_words() -> None:
    made = a_spring()
    made.finding(made.component(), "REBED_SEALANT", due_on=date(2027, 4, 2))
    row = row_of(Visitor(made.manager).page(SEASON), made.boat.name)
    assert "<strong>overdue</strong>" in row
    assert "since 2 Apr 2027" in row


def test_the_totals_are_those_of_the_rows() -> None:
    made = scene(NOW - timedelta(days=1))
    other = scene(NOW - timedelta(days=1), yard=made.yard)
    made.store(made.sound(), made.wet())
    other.store(other.not_seen())
    foot = Visitor(made.manager).page(SEASON).split("<tfoot")[1]
    assert "2 boats" in foot
    assert "3 of 4" in foot
    assert '<span class="cell-name">Not seen</span>1' in foot


def test_it_is_narrowed_by_week_and_by_priority() -> None:
    made = a_spring()
    made.finding(made.component(), "REBED_SEALANT", priority="before_launch")
    InspectionFactory.create(boat=BoatFactory.create(yard=made.yard, name="Calm"), launch_on=date(2027, 5, 12))
    visitor = Visitor(made.manager)
    assert ">Calm</a>" not in visitor.page(SEASON, priority="before_launch")
    page = visitor.page(SEASON, week="2027-W19")
    assert ">Calm</a>" in page
    assert f">{made.boat.name}</a>" not in page
    assert "1 boat of 2" in page
    assert "No boat fits that" in visitor.page(SEASON, week="2027-W19", priority="before_launch")


@pytest.mark.parametrize("query", [{"week": "never"}, {"week": "2027-W99"}, {"priority": "soon"}])
def test_what_it_can_t_read_narrows_nothing(query: dict[str, str]) -> None:
    made = a_spring()
    assert f">{made.boat.name}</a>" in Visitor(made.manager).page(SEASON, **query)


def test_another_season_can_be_chosen() -> None:
    made = a_spring()
    page = Visitor(made.manager).page("/season/2026/")
    assert "<h1>Season 2026</h1>" in page
    assert '<a href="/season/2027/">2027</a>' in page
    assert Visitor(made.manager).get("/season/1990/").status_code == 404


def test_a_yard_without_a_season_is_told_what_to_do_first() -> None:
    yard = YardFactory.create()
    Season.objects.of_yard(yard).delete()
    assert "First enter the yard's next season" in Visitor(MemberFactory.create(yard=yard)).page(SEASON)


def test_a_yard_without_boats_is_told_what_to_do_first() -> None:
    assert "No boat is in the yard's care yet" in Visitor(MemberFactory.create()).page(SEASON)


def test_a_manager_sees_that_work_gave_up_and_a_technician_doesn_t() -> None:
    yard: Yard = YardFactory.create()
    OutboxRow.objects.create(
        yard=yard, task="inspections.assess", key="k", created_at=NOW, not_before=NOW, failed_at=NOW
    )
    assert "1 piece of work in the background gave up" in Visitor(MemberFactory.create(yard=yard)).page(SEASON)
    assert "gave up" not in Visitor(TechnicianFactory.create(yard=yard)).page(SEASON)


def test_another_yards_boats_are_not_there() -> None:
    theirs = a_spring(name="Stranger")
    assert "Stranger" not in Visitor(MemberFactory.create()).page(SEASON)
    assert "Stranger" in Visitor(theirs.manager).page(SEASON)
