"""Which findings become one job, and how much work they are."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.estimating.job_building import LEAST_LENGTH_M, Opening, opening_keys, quantity_of
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


def test_components_with_a_shared_step_go_together_and_others_do_not() -> None:
    keys = opening_keys(
        [
            Opening("mast step", "sole"),
            Opening("keel bolt", "sole"),
            Opening("window", "lining"),
            Opening("tiller", ""),
        ]
    )
    assert keys == {"mast step": "sole", "keel bolt": "sole", "window": "lining"}


def test_a_component_that_shares_two_openings_joins_them() -> None:
    keys = opening_keys(
        [Opening(1, "sole"), Opening(2, "sole"), Opening(2, "engine hatch"), Opening(3, "engine hatch")]
    )
    assert keys == {1: "engine hatch", 2: "engine hatch", 3: "engine hatch"}


@given(
    st.lists(st.tuples(st.integers(0, 8), st.sampled_from(["", "a", "b", "c", "d", "e"])), max_size=20),
    st.randoms(),
)
def test_keys_depend_on_no_order(pairs: list[tuple[int, str]], random: object) -> None:
    openings = [Opening(component, shares) for component, shares in pairs]
    shuffled = list(openings)
    random.shuffle(shuffled)  # type: ignore[attr-defined]  # hypothesis gives a random.Random
    keys = opening_keys(openings)
    assert opening_keys(shuffled) == keys
    # whoever shares a step shares the key
    for one in openings:
        for other in openings:
            if one.shares and one.shares == other.shares:
                assert keys[one.component] == keys[other.component]
