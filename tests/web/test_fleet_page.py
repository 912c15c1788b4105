"""Taking a fleet in on its page: looked through, then taken in as shown; and the files that are handed out."""

from __future__ import annotations

import re
from datetime import timedelta
from io import BytesIO

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from openpyxl import load_workbook

from tests.factories import BoatFactory, ComponentFactory, MemberFactory, OwnerFactory
from tests.web.conftest import NOW
from tests.web.visitor import Visitor
from yard.models import Boat

pytestmark = pytest.mark.django_db
HERE = "/boats/fleet/"
BOATS = "name,build,loa_mm,beam_mm,owners\nTerna,carvel,9200,2800,nils@harbour.example\n"
OWNERS = "email,name\nnils@harbour.example,<Nils>\n"


def files(**texts: str) -> list[SimpleUploadedFile]:
    return [SimpleUploadedFile(f"{name}.csv", text.encode()) for name, text in texts.items()]


def looked_through(visitor: Visitor, **texts: str) -> str:
    answer = visitor.post(HERE, file=files(**texts))
    assert answer.status_code == 200, answer.content.decode()
    page: str = answer.content.decode()
    return page


def along(page: str) -> str:
    found = re.search(r'name="along" value="([^"]+)"', page)
    assert found is not None
    return found[1]


def test_it_is_shown_first_then_taken_in_and_once_only() -> None:
    visitor = Visitor(MemberFactory.create())
    page = looked_through(visitor, boats=BOATS, owners=OWNERS)
    assert not Boat.objects.exists()
    assert "&lt;Nils&gt;" in page
    assert "decider nils@harbour.example" in page
    told = visitor.after(HERE, along=along(page))
    assert "Taken in: 1 owner new, 1 boat new." in told
    assert Boat.objects.get().name == "Terna"
    assert "Nothing was changed" in visitor.after(HERE, along=along(page))
    assert "As the yard has it already: row 2." in looked_through(visitor, boats=BOATS)


def test_a_refused_row_is_told_by_its_cell_and_leaves_nothing_to_press() -> None:
    visitor = Visitor(MemberFactory.create())
    page = looked_through(visitor, boats=BOATS.replace("9200", "long") + '=HYPERLINK("x"),carvel,9000,2800,\n')
    assert "2 rows can&#x27;t be taken in" in page or "2 rows can't be taken in" in page
    assert "C2 (loa_mm) is no whole number" in page
    assert "A3 (name) begins like a formula" in page
    assert 'name="along"' not in page


def test_what_goes_along_is_good_for_its_member_an_hour_and_the_yard_as_it_was() -> None:
    manager = MemberFactory.create()
    visitor = Visitor(manager)
    OwnerFactory.create(yard=manager.yard, email="nils@harbour.example")
    page = looked_through(visitor, boats=BOATS)
    Boat.objects.create(
        yard=manager.yard, name="terna", build="strip", loa_mm=9000, beam_mm=2800, decider_member=manager
    )
    again = visitor.refused(HERE, along=along(page))
    assert "changed since" in again
    assert "build: from strip to carvel" in again
    colleague = Visitor(MemberFactory.create(yard=manager.yard))
    assert "choose it again" in colleague.refused(HERE, along=along(again))
    assert "choose it again" in visitor.refused(HERE, along=along(again)[:-1])
    with time_machine.travel(NOW + timedelta(minutes=61)):
        assert "choose it again" in visitor.refused(HERE, along=along(again))
    assert "1 boat changed" in visitor.after(HERE, along=along(again))


def test_no_file_a_wrong_one_and_too_many_are_refused() -> None:
    visitor = Visitor(MemberFactory.create())
    assert "choose a CSV or XLSX file" in visitor.refused(HERE)
    assert "choose at most 3" in visitor.refused(HERE, file=files(a="a", b="b", c="c", d="d"))
    assert "A.csv: is not in UTF-8" in visitor.refused(HERE, file=SimpleUploadedFile("a.csv", b"\xff"))
    assert "has boats, and so has" in visitor.refused(HERE, file=files(a=BOATS, b=BOATS))


def test_the_files_hold_the_boats_that_the_page_shows() -> None:
    manager = MemberFactory.create()
    boat = BoatFactory.create(yard=manager.yard, name="=Anna", build="clinker")
    ComponentFactory.create(boat=boat, name="Rudder")
    BoatFactory.create(yard=manager.yard, name="Terna")
    BoatFactory.create(name="Another yard's")
    visitor = Visitor(manager)
    answer = visitor.get("/boats/fleet.csv", build="clinker")
    assert answer["Content-Disposition"] == 'attachment; filename="boats-2027-04-06.csv"'
    assert [line.split(",")[0] for line in answer.content.decode().splitlines()] == ["name", "'=Anna"]
    book = load_workbook(BytesIO(visitor.get("/boats/fleet.xlsx", build="clinker").content))
    cells = [(sheet["A2"].value, sheet["A2"].data_type) for sheet in book.worksheets]
    assert cells == [(boat.owners.get().email, "s"), ("=Anna", "s"), ("=Anna", "s")]
    assert "/boats/fleet.csv" in visitor.page("/boats/")
    assert "fleet" not in Visitor(MemberFactory.create(yard=manager.yard, role="technician")).page("/boats/")
