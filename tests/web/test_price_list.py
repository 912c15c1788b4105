"""The price list on the office's pages."""

from __future__ import annotations

from typing import Any

import pytest

from tests.factories import MemberFactory
from tests.factories.workshop import MaterialFactory
from tests.web.visitor import Visitor
from workshop.models import Material, MaterialPack
from yard.models import Deed, Member, VatClass

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager() -> Member:
    made: Member = MemberFactory.create()
    return made


@pytest.fixture
def sealant(manager: Member) -> Material:
    made: Material = MaterialFactory.create(
        yard=manager.yard, code="SEALANT", name="Flexible sealant", unit="ml", unit_price="0.0450"
    )
    MaterialPack.objects.create(
        yard=manager.yard, material=made, name="cartridge", plural="cartridges", size=290, price="11.60"
    )
    MaterialFactory.create(yard=manager.yard, code="RAGS", name="=Rags", unit="pcs", unit_price="0.2")
    MaterialFactory.create(name="Somebody else's")
    return made


@pytest.fixture
def office(manager: Member) -> Visitor:
    return Visitor(manager)


def rows(*packs: tuple[str, str, str, str], shown: int = 1) -> dict[str, Any]:
    """Rows of packs as the page sends them."""
    fields: dict[str, Any] = {"packs-TOTAL_FORMS": len(packs), "packs-INITIAL_FORMS": shown}
    for at, pack in enumerate(packs):
        names = [f"packs-{at}-{name}" for name in ("name", "plural", "size", "price")]
        fields |= dict(zip(names, pack, strict=True))
    return fields


CARTRIDGE = ("cartridge", "cartridges", "290", "11.60")
EMPTY = ("", "", "", "")


def test_it_is_narrowed_sorted_and_taken_along(office: Visitor, sealant: Material) -> None:
    page = office.page("/settings/prices/")
    assert "2 materials." in page
    assert "0.045 EUR per ml" in page
    assert "cartridge of 290 ml at €11.60" in page
    assert "Somebody else" not in page
    assert "1 material." in office.page("/settings/prices/", text="flex", vat="nonsense", order="nonsense")
    dearest = office.sheet("/settings/prices/list.csv", order="price")
    assert [row["material"] for row in dearest] == ["'=Rags", "Flexible sealant"]
    assert dearest[1]["packs"] == "cartridge of 290 ml at 11.60"


def test_a_material_is_changed_with_its_packs(office: Visitor, sealant: Material, manager: Member) -> None:
    reduced = VatClass.objects.create(yard=manager.yard, code="goods", name="Goods", category="S")
    there = f"/settings/prices/{sealant.pk}/"
    foil = ("foil", "foils", "600", "19,50")
    told = office.after(
        there, unit_price="0,05", charged_by="pack", vat_class=reduced.pk, **rows(CARTRIDGE, foil, EMPTY)
    )
    assert "Flexible sealant is kept." in told
    assert "foil of 600 ml at €19.50" in told
    sealant.refresh_from_db()
    assert (str(sealant.unit_price), sealant.charged_by, sealant.vat_class) == ("0.0500", "pack", reduced)
    assert "0.05" in Deed.objects.get(by=manager).told
    office.after(there, unit_price="0.05", charged_by="amount", vat_class="", **rows(EMPTY, foil, shown=2))
    assert [str(pack) for pack in sealant.packs.all()] == ["foil of 600 ml"]


def test_what_can_not_be_is_refused_in_its_row(office: Visitor, sealant: Material) -> None:
    there = f"/settings/prices/{sealant.pk}/"
    twice = office.refused(there, unit_price="-1", charged_by="amount", **rows(CARTRIDGE, EMPTY, CARTRIDGE))
    assert "Net price of a unit" in twice
    assert 'id="id_packs-2-size_error"' in twice
    assert 'id="id_packs-1-size_error"' not in twice
    assert "is missing" in office.refused(there, unit_price="", charged_by="amount", **rows(CARTRIDGE))
    none = office.refused(there, unit_price="1", charged_by="pack", **rows(EMPTY))
    assert "there is no size" in none
    assert "is no figure" in office.refused(there, unit_price="1", charged_by="pack", **rows(("", "", "x", "1")))
    assert office.post(there, unit_price="1", charged_by="amount").status_code == 422
    assert sealant.packs.get().name == "cartridge"


def test_a_colleagues_change_is_not_written_over_unseen(
    office: Visitor, sealant: Material, manager: Member
) -> None:
    there = f"/settings/prices/{sealant.pk}/"
    seen = office.page(there).split('name="seen" value="')[1].split('"')[0].replace("&quot;", '"')
    mine = {"unit_price": "0.06", "charged_by": "amount", "seen": seen, **rows(CARTRIDGE)}
    other: Member = MemberFactory.create(yard=manager.yard, name="Dagny")
    Visitor(other).after(there, **{**mine, "unit_price": "0.07"})
    refused = office.refused(there, **mine)
    assert "was changed by Dagny since this page was opened: 0.07 EUR per ml" in refused
    again = refused.split('name="seen" value="')[1].split('"')[0].replace("&quot;", '"')
    office.after(there, **{**mine, "seen": again})
    sealant.refresh_from_db()
    assert str(sealant.unit_price) == "0.0600"
