"""Who did what: everything in its order and once, by person, kind and day, and nobody else's."""

from __future__ import annotations

import csv
from datetime import timedelta

import pytest

from inspections.models import Finding
from inspections.services.rule_editions import rules_adopt
from inspections.services.templates import draft_publish
from tests.api.callers import Caller
from tests.factories import MemberFactory
from tests.factories.inspections import CHECKS, TemplateVersionFactory
from tests.queries import assert_same_queries
from tests.web.conftest import NOW
from tests.web.letters import Letter
from tests.web.visitor import Visitor
from workshop.selectors.audit import Narrowed, audit_lines, audit_page
from yard.models import Deed, DeedKind
from yard.services.deeds import deed_note

pytestmark = pytest.mark.django_db


def a_day(letter: Letter) -> None:
    """Something of each kind, some of it at one moment."""
    spring = letter.spring
    letter.answer("Mast step", "decline", read="yes")
    spring.overrule(Finding.objects.filter(boat=spring.boat).order_by("pk")[0], "watch")
    for number in range(3):
        deed_note(yard=spring.yard, kind=DeedKind.INVITED, by=spring.manager, told=f"guest {number}", at=NOW)
    other = MemberFactory.create()
    deed_note(yard=other.yard, kind=DeedKind.INVITED, by=other, told="somebody else's", at=NOW)


def test_pages_tell_everything_once_and_in_its_order(letter: Letter) -> None:
    a_day(letter)
    yard = letter.spring.yard
    whole = list(audit_lines(yard, Narrowed()))
    assert {"decided", "judged otherwise", "quote sent", "invited", "entry recorded"} <= {
        line.kind for line in whole
    }
    assert [line.at for line in whole] == sorted((line.at for line in whole), reverse=True)
    assert len({line.cursor for line in whole}) == len(whole)
    assert list(audit_lines(yard, Narrowed(order="oldest"))) == whole[::-1]
    for most, order in ((1, "newest"), (2, "newest"), (5, "newest"), (2, "oldest")):
        after, told = "", []
        for _ in range(len(whole) + 1):
            lines, after = audit_page(yard, Narrowed(order=order), after=after, most=most)
            told += lines
            if not after:
                break
        assert told == (whole if order == "newest" else whole[::-1])
    assert "somebody else's" not in str(whole)
    for nonsense in ("0001-01-01T00:00:00+14:00~0~1", "x", "~~", f"{NOW.isoformat()}~1~no uuid", "2027-01-01~0~1"):
        assert audit_page(yard, Narrowed(), after=nonsense)[0]


def test_the_list_is_narrowed_by_its_address_and_taken_along(letter: Letter) -> None:
    a_day(letter)
    manager, technician = letter.spring.manager, letter.spring.technician
    deed_note(
        yard=manager.yard, kind=DeedKind.CLOSED, by=manager, about=technician, told="x", at=NOW - timedelta(9)
    )
    visitor = Visitor(manager)
    page = visitor.page("/audit/", kind="invited")
    assert page.count("guest ") == 3
    assert "quote sent" not in page.split("<tbody")[1]
    assert ">entry recorded</th>" in visitor.page("/audit/")
    without = visitor.page("/audit/", kind="but-entries")
    assert ">entry recorded</th>" not in without
    assert ">quote sent</th>" in without
    assert ">log-in closed</th>" in visitor.page("/audit/", person=str(technician.pk))
    assert ">log-in closed</th>" not in visitor.page("/audit/", since=NOW.date().isoformat())
    assert ">log-in closed</th>" in visitor.page("/audit/", until=(NOW - timedelta(9)).date().isoformat())
    assert "is no day" in visitor.get("/audit/", since="soon").content.decode()
    answer = visitor.get("/audit/list.csv", kind="invited")
    rows = list(csv.reader(answer.content.decode().splitlines()))
    assert [row[2] for row in rows] == ["what", "invited", "invited", "invited"]
    assert Deed.objects.filter(kind=DeedKind.EXPORTED, by=manager).count() == 1


def test_whoever_changed_something_is_found_whichever_door_they_took(letter: Letter) -> None:
    manager, boat = letter.spring.manager, letter.spring.boat
    office, caller = Visitor(manager), Caller(manager)
    office.after("/settings/money/rate/", trade="rigger", amount="71.50")
    caller.send("PUT", "hourly-rates/caulker/", {"amount": "64.00"})
    etag = caller.get(f"boats/{boat.pk}/")["ETag"]
    assert caller.send("PATCH", f"boats/{boat.pk}/", {"material": "teak"}, If_Match=etag).status_code == 200
    office.after(f"/boats/{boat.pk}/change/", **of_boat(office, boat.pk), material="iroko")
    for steps, why in ((18, "Ours are wetter."), (19, "Not so wet.")):
        rules_adopt(yard=manager.yard, by=manager, overrides={"moisture": {"wet_pct": steps}}, why=why, at=NOW)
    page = office.page("/audit/")
    for told in (
        "rate of rigger, in EUR: an hour costs 71.5",
        "rate of caulker, in EUR: an hour costs 64",
        f"{boat.name}: material {boat.material or 'nothing'} to teak",
        f"{boat.name}: material teak to iroko",
        "Moisture, wet: 20 to 18 %; Ours are wetter.",
        "Moisture, wet: 18 to 19 %; Not so wet.",
    ):
        assert f">{told}</a>" in page
    assert f'href="/boats/{boat.pk}/">{boat.name}: material teak to iroko' in page
    draft = TemplateVersionFactory.create(
        template__component_class__yard=manager.yard, published_at=None, checks=[{**CHECKS[0], "usual_signs": []}]
    )
    draft_publish(draft=draft, by=manager, at=NOW, note="Two checks more")
    page = office.page("/audit/", kind="template-published")
    assert page.count(">template published</th>") == 1
    assert f"{draft.template.title}, version {draft.number}: Two checks more</a>" in page


def of_boat(office: Visitor, pk: int) -> dict[str, object]:
    """Her form as it is shown, without her material."""
    form = office.get(f"/boats/{pk}/change/").context["form"]
    shown = {name: form.initial[name] for name in form.fields if name != "material"}
    shown["owners"] = [owner.pk for owner in shown["owners"]]
    return {name: "" if value is None else value for name, value in shown.items()}


def test_a_page_asks_as_often_for_much_as_for_little(letter: Letter) -> None:
    manager = letter.spring.manager

    def grow(deeds: int) -> None:
        while Deed.objects.count() < deeds:
            deed_note(yard=manager.yard, kind=DeedKind.INVITED, by=manager, about=manager, told="x", at=NOW)

    visitor = Visitor(manager)
    addresses = ("/audit/", "/audit/?order=oldest", "/audit/list.csv")
    assert_same_queries(lambda: [visitor.page(address) for address in addresses], grow, to=(9, 120))
