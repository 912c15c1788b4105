from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workshop.estimating.quantities import Packs, material_need, packs_for
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
    ("needs", "pack_size", "packs"),
    [
        pytest.param(["310"], "310", (1, "310", "0"), id="exactly one cartridge"),
        pytest.param(["310.1"], "310", (2, "620", "309.9"), id="a little over"),
        pytest.param(["100", "150"], "310", (1, "310", "60"), id="two jobs share a cartridge"),
        pytest.param([], "310", (0, "0", "0"), id="nothing"),
        pytest.param(["0"], "310", (0, "0", "0"), id="none"),
        pytest.param(["0.7"], "0.75", (1, "0.75", "0.05"), id="a tin"),
    ],
)
def test_packs_are_whole_and_shared(needs: list[str], pack_size: str, packs: tuple[int, str, str]) -> None:
    count, quantity, left_over = packs
    bought = packs_for([Decimal(need) for need in needs], Decimal(pack_size))
    assert bought == Packs(count, Decimal(quantity), Decimal(left_over))


@given(st.lists(amounts, max_size=10), st.decimals("0.001", 1000, places=3))
@settings(deadline=None)
def test_packs_cover_the_needs_with_less_than_one_to_spare(needs: list[Decimal], pack_size: Decimal) -> None:
    bought = packs_for(needs, pack_size)
    assert bought.quantity == bought.count * pack_size
    assert bought.quantity - sum(needs, Decimal(0)) == bought.left_over
    assert 0 <= bought.left_over < pack_size


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


@pytest.mark.parametrize("pack_size", [Decimal(0), Decimal(-1), Decimal("Infinity")])
def test_a_pack_that_holds_nothing_is_refused(pack_size: Decimal) -> None:
    with pytest.raises(Refused) as refusal:
        packs_for([Decimal(1)], pack_size)
    assert refusal.value.field == "pack_size"
