"""The boats, one boat, one spot, and the due-back book."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest

from inspections.models import Inspection
from tests.factories import (
    BoatFactory,
    ComponentFactory,
    MemberFactory,
    OwnerFactory,
    SpotFactory,
    TechnicianFactory,
)
from tests.factories.inspections import DueBackFactory, TemplateFactory, TemplateVersionFactory
from tests.inspections.scenes import scene
from tests.web.conftest import NOW
from tests.web.letters import a_letter
from tests.web.visitor import Visitor
from tests.workshop.spring import a_spring
from yard.models import Owner
from yard.outbox import drain

pytestmark = pytest.mark.django_db


def test_boats_are_listed_with_who_decides_and_those_that_left_stand_apart() -> None:
    manager = MemberFactory.create(name="Grete Holm")
    BoatFactory.create(yard=manager.yard, name="Ours", decider_owner=None, decider_member=manager)
    owner = OwnerFactory.create(yard=manager.yard, name="Odd Nes")
    BoatFactory.create(yard=manager.yard, name="Hers", decider_owner=owner, loa_mm=12_000)
    BoatFactory.create(yard=manager.yard, name="Gone", left_on=date(2026, 9, 1))
    page = Visitor(manager).page("/boats/")
    assert "2 boats." in page
    assert "Odd Nes" in page
    assert "Grete Holm <small>for the yard itself</small>" in page
    assert "Gone" not in page
    page = Visitor(manager).page("/boats/", stay="left")
    assert "1 boat." in page
    assert "left on 1 September 2026" in page
    for query, names in (
        ({"text": "odd nes"}, ["Hers"]),
        ({"decider": f"manager-{manager.pk}"}, ["Ours"]),
        ({"order": "longest", "stay": "all"}, ["Hers", "Gone", "Ours"]),
        ({"build": "clinker"}, []),
    ):
        listed = Visitor(manager).page("/boats/", **query)
        assert re.findall(r'scope="row"><a href="/boats/\d+/">([^<]+)<', listed) == names, query


def test_a_yard_without_boats_is_told_what_to_enter_first() -> None:
    assert "Enter the first one" in Visitor(MemberFactory.create()).page("/boats/")


def test_a_boats_page_has_her_facts_her_plan_and_what_is_open() -> None:
    made = a_spring(name="Sea Pink")
    finding = made.finding(made.component("Mast step"), "SEAM", priority="before_launch")
    page = Visitor(made.manager).page(f"/boats/{made.boat.pk}/")
    assert "carvel, larch on oak" in page
    assert "8.40 m × 2.45 m" in page
    assert made.boat.decider.name in page
    plan = page.split('<svg class="plan plan-full"')[1].split("</svg>")[0]
    assert "Deck plan of Sea Pink, bow to the right" in plan
    assert finding.spot is not None
    assert f">{finding.spot.tag[:4]}-{finding.spot.tag[4:]}</text>" in plan
    assert f'href="/findings/{finding.pk}/"' in page
    assert "30 April 2027, in 3 weeks: put right at Mast step, port side" in page


def test_a_spot_without_a_position_is_listed_though_not_drawn() -> None:
    boat = BoatFactory.create()
    spot = SpotFactory.create(component=ComponentFactory.create(boat=boat), plan_x=None, plan_y=None, name="bilge")
    page = Visitor(MemberFactory.create(yard=boat.yard)).page(f"/boats/{boat.pk}/")
    assert f'href="/spots/{spot.pk}/"' in page
    assert "with her spots: none yet" in page


def test_what_was_declined_although_unsafe_stands_at_the_top() -> None:
    letter = a_letter()
    Owner.objects.update(name="Owner & Daughter")
    letter.answer("Mast step", "decline", read="yes")
    page = Visitor(letter.spring.technician).page(f"/boats/{letter.spring.boat.pk}/")
    warned = page.split('class="unsafe"')[1].split("</div>")[0]
    assert "Declined although unsafe to leave" in warned
    assert "Mast step" in warned
    assert ", on 6 April 2027, by Owner &amp; Daughter (" in warned


def test_a_manager_opens_the_inspection_of_the_season() -> None:
    component = ComponentFactory.create()
    boat = component.boat
    TemplateVersionFactory.create(template=TemplateFactory.create(component_class=component.component_class))
    visitor = Visitor(MemberFactory.create(yard=boat.yard))
    assert "Open the inspection of 2027" in visitor.page(f"/boats/{boat.pk}/")
    page = visitor.after(f"/boats/{boat.pk}/inspection/", launch_on="2027-05-20")
    inspection = Inspection.objects.get()
    assert (inspection.season_year, inspection.launch_on) == (2027, date(2027, 5, 20))
    assert inspection.opened_by == visitor.member
    assert "The inspection of 2027 is open, with 2 checks." in page
    assert "Open the inspection" not in visitor.page(f"/boats/{boat.pk}/")


def test_an_inspection_is_not_opened_without_parts_and_the_page_says_so() -> None:
    boat = BoatFactory.create()
    visitor = Visitor(MemberFactory.create(yard=boat.yard))
    page = visitor.refused(f"/boats/{boat.pk}/inspection/", launch_on="")
    assert "has no components; enter what she is made of first." in page
    assert "is no day; give one like 2027-05-01" in visitor.refused(
        f"/boats/{boat.pk}/inspection/", launch_on="spring"
    )
    assert not Inspection.objects.exists()


def test_a_technician_does_not_open_one() -> None:
    boat = BoatFactory.create()
    visitor = Visitor(TechnicianFactory.create(yard=boat.yard))
    assert "Open the inspection" not in visitor.page(f"/boats/{boat.pk}/")
    assert visitor.post(f"/boats/{boat.pk}/inspection/", launch_on="").status_code == 403


def test_a_spots_page_tells_its_life() -> None:
    made = scene(NOW - timedelta(days=1))
    sheet = made.finding(size_mm="40", note="A dark line.")
    made.store(sheet)
    drain(now=NOW)
    visitor = Visitor(made.technician)
    page = visitor.page(f"/spots/{sheet['spot']['id']}/")
    assert "lower aft corner" in page
    assert "Crack in the wood" in page
    assert "40 mm" in page
    assert "“A dark line.”" in page
    assert "Judged on 6 April 2027" in page


def test_sizes_at_a_spot_stand_side_by_side() -> None:
    made = scene(NOW - timedelta(days=3))
    first = made.finding(size_mm="40")
    made.store(first)
    second = made.finding(size_mm="55", supersedes=first["id"], spot={"id": first["spot"]["id"]})
    wet = [{"quantity": "moisture_pct", "value": "22", "unit": "pct"}]
    again = made.finding(made.moisture, size_mm="61", spot={"id": first["spot"]["id"]}, readings=wet)
    made.store(second, again)
    page = Visitor(made.manager).page(f"/spots/{first['spot']['id']}/")
    measured = page.split("Measured</h2>")[1].split("</table>")[0]
    assert "55 mm" in measured
    assert "61 mm" in measured
    assert "40 mm" not in measured  # a later entry took its place


def test_the_due_back_book_says_where_what_for_and_how_soon() -> None:
    made = a_spring(name="Sea Pink")
    late = made.finding(made.component("Toerail"), "REBED_SEALANT", due_on=date(2027, 4, 1))
    made.finding(made.component("Mast step"), "SEAM", due_on=date(2027, 4, 30))
    page = Visitor(made.technician).page("/due-back/")
    assert "2 to see to, 1 of them overdue." in page
    overdue, april = page.split("April 2027</th>")
    assert "<strong>5 days overdue</strong>" in overdue
    assert f'href="/findings/{late.pk}/"' in overdue
    assert "in 3 weeks" in april
    assert "put right" in april
    assert "Water is in." in april


def test_the_book_is_narrowed_by_boat_and_kind() -> None:
    made = a_spring(name="Sea Pink")
    made.finding(made.component("Toerail"), "REBED_SEALANT")
    other = BoatFactory.create(yard=made.yard, name="Other")
    spot = SpotFactory.create(component=ComponentFactory.create(boat=other))
    DueBackFactory.create(finding__spot=spot, kind="look_again")
    visitor = Visitor(made.manager)
    assert "1 to see to." in visitor.page("/due-back/", boat=str(other.pk))
    assert "1 to see to." in visitor.page("/due-back/", kind="put_right")
    assert "Nothing fits that" in visitor.page("/due-back/", boat=str(other.pk), kind="put_right")
    assert "2 to see to" in visitor.page("/due-back/", boat="nonsense", kind="nonsense")


def test_a_long_book_is_told_in_pages() -> None:
    made = a_spring()
    component = made.component("Toerail")
    for _ in range(101):
        made.finding(component, "REBED_SEALANT")
    visitor = Visitor(made.manager)
    assert "Page 1 of 2." in visitor.page("/due-back/", kind="put_right")
    assert 'href="?kind=put_right&amp;page=2"' in visitor.page("/due-back/", kind="put_right")
    assert visitor.page("/due-back/", page="2").count("put right</td>") == 1


def test_an_empty_book_says_what_will_stand_in_it() -> None:
    assert "Nothing is due." in Visitor(MemberFactory.create()).page("/due-back/")
