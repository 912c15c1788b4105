"""What a job costs. The figures of the examples are worked by hand in the comments."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.estimating.hours import ThreePoint, sum_of
from workshop.estimating.packs import PackSize
from workshop.pricing.job_price import (
    MaterialPrice,
    MaterialUse,
    OperationCost,
    PriceList,
    job_hours,
    job_price,
    totals_of,
)
from workshop.pricing.together import Saving, saving_together
from yard.refusals import Refused

D = Decimal


def three(low: str, likely: str, high: str) -> ThreePoint:
    return ThreePoint(D(low), D(likely), D(high))


def work(
    hours: ThreePoint,
    treatment: str = "REBED",
    trade: str = "shipwright",
    setup: str = "0",
    quantity: str = "1",
    uses: dict[str, str] | None = None,
    once: bool = False,
) -> OperationCost:
    materials = tuple(MaterialUse(code, D(likely)) for code, likely in (uses or {}).items())
    return OperationCost(treatment, trade, hours, D(setup), D(quantity), materials, once)


def prices(**rates: str) -> PriceList:
    return PriceList(
        currency="EUR",
        labour_vat_rate_pct=D("25"),
        hourly_rates={trade: D(rate) for trade, rate in (rates or {"shipwright": "62.00"}).items()},
        materials={
            "sealant": MaterialPrice("sealant", "Sealant", "ml", D("0.0550"), D("10"), None, D("25")),
            "cartridges": MaterialPrice(
                "cartridges",
                "Sealant",
                "ml",
                D("0.0550"),
                D("0"),
                D("50"),
                D("25"),
                (PackSize(D(290), D("16.00"), "cartridge", "cartridges"), PackSize(D(600), D("29.00"))),
                True,
            ),
            "loose": MaterialPrice("loose", "Kit", "g", D("0.05"), D("0"), None, D("25"), (), True),
            "epoxy": MaterialPrice("epoxy", "Epoxy", "g", D("0.035"), D("0"), D("50"), D("25")),
            "book": MaterialPrice("book", "Manual", "pcs", D("12.00"), D("0"), None, D("5")),
        },
    )


def test_labour_is_the_told_hours_times_the_rate() -> None:
    price = job_price([work(three("2", "2", "2"), setup="0.5")], prices())
    # 2 h + 0.5 h, nothing uncertain; 2.5 × 62.00 = 155.00
    assert (price.hours_likely, price.hours_ceiling, price.net_labour) == (D("2.5"), D("2.5"), D("155.00"))


def test_materials_carry_their_waste() -> None:
    price = job_price([work(three("1", "1", "1"), quantity="3", uses={"sealant": "40"})], prices())
    # 40 ml × 3 + 10 % = 132 ml; 132 × 0.0550 = 7.26
    (line,) = price.materials
    assert (line.quantity, line.net, price.net) == (D("132.00"), D("7.26"), D("69.26"))


def test_no_less_is_mixed_than_is_worth_mixing() -> None:
    price = job_price([work(three("1", "1", "1"), uses={"epoxy": "20"})], prices())
    # 20 g are needed, 50 g are mixed; 50 × 0.035 = 1.75
    assert price.net_materials == D("1.75")


def test_pieces_are_bought_whole() -> None:
    price = job_price([work(three("1", "1", "1"), quantity="0.3", uses={"book": "4"})], prices())
    # 4 × 0.3 = 1.2: two of them, at 12.00
    assert [(line.quantity, line.net) for line in price.materials] == [(D("2"), D("24.00"))]


@pytest.mark.parametrize(
    ("each", "operations", "packs", "net"),
    [
        # 20 ml; no less than 50 ml is taken: one cartridge is opened
        pytest.param("20", 1, [(1, "290")], "16.00", id="a little"),
        # 150 ml twice are 300 ml: 600 at 29.00 is cheaper than two of 290 at 32.00
        pytest.param("150", 2, [(1, "600")], "29.00", id="together before they are rounded"),
        # 140 ml twice are 280 ml; each by itself would have opened one
        pytest.param("140", 2, [(1, "290")], "16.00", id="two share a cartridge"),
        # 870 ml: 600 and 290 at 45.00, three of 290 at 48.00
        pytest.param("290", 3, [(1, "600"), (1, "290")], "45.00", id="mixed sizes"),
    ],
)
def test_what_can_not_be_kept_is_paid_for_by_whole_packs(
    each: str, operations: int, packs: list[tuple[int, str]], net: str
) -> None:
    price = job_price([work(three("1", "1", "1"), uses={"cartridges": each}) for _ in range(operations)], prices())
    (line,) = price.materials
    assert [(bought.count, str(bought.pack.size)) for bought in line.packs] == packs
    assert line.net == price.net_materials == D(net)


def test_setting_up_counts_once_for_each_operation_of_a_job() -> None:
    apart = sum(job_hours([work(three("1", "1", "1"), setup="0.5")]).mean for _ in range(3))
    together = job_hours([work(three("1", "1", "1"), setup="0.5") for _ in range(3)]).mean
    assert (apart, together) == (4.5, 3.5)


def test_opening_up_counts_once_at_its_longest() -> None:
    small, large = three("0.5", "0.5", "0.5"), three("2", "2", "2")
    opening = [
        work(hours, treatment="OPEN_UP", once=True, uses={"sealant": "10"}, quantity=quantity)
        for hours, quantity in ((small, "1"), (large, "4"))
    ]
    price = job_price([*opening, work(three("1", "1", "1"))], prices())
    assert price.hours_likely == D("3")
    # the sealant of the longer one alone: 10 × 4 + 10 %
    assert price.materials[0].quantity == D("44.00")


def test_two_trades_pay_their_own_rate_by_their_share_of_the_hours() -> None:
    operations = [
        work(three("3", "3", "3"), treatment="REBED"),
        work(three("1", "1", "1"), treatment="RIG", trade="rigger"),
    ]
    price = job_price(operations, prices(shipwright="60.00", rigger="80.00"))
    # 3 × 60 + 1 × 80
    assert price.net_labour == D("260.00")


def test_amounts_keep_vat_rates_apart() -> None:
    price = job_price([work(three("1", "1", "1"), uses={"sealant": "40", "book": "1"})], prices())
    assert [(amount.what, amount.net, amount.vat_rate_pct) for amount in price.amounts] == [
        ("labour", D("62.00"), D("25")),
        ("materials", D("12.00"), D("5")),
        ("materials", D("2.42"), D("25")),
    ]
    totals = totals_of([price.amounts, price.amounts], "EUR")
    # 25 %: 2 × 64.42 = 128.84, VAT 32.21; 5 %: 24.00, VAT 1.20
    assert [(part.net, part.vat) for part in totals.by_rate] == [(D("24.00"), D("1.20")), (D("128.84"), D("32.21"))]
    assert totals.gross == D("186.25")


def test_a_moment_of_work_is_told_as_a_quarter_of_an_hour() -> None:
    price = job_price([work(three("0.01", "0.02", "0.03"))], prices())
    assert (price.hours_likely, price.net_labour) == (D("0.25"), D("15.50"))
    assert price.hours_ceiling >= price.hours_likely


@pytest.mark.parametrize(
    ("operations", "field"),
    [
        pytest.param([], "operations", id="no work"),
        pytest.param([work(three("1", "1", "1"), trade="rigger")], "hourly_rate", id="no rate"),
        pytest.param([work(three("1", "1", "1"), uses={"gold": "1"})], "materials", id="no price"),
        pytest.param([work(three("1", "1", "1"), uses={"loose": "1"})], "materials", id="no pack size"),
    ],
)
def test_what_can_not_be_priced_is_refused(operations: list[OperationCost], field: str) -> None:
    with pytest.raises(Refused) as refused:
        job_price(operations, prices())
    assert refused.value.field == field


hours = st.tuples(*[st.decimals(0, 40, places=2) for _ in range(3)]).map(
    lambda figures: ThreePoint(*sorted(figures))
)
jobs = st.lists(
    st.builds(
        work,
        hours,
        treatment=st.sampled_from(["A", "B"]),
        setup=st.decimals(0, 3, places=2).map(str),
        quantity=st.decimals("0.01", 50, places=2).map(str),
        uses=st.dictionaries(
            st.sampled_from(["sealant", "cartridges", "epoxy", "book"]), st.decimals(0, 500, places=2).map(str)
        ),
    ),
    min_size=1,
    max_size=6,
)


@given(jobs)
def test_figures_add_up_and_the_ceiling_is_not_below_the_likely_hours(operations: list[OperationCost]) -> None:
    price = job_price(operations, prices())
    assert price.hours_ceiling >= price.hours_likely > 0
    assert price.net_materials == sum((line.net for line in price.materials), D(0))
    assert price.net == sum((amount.net for amount in price.amounts), D(0))
    assert price.net_labour == (price.hours_likely * D("62.00")).quantize(D("0.01"))


@given(jobs, st.randoms())
def test_the_order_of_operations_changes_no_price(operations: list[OperationCost], random: object) -> None:
    shuffled = list(operations)
    random.shuffle(shuffled)  # type: ignore[attr-defined]  # hypothesis gives a random.Random
    one, other = job_price(operations, prices()), job_price(shuffled, prices())
    assert one.net_materials == other.net_materials
    assert one.estimate.mean == pytest.approx(other.estimate.mean)


def test_a_single_operation_is_estimated_as_the_hours_module_does() -> None:
    operation = three("1", "2", "6")
    assert job_hours([work(operation)]) == sum_of([operation])


def test_together_saves_a_set_up_the_shorter_opening_and_a_shared_pack() -> None:
    opening = [
        work(three(hours, hours, hours), treatment="OPEN_UP", once=True, setup="0.25") for hours in ("0.5", "1")
    ]
    rebed = work(three("2", "2", "2"), setup="0.5", uses={"cartridges": "140"})
    alone = [[opening[0], rebed], [opening[1], rebed]]
    # alone 3.25 h and 3.75 h; together 2 × 2 h, 1 h, set-ups 0.25 h and 0.5 h: 5.75 h. Saved: 1.25 h at 62.00, and
    # the second cartridge of 290 ml at 16.00, for 280 ml are needed
    assert saving_together(alone, prices()) == Saving(D("1.25"), D("93.50"))
    assert saving_together(alone[:1], prices()) == Saving()


@given(st.lists(jobs, min_size=1, max_size=3))
def test_a_saving_is_the_difference_of_what_would_be_quoted_and_never_less_than_nothing(
    places: list[list[OperationCost]],
) -> None:
    saving = saving_together(places, prices())
    alone = [job_price(operations, prices()) for operations in places]
    together = job_price([operation for operations in places for operation in operations], prices())
    assert saving.hours == max(D(0), sum((each.hours_likely for each in alone), D(0)) - together.hours_likely)
    assert saving.net == max(D(0), sum((each.net for each in alone), D(0)) - together.net)
    assert min(saving.hours, saving.net) >= 0
