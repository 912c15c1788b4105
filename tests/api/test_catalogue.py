"""The yard's own catalogue, by codes."""

from datetime import UTC, datetime
from typing import Any

import pytest

from tests.api.callers import Caller, fields_of, problem_of
from tests.factories import YardFactory
from tests.reference.catalogue_files import table
from workshop.services.new_yard import catalogue_load
from yard.models import Deed, VatClass, Yard


@pytest.fixture
def _stocked(yard: Yard) -> None:
    catalogue_load(yard=yard, at=datetime(2027, 1, 4, 8, 0, tzinfo=UTC))


@pytest.mark.usefixtures("_stocked")
@pytest.mark.parametrize(
    ("address", "name", "column"),
    [
        ("component-classes/", "component_classes", "class_code"),
        ("signs/", "signs", "sign_code"),
        ("treatments/", "treatments", "treatment_code"),
    ],
)
def test_the_codes_are_those_of_the_trade_tables(technician: Caller, address: str, name: str, column: str) -> None:
    codes = {row[column] for row in table(name)}
    shown = {row["code"] for row in technician.results(f"{address}?page_size=200")}
    assert codes
    assert codes <= shown


@pytest.mark.usefixtures("_stocked")
@pytest.mark.parametrize("address", ["component-classes/", "signs/", "treatments/", "materials/", "cautions/"])
def test_a_row_is_found_by_its_code_in_the_own_yard_only(
    technician: Caller, stranger: Caller, nobody: Caller, address: str
) -> None:
    row = technician.results(address)[0]
    one = technician.get(f"{address}{row['code']}/")
    assert one.json() == row
    assert stranger.results(address) == []
    problem_of(stranger.get(f"{address}{row['code']}/"), 404)
    problem_of(nobody.get(address), 401)
    problem_of(technician.get(f"{address}NO_SUCH_CODE/"), 404)
    problem_of(technician.post(address, {}), 405)
    assert technician.get(f"{address}{row['code']}/", If_None_Match=one["ETag"]).status_code == 304


@pytest.mark.usefixtures("_stocked")
def test_the_catalogue_is_searched(technician: Caller) -> None:
    assert {row["safety_role"] for row in technician.results("component-classes/?safety_role=rig")} == {"rig"}
    names = [row["name"] for row in technician.results("signs/?name=crack")]
    assert names
    assert all("crack" in name.lower() for name in names)


@pytest.mark.usefixtures("_stocked")
def test_pages_of_the_catalogue_hold_each_row_once(technician: Caller) -> None:
    seen: list[str] = []
    address: str | None = "/api/v1/treatments/?page_size=7"
    pages = 0
    while address is not None:
        page = technician.get(address).json()
        seen += [row["code"] for row in page["results"]]
        address = page["next"]
        pages += 1
    assert pages > 2
    assert seen == sorted(seen)
    assert len(seen) == len(set(seen)) == len(technician.results("treatments/?page_size=200"))


@pytest.mark.usefixtures("_stocked")
@pytest.mark.both_databases
def test_the_price_list_takes_packs_and_a_class_of_vat(manager: Caller, technician: Caller, yard: Yard) -> None:
    reduced = {"yard": yard, "code": "reduced", "name": "Reduced", "category": "S"}
    VatClass.objects.create(**reduced)
    VatClass.objects.create(**{**reduced, "yard": YardFactory.create(), "code": "theirs"})
    address = "materials/plank_stock/"
    length = {"name": "length", "plural": "lengths", "size": "4.200", "price": "61.50"}
    given = {"vat_class": "reduced", "unit_price": "14.25", "charged_by": "pack", "packs": [length]}
    shown = manager.change(address, given).json()
    assert {name: shown[name] for name in given} == {**given, "unit_price": "14.2500"}
    assert technician.get(address).json() == shown
    told = Deed.objects.get(told__startswith="material Plank stock").told
    assert "reduced" in told
    assert "length of 4.2 m at 61.50" in told

    def refused(**changes: Any) -> set[str]:
        return fields_of(manager.change(address, changes), 422)

    assert refused(packs=[]) == {"charged_by"}
    assert refused(packs=[length, length]) == {"packs.1.size"}
    assert manager.change(address, {"vat_class": "theirs"}).status_code == 400
    assert manager.change(address, {"packs": [{"size": "0", "price": "1"}]}).status_code == 400
    assert technician.get(address).json() == shown
    assert manager.change(address, {"vat_class": None}).json()["vat_class"] is None
    problem_of(technician.patch(address, given, If_Match='"x"'), 403)
