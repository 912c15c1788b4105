from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workshop.estimating.quantities import material_need
from yard.refusals import Refused

amounts = st.decimals(0, 10_000, places=4)


@pytest.mark.parametrize(
    ("per_unit", "units", "waste_pct", "need"),
    [
        ("20", "3", "0", "60"),
        ("20", "2.5", "10", "55"),
        ("0.02", "0.35", "15", "0.00805"),
        ("0", "3", "50", "0"),
    ],
)
def test_a_need_is_quantity_times_units_and_what_is_wasted(
    per_unit: str, units: str, waste_pct: str, need: str
) -> None:
    assert material_need(Decimal(per_unit), Decimal(units), Decimal(waste_pct)) == Decimal(need)


@given(amounts, amounts, st.decimals(0, 300, places=2))
@settings(deadline=None)
def test_a_need_is_exact(per_unit: Decimal, units: Decimal, waste_pct: Decimal) -> None:
    need = material_need(per_unit, units, waste_pct)
    as_fraction = per_unit.as_integer_ratio()
    numerator, denominator = as_fraction
    for factor in (units, 1 + waste_pct / 100):
        over, under = factor.as_integer_ratio()
        numerator, denominator = numerator * over, denominator * under
    over, under = need.as_integer_ratio()
    assert over * denominator == numerator * under


@pytest.mark.parametrize(
    ("per_unit", "units", "waste_pct", "field"),
    [
        (Decimal(-1), Decimal(1), Decimal(0), "quantity_per_unit"),
        (Decimal(1), Decimal("NaN"), Decimal(0), "units"),
        (Decimal(1), Decimal(1_000_001), Decimal(0), "units"),
        (Decimal(1), Decimal(1), Decimal(301), "waste_pct"),
        (0.5, Decimal(1), Decimal(0), "quantity_per_unit"),
        ("a tin", Decimal(1), Decimal(0), "quantity_per_unit"),
    ],
)
def test_quantities_that_make_no_sense_are_refused_by_name(
    per_unit: Decimal, units: Decimal, waste_pct: Decimal, field: str
) -> None:
    with pytest.raises(Refused) as refusal:
        material_need(per_unit, units, waste_pct)
    assert refusal.value.field == field
