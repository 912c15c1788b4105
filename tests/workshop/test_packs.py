"""The cheapest whole packs. Examples are worked by hand; the rest is held against trying every combination."""

from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workshop.estimating.packs import PackSize, cheapest_packs
from yard.refusals import Refused

D = Decimal
CARTRIDGE = PackSize(D(290), D("16.00"), "cartridge", "cartridges")
TINS = (PackSize(D(375), D("19.00")), PackSize(D(1000), D("42.00")), PackSize(D(2500), D("95.00")))


def bought(amount: str, sizes: tuple[PackSize, ...]) -> list[tuple[int, str]]:
    return [(each.count, str(each.pack.size)) for each in cheapest_packs(D(amount), sizes).packs]


@pytest.mark.parametrize(
    ("amount", "sizes", "packs"),
    [
        pytest.param("0", (CARTRIDGE,), [], id="nothing"),
        pytest.param("290", (CARTRIDGE,), [(1, "290")], id="exactly one"),
        pytest.param("290.01", (CARTRIDGE,), [(2, "290")], id="a little over"),
        # 375: 19, two of them 38, a litre 42
        pytest.param("700", TINS, [(2, "375")], id="two small ones"),
        # three small ones 57, a litre 42
        pytest.param("800", TINS, [(1, "1000")], id="one larger one"),
        # a litre and a small one 61, two litres 84
        pytest.param("1300", TINS, [(1, "1000"), (1, "375")], id="one of each"),
        # two litres and a small one 103, the large one 95
        pytest.param("2300", TINS, [(1, "2500")], id="the large one though it holds more"),
        # both ways cost 20; two of 5 leave nothing over
        pytest.param("10", (PackSize(D(5), D(10)), PackSize(D(12), D(20))), [(2, "5")], id="least left over"),
        # both ways cost 20 and leave nothing over
        pytest.param("10", (PackSize(D(5), D(10)), PackSize(D(10), D(20))), [(1, "10")], id="fewest"),
        pytest.param("3", (PackSize(D(2), D(0)), PackSize(D(3), D(1))), [(2, "2")], id="given away"),
    ],
)
def test_the_cheapest_packs(amount: str, sizes: tuple[PackSize, ...], packs: list[tuple[int, str]]) -> None:
    assert bought(amount, sizes) == packs


offers = st.lists(
    st.builds(PackSize, st.decimals("0.5", 12, places=1), st.decimals(0, 30, places=2)),
    min_size=1,
    max_size=3,
    unique_by=lambda pack: pack.size,
)


@given(st.decimals(0, 20, places=2), offers)
@settings(deadline=None, max_examples=60)
def test_trying_every_combination_finds_nothing_better(amount: Decimal, sizes: list[PackSize]) -> None:
    answer = cheapest_packs(amount, sizes)
    best = min(
        (price, left, sum(counts))
        for counts in product(*(range(int(amount / pack.size) + 2) for pack in sizes))
        if (left := sum((n * pack.size for n, pack in zip(counts, sizes, strict=True)), D(0)) - amount) >= 0
        for price in [sum((n * pack.price for n, pack in zip(counts, sizes, strict=True)), D(0))]
    )
    assert (answer.price, answer.left_over, sum(each.count for each in answer.packs)) == best
    assert answer.quantity == amount + answer.left_over
    assert cheapest_packs(amount, sizes[::-1]) == answer


def test_much_in_small_packs_is_found_at_once() -> None:
    sizes = (PackSize(D(1), D("0.20")), PackSize(D(100), D("15.00")), PackSize(D(250), D("34.99")))
    # 250 at 34.99 is the cheapest a piece: 39 of them hold 9750; 100 more at 15.00, and 37 singly are 7.40
    answer = cheapest_packs(D(9887), sizes)
    assert bought("9887", sizes) == [(39, "250"), (1, "100"), (37, "1")]
    assert (answer.price, answer.left_over) == (D("1387.01"), D(0))


@pytest.mark.parametrize(
    ("amount", "sizes", "field"),
    [
        pytest.param(D(1), (), "sizes", id="no size"),
        pytest.param(D(1), (CARTRIDGE, CARTRIDGE), "sizes", id="one twice"),
        pytest.param(D(-1), (CARTRIDGE,), "amount", id="less than nothing"),
        pytest.param(D("NaN"), (CARTRIDGE,), "amount", id="no number"),
        pytest.param(300, (CARTRIDGE,), "amount", id="no decimal"),
        pytest.param("two tins", (CARTRIDGE,), "amount", id="prose"),
        pytest.param(D(290_001), (CARTRIDGE,), "amount", id="a lorry of them"),
    ],
)
def test_what_can_not_be_packed_is_refused(amount: Decimal, sizes: tuple[PackSize, ...], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        cheapest_packs(amount, sizes)
    assert refusal.value.field == field


@pytest.mark.parametrize(
    ("size", "price", "field"),
    [
        (D(0), D(1), "size"),
        ("a cartridge", D(1), "size"),
        (D("0.00001"), D(1), "size"),
        (D(100_001), D(1), "size"),
        (D(1), D(-1), "price"),
        (D(1), "dear", "price"),
    ],
)
def test_a_pack_without_numbers_is_refused(size: Decimal, price: Decimal, field: str) -> None:
    with pytest.raises(Refused) as refusal:
        PackSize(size, price)
    assert refusal.value.field == field
