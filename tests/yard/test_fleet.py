"""Taking a fleet in: each row's fate as it is shown, then exactly that, or nothing."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from tests.conftest import SPRING
from tests.factories import (
    BoatFactory,
    ComponentClassFactory,
    ComponentFactory,
    MemberFactory,
    OwnerFactory,
    TechnicianFactory,
)
from tests.queries import assert_same_queries
from yard.fleet.columns import KINDS
from yard.fleet.files import Grid, grids_read
from yard.fleet.plan import Plan, fleet_plan
from yard.fleet.reading import tables_read
from yard.fleet.stored import fleet_of, fleet_stored
from yard.fleet.writing import fleet_xlsx, sheet_csv
from yard.models import Boat, Component, Deed, DeedKind, Member, Owner, Yard
from yard.refusals import Refused
from yard.services.fleet_taking import fleet_take

pytestmark = pytest.mark.django_db

OWNERS = "email,name,phone,locale\nnew@harbour.example,Nils Ø,+45 12 34 56,da\n"
BOATS = (
    "name,build,material,loa_mm,beam_mm,year,owners,decider,left_on\n"
    "Terna,carvel,larch on oak,9200,2800,1951,new@harbour.example,,\n"
    "Rissa,clinker,,5400,1900,,,manager:grete,2026-10-31\n"
)
PARTS = "boat,class,name,position,species,finish\nterna,mast_step,Mast step,,oak,\n"


@pytest.fixture
def manager() -> Member:
    made: Member = MemberFactory.create(user__username="grete")
    ComponentClassFactory.create(yard=made.yard, code="mast_step")
    return made


def read(*files: str) -> list[Grid]:
    return [grid for number, text in enumerate(files) for grid in grids_read(f"{number}.csv", text.encode())]


def planned(yard: Yard, *files: str) -> Plan:
    return fleet_plan(tables_read(read(*files)), fleet_stored(yard))


def taken(yard: Yard, *files: str) -> Plan:
    return fleet_take(yard=yard, tables=tables_read(read(*files)), digest=planned(yard, *files).digest, at=SPRING)


def fates(plan: Plan) -> list[tuple[int, str]]:
    return [(row.number, row.fate) for row in plan.rows]


def refusals(plan: Plan) -> list[tuple[str, str, str]]:
    return [(one.cell, one.column, one.problem) for row in plan.rows for one in row.refusals]


@pytest.mark.both_databases
def test_a_fleet_is_taken_in_whole_and_a_second_time_changes_nothing(manager: Member) -> None:
    plan = taken(manager.yard, BOATS, OWNERS, PARTS)
    assert fates(plan) == [(2, "new"), (2, "new"), (3, "new"), (2, "new")]
    terna, rissa = Boat.objects.order_by("-name")
    owner = Owner.objects.get()
    assert (owner.name, owner.phone, owner.locale) == ("Nils Ø", "+45 12 34 56", "da")
    assert (terna.loa_mm, terna.beam_mm, terna.year, terna.decider) == (9200, 2800, 1951, owner)
    assert (rissa.decider, rissa.left_on, list(rissa.owners.all())) == (manager, date(2026, 10, 31), [])
    assert str(Component.objects.get(boat=terna)) == "Mast step"
    again = fleet_take(
        yard=manager.yard, tables=tables_read(read(BOATS, OWNERS, PARTS)), digest=plan.digest, at=SPRING
    )
    assert {row.fate for row in again.rows} == {"unchanged"}
    # who took it in is told once: what is new by its number, what was changed by itself
    whole = Deed.objects.get(kind=DeedKind.FLEET_TAKEN_IN)
    assert (whole.told, whole.at) == ("1 owner new, 2 boats new, 1 part new", SPRING)
    taken(manager.yard, BOATS.replace("9200", "9300"), OWNERS)
    told = Deed.objects.filter(kind=DeedKind.BOAT_CHANGED).values_list("told", flat=True)
    assert told.first() == "Terna: length over all in mm 9200 to 9300"


@pytest.mark.both_databases
def test_what_is_exported_is_read_back_unchanged_from_both_kinds_of_file(manager: Member) -> None:
    yard = manager.yard
    first = OwnerFactory.create(yard=yard, name="=Anna", phone="+49 (30) 1-2", email='"a;b"@harbour.example')
    other = OwnerFactory.create(yard=yard, name="'=meant")
    boat = BoatFactory.create(yard=yard, name="-40 °C", decider_owner=other, left_on=date(2026, 9, 1))
    boat.owners.add(first)
    BoatFactory.create(yard=yard, name="@home", decider_owner=None, decider_member=manager)
    ComponentFactory.create(boat=boat, name="Rudder", position="=aft", species="", finish="@varnish")
    BoatFactory.create(name="Another yard's")
    rows = fleet_of(Boat.objects.of_yard(yard))
    assert [len(rows[name]) for name in KINDS] == [2, 2, 1]
    sheets = [sheet_csv(KINDS[name], rows[name]) for name in KINDS]
    workbook = grids_read("fleet.xlsx", fleet_xlsx(rows))
    for grids in (read(*sheets), workbook):
        plan = fleet_plan(tables_read(grids), fleet_stored(yard))
        assert [(row.fate, row.changes, row.refusals) for row in plan.rows] == [("unchanged", (), ())] * 5
    assert "'=Anna" in sheets[0]
    assert "''=meant" in sheets[0]


@pytest.mark.both_databases
def test_changes_are_told_cell_by_cell_and_columns_left_out_stay(manager: Member) -> None:
    taken(manager.yard, BOATS, OWNERS, PARTS)
    boats = "name;year;material;owners\nTERNA;1952;;NEW@harbour.example\nRissa;;;new@harbour.example\n"
    parts = "boat,class,name,finish\nTerna,mast_step,Mast step,oil\n"
    plan = taken(manager.yard, boats, parts, "email,name,locale\nNew@Harbour.example,Nils,\n")
    assert [[(each.column, each.before, each.after) for each in row.changes] for row in plan.rows] == [
        [("name", "Nils Ø", "Nils")],
        [("material", "larch on oak", ""), ("year", "1951", "1952")],
        [("owners", "", "new@harbour.example")],
        [("finish", "", "oil")],
    ]
    terna, rissa = Boat.objects.order_by("-name")
    assert (terna.name, terna.year, terna.material, terna.loa_mm) == ("Terna", 1952, "", 9200)
    assert (rissa.decider, rissa.left_on, rissa.owners.get().name) == (manager, date(2026, 10, 31), "Nils")
    assert (Component.objects.get().finish, Component.objects.get().species) == ("oil", "oak")


def test_every_cell_that_cant_be_taken_in_is_named_and_stops_all(manager: Member) -> None:
    yard = manager.yard
    TechnicianFactory.create(yard=yard, user__username="hand")
    boat = BoatFactory.create(yard=yard, name="Skua")
    ComponentFactory.create(boat=boat, name="Rudder", position="", removed_on=date(2026, 1, 1))
    stranger = OwnerFactory.create(email="stranger@harbour.example")
    owners = "email,name\nnobody,Nils\nb@c.example,\nb@C.example,Berit\n"
    became = f"is {Component.objects.get().component_class.code} until now, and a part can't become another"
    boats = (
        "name,build,loa_mm,beam_mm,owners,decider\n"
        "A,raft,1000,2000,b@c.example,\n"
        f"B,carvel,8000,9000,{stranger.email},\n"
        "C,carvel,8000,2000,,manager:hand\n"
        "a,carvel,8000,2000,,\n"
        "Skua,carvel,8000,2000,,\n"
    )
    parts = "boat,class,name\nNowhere,mast_step,x\nSkua,sail,y\nskua,mast_step,Rudder\n"
    plan = planned(
        yard,
        owners,
        boats,
        parts,
    )
    assert refusals(plan) == [
        ("A2", "email", "is no e-mail address: 'nobody'"),
        ("B3", "name", "is empty"),
        ("A4", "email", "stands in row 3 already"),
        ("B2", "build", "is not known: 'raft'"),
        ("C2", "loa_mm", "is 1000 mm"),
        ("D2", "beam_mm", "is not less than the length"),
        ("D3", "beam_mm", "is not less than the length"),
        ("E3", "owners", "stranger@harbour.example: no owner of this yard"),
        ("F4", "decider", "is no manager of this yard: 'hand'"),
        ("A5", "name", "stands in row 2 already"),
        ("F5", "decider", "is missing, and she has not one owner alone"),
        ("F6", "decider", f"{boat.owners.get().email} is not among her owners"),
        ("A2", "boat", "is none of this yard"),
        ("B3", "class", "is no class of this yard: 'sail'"),
        ("B4", "class", became),
        ("C4", "name", "was taken off her"),
    ]  # fmt: skip
    before = Boat.objects.count()
    with pytest.raises(Refused, match="11 rows can't be taken in"):
        fleet_take(yard=yard, tables=tables_read(read(owners, boats, parts)), digest=plan.digest, at=SPRING)
    assert Boat.objects.count() == before
    assert refusals(planned(yard, "name\nTern\n"))[:3] == [
        ("row 2", "build", "is missing for a new one"),
        ("row 2", "loa_mm", "is missing for a new one"),
        ("row 2", "beam_mm", "is missing for a new one"),
    ]


@pytest.mark.both_databases
def test_what_has_changed_since_it_was_shown_is_not_taken_in(manager: Member) -> None:
    taken(manager.yard, BOATS, OWNERS)
    tables = tables_read(read("name,year\nTerna,1960\n"))
    shown = fleet_plan(tables, fleet_stored(manager.yard)).digest
    Boat.objects.filter(name="Terna").update(year=1955)
    with pytest.raises(Refused, match="changed since"):
        fleet_take(yard=manager.yard, tables=tables, digest=shown, at=SPRING)
    assert Boat.objects.get(name="Terna").year == 1955
    Boat.objects.filter(name="Terna").update(material="teak")  # which no cell speaks of
    fleet_take(
        yard=manager.yard, tables=tables, digest=fleet_plan(tables, fleet_stored(manager.yard)).digest, at=SPRING
    )


@pytest.mark.both_databases
def test_nothing_is_half_done_when_a_service_refuses(manager: Member, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(**_: Any) -> None:
        raise Refused("name", "is taken", "take another")

    monkeypatch.setattr("yard.services.fleet_taking.component_add", refuse)
    with pytest.raises(Refused, match=r"2, row 2\.name: is taken"):
        taken(manager.yard, BOATS, OWNERS, PARTS)
    assert not Boat.objects.exists()
    assert not Owner.objects.exists()


def test_another_yards_boats_are_neither_matched_nor_written_out(manager: Member) -> None:
    elsewhere = BoatFactory.create(name="Terna")
    assert fates(planned(manager.yard, BOATS, OWNERS)) == [(2, "new"), (2, "new"), (3, "new")]
    taken(manager.yard, BOATS, OWNERS)
    elsewhere.refresh_from_db()
    assert elsewhere.yard != manager.yard
    assert [row["name"] for row in fleet_of(Boat.objects.of_yard(manager.yard))["boats"]] == ["Rissa", "Terna"]


def test_looking_through_asks_as_often_for_three_boats_as_for_thirty(manager: Member) -> None:
    def grow(boats: int) -> None:
        while Boat.objects.count() < boats:
            ComponentFactory.create(boat=BoatFactory.create(yard=manager.yard))

    assert_same_queries(lambda: fleet_stored(manager.yard), grow, to=(3, 30))
    assert_same_queries(lambda: fleet_of(Boat.objects.of_yard(manager.yard)), grow, to=(3, 30))
