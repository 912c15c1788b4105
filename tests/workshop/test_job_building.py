"""Which findings become one job, and how much work they are."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.estimating.job_building import LEAST_LENGTH_M, Opening, quantity_of, shared_opening
from yard.refusals import Refused


@pytest.mark.parametrize(
    ("unit", "size_mm", "quantity"),
    [
        pytest.param("m", "1250", "1.25", id="millimetres become metres"),
        pytest.param("m", "1250.5", "1.26", id="rounded up to the centimetre"),
        pytest.param("m", "84", "0.25", id="a short one is a quarter of a metre"),
        pytest.param("m", "0", "0.25", id="so is one of no length"),
        pytest.param("m", "250", "0.25", id="exactly the least"),
        pytest.param("m", None, "1", id="not measured"),
        pytest.param("fitting", "1250", "1", id="a piece is a piece"),
        pytest.param("m2", "1250", "1", id="a length says nothing of an area"),
    ],
)
def test_quantity_follows_the_size_where_the_work_is_counted_by_length(
    unit: str, size_mm: str | None, quantity: str
) -> None:
    size = None if size_mm is None else Decimal(size_mm)
    assert quantity_of(unit, size) == Decimal(quantity)


@given(st.decimals(0, 100_000, places=1))
def test_quantity_by_length_is_never_less_than_what_was_measured(size_mm: Decimal) -> None:
    quantity = quantity_of("m", size_mm)
    assert quantity >= max(size_mm / 1000, LEAST_LENGTH_M)
    assert quantity - max(size_mm / 1000, LEAST_LENGTH_M) < Decimal("0.01")


@pytest.mark.parametrize("size_mm", ["-1", "100000.1"])
def test_impossible_sizes_are_refused(size_mm: str) -> None:
    with pytest.raises(Refused) as refused:
        quantity_of("m", Decimal(size_mm))
    assert refused.value.field == "size_mm"


WASH = Opening("wash", takes_off=False, shares="deck_wash")
SOLE = Opening("sole", takes_off=True, shares="cabin_sole")
TANK = Opening("tank", takes_off=True, shares="tank")
BUNGS = Opening("bungs", takes_off=True)


@pytest.mark.parametrize(
    ("after", "shared"),
    [
        pytest.param(["sole"], "cabin_sole", id="what comes off"),
        pytest.param(["wash", "sole"], "cabin_sole", id="cleaning is no opening up"),
        pytest.param(["tank", "sole"], "cabin_sole", id="the first in the order of the work"),
        pytest.param(["wash"], "", id="only cleaned"),
        pytest.param(["bungs"], "", id="nobody else needs it off"),
        pytest.param([], "", id="in the open"),
    ],
)
def test_places_go_together_by_what_comes_off_before_them(after: list[str], shared: str) -> None:
    assert shared_opening([WASH, SOLE, TANK, BUNGS], after) == shared
