"""Classes of VAT: which rate holds on a day, and what a class can't be."""

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import pytest

from tests.factories import YardFactory
from tests.factories.yard import CREATED
from yard.models import VatClass, Yard
from yard.refusals import Refused
from yard.selectors import vat_rates_on
from yard.services.changes import yard_change
from yard.services.vat import vat_class_set

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

SPRING = date(2027, 4, 1)
AT = datetime(2027, 4, 1, 8, tzinfo=UTC)
SUMMER = date(2027, 7, 1)
GOOD: dict[str, Any] = {"name": "Standard", "category": "S", "rate_pct": Decimal(25), "valid_from": SPRING}


@pytest.fixture
def yard() -> Yard:
    """Its own rate is 25 %."""
    return YardFactory.create()


def test_a_rate_holds_from_its_day_until_the_next_begins(yard: Yard) -> None:
    for valid_from, rate in ((SUMMER, "26.50"), (SPRING, "24.00")):
        vat_class_set(
            yard=yard,
            code="standard",
            for_work=True,
            **{**GOOD, "rate_pct": Decimal(rate), "valid_from": valid_from},
            at=AT,
        )
    days = (date(2027, 3, 31), SPRING, date(2027, 6, 30), SUMMER)
    # before its first day the yard's own rate holds
    assert [str(vat_rates_on(yard, day).work) for day in days] == ["25.00", "24.00", "24.00", "26.50"]


def test_a_material_goes_by_its_class_and_by_the_work_while_that_has_not_begun(yard: Yard) -> None:
    reduced = vat_class_set(yard=yard, code="reduced", at=AT, **{**GOOD, "rate_pct": Decimal(12)})
    free = vat_class_set(yard=yard, code="zero", at=AT, **{**GOOD, "category": "Z", "rate_pct": Decimal(0)})
    vat_class_set(
        yard=YardFactory.create(), code="standard", for_work=True, at=AT, **{**GOOD, "rate_pct": Decimal(7)}
    )
    now, before = vat_rates_on(yard, SPRING), vat_rates_on(yard, date(2027, 3, 31))
    assert [now.of(each) for each in (None, reduced.pk, free.pk)] == [Decimal(25), Decimal(12), Decimal(0)]
    assert before.of(reduced.pk) == Decimal(25)


def test_entering_it_again_has_the_effect_of_once_and_one_class_is_for_work(yard: Yard) -> None:
    for _ in range(2):
        vat_class_set(yard=yard, code="standard", for_work=True, at=AT, **GOOD)
    vat_class_set(yard=yard, code="other", for_work=True, at=AT, **{**GOOD, "rate_pct": Decimal(20)})
    assert list(VatClass.objects.values_list("code", "for_work")) == [("other", True), ("standard", False)]
    assert vat_rates_on(yard, SPRING).work == Decimal(20)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"category": "AA"}, "category"),
        ({"category": "Z"}, "rate_pct"),
        ({"rate_pct": Decimal(0)}, "rate_pct"),
        ({"rate_pct": Decimal("100.01")}, "rate_pct"),
        ({"rate_pct": Decimal("7.125")}, "rate_pct"),
        ({"rate_pct": "a quarter"}, "rate_pct"),
        ({"name": " "}, "name"),
    ],
)
def test_what_a_class_can_not_be_is_refused_by_name(yard: Yard, change: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        vat_class_set(yard=yard, code="standard", at=AT, **{**GOOD, **change})
    assert refusal.value.field == field
    assert not VatClass.objects.exists()


def test_the_yards_own_rate_is_not_changed_where_a_class_tells_it(yard: Yard) -> None:
    vat_class_set(yard=yard, code="standard", for_work=True, at=AT, **GOOD)
    yard_change(yard=yard, changes={"vat_rate_pct": Decimal(25), "name": "Skerry Reach"}, at=CREATED)
    with pytest.raises(Refused) as refusal:
        yard_change(yard=yard, changes={"vat_rate_pct": Decimal(20)}, at=CREATED)
    assert refusal.value.field == "vat_rate_pct"
