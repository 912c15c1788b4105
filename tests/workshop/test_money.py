"""Money: what holds for every quote, whatever its lines."""

import random
from collections import defaultdict
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workshop.pricing.money import RateTotal, Totals, line_net, round_money, vat_breakdown
from yard.refusals import Refused

DECIMALS = {"EUR": 2, "NOK": 2, "JPY": 0, "KWD": 3}

currencies = st.sampled_from(sorted(DECIMALS))
rates = st.sampled_from(["0", "7", "10", "12.5", "19", "21", "25"]).map(Decimal)


@st.composite
def quotes(draw: st.DrawFn) -> tuple[list[tuple[Decimal, Decimal]], str]:
    currency = draw(currencies)
    minor = st.integers(-(10**9), 10**9).map(lambda units: Decimal(units).scaleb(-DECIMALS[currency]))
    return draw(st.lists(st.tuples(minor, rates), max_size=20)), currency


@given(quotes())
@settings(deadline=None)
def test_totals_add_up(quote: tuple[list[tuple[Decimal, Decimal]], str]) -> None:
    lines, currency = quote
    totals = vat_breakdown(lines, currency)
    assert totals.net == sum((net for net, _ in lines), Decimal(0))
    assert totals.net == sum((part.net for part in totals.by_rate), Decimal(0))
    assert totals.vat == sum((part.vat for part in totals.by_rate), Decimal(0))
    assert totals.gross == totals.net + totals.vat
    assert [part.rate_pct for part in totals.by_rate] == sorted({rate for _, rate in lines})


@given(quotes(), st.randoms(use_true_random=False))
@settings(deadline=None)
def test_the_order_of_lines_does_not_matter(
    quote: tuple[list[tuple[Decimal, Decimal]], str], chance: random.Random
) -> None:
    lines, currency = quote
    shuffled = lines[:]
    chance.shuffle(shuffled)
    one, other = vat_breakdown(lines, currency), vat_breakdown(shuffled, currency)
    assert one == other
    assert repr(one) == repr(other)


@given(quotes())
@settings(deadline=None)
def test_vat_is_rounded_once_per_rate(quote: tuple[list[tuple[Decimal, Decimal]], str]) -> None:
    lines, currency = quote
    exact: dict[Decimal, Fraction] = defaultdict(Fraction)
    for net, rate in lines:
        exact[rate] += Fraction(net) * Fraction(rate) / 100
    half_unit = Fraction(1, 2 * 10 ** DECIMALS[currency])
    totals = vat_breakdown(lines, currency)
    for part in totals.by_rate:
        assert abs(Fraction(part.vat) - exact[part.rate_pct]) <= half_unit
    assert abs(Fraction(totals.vat) - sum(exact.values(), Fraction(0))) <= half_unit * len(exact)


@given(quotes())
@settings(deadline=None)
def test_a_credit_of_everything_mirrors_the_totals(quote: tuple[list[tuple[Decimal, Decimal]], str]) -> None:
    lines, currency = quote
    totals = vat_breakdown(lines, currency)
    credit = vat_breakdown([(-net, rate) for net, rate in lines], currency)
    assert (credit.net, credit.vat, credit.gross) == (-totals.net, -totals.vat, -totals.gross)


@given(quotes())
@settings(deadline=None)
def test_every_amount_is_written_with_the_decimals_of_the_currency(
    quote: tuple[list[tuple[Decimal, Decimal]], str],
) -> None:
    lines, currency = quote
    totals = vat_breakdown(lines, currency)
    amounts = [totals.net, totals.vat, totals.gross]
    amounts += [amount for part in totals.by_rate for amount in (part.net, part.vat)]
    for amount in amounts:
        assert amount.as_tuple().exponent == -DECIMALS[currency]
        assert not (amount == 0 and amount.is_signed())


def test_one_rate_written_two_ways_is_one_rate() -> None:
    totals = vat_breakdown([(Decimal("0.10"), Decimal("25.00")), (Decimal("0.40"), Decimal(25))], "EUR")
    assert totals.by_rate == (RateTotal(Decimal(25), Decimal("0.50"), Decimal("0.13")),)
    assert str(totals.by_rate[0].rate_pct) == "25"
    assert str(vat_breakdown([(Decimal(1), Decimal("2E+1"))], "EUR").by_rate[0].rate_pct) == "20"


def test_a_quote_without_lines_comes_to_nothing() -> None:
    assert vat_breakdown([], "NOK") == Totals("NOK", Decimal(0), (), Decimal(0), Decimal(0))


@pytest.mark.parametrize(
    ("amount", "currency", "rounded"),
    [
        ("0.005", "EUR", "0.01"),
        ("-0.005", "EUR", "-0.01"),
        ("0.0049999", "EUR", "0.00"),
        ("-0.004", "EUR", "0.00"),
        ("2.675", "EUR", "2.68"),
        ("2.665", "EUR", "2.67"),
        ("0.5", "JPY", "1"),
        ("-1.5", "JPY", "-2"),
        ("0.0005", "KWD", "0.001"),
        ("999999999999.994", "EUR", "999999999999.99"),
        ("7", "EUR", "7.00"),
    ],
)
def test_halves_are_rounded_away_from_zero(amount: str, currency: str, rounded: str) -> None:
    assert str(round_money(Decimal(amount), currency)) == rounded


def test_a_line_is_rounded_once_from_its_exact_product() -> None:
    # 0.35 h at 71.30 is 24.955 exactly; as binary floats it would come out below and be rounded down.
    assert line_net(Decimal("0.35"), Decimal("71.30"), "EUR") == Decimal("24.96")
    assert line_net(Decimal("2.5"), Decimal("0.0125"), "EUR") == Decimal("0.03")
    assert line_net(Decimal(-1), Decimal("0.005"), "EUR") == Decimal("-0.01")


@pytest.mark.parametrize(
    ("line", "field", "problem"),
    [
        pytest.param(("12.505", "25"), "lines[1].net", "more decimals than EUR", id="fractions of a cent"),
        pytest.param(("NaN", "25"), "lines[1].net", "not a decimal number", id="not a number"),
        pytest.param(("1E12", "25"), "lines[1].net", "too large", id="too large"),
        pytest.param(("1", "-1"), "lines[1].rate_pct", "-1 %", id="negative rate"),
        pytest.param(("1", "100.01"), "lines[1].rate_pct", "100.01 %", id="rate over 100"),
        pytest.param(("1", "7.00001"), "lines[1].rate_pct", "too many decimals", id="rate too fine"),
        pytest.param(("1", "Infinity"), "lines[1].rate_pct", "not a decimal number", id="infinite rate"),
    ],
)
def test_a_line_that_makes_no_sense_is_refused_by_name(line: tuple[str, str], field: str, problem: str) -> None:
    good = (Decimal("1.00"), Decimal(25))
    net, rate = line
    with pytest.raises(Refused) as refusal:
        vat_breakdown([good, (Decimal(net), Decimal(rate))], "EUR")
    assert refusal.value.field == field
    assert problem in refusal.value.problem


@pytest.mark.parametrize("amount", [12.5, "12.50", 12, True, None])
def test_money_that_is_not_decimal_is_refused(amount: Any) -> None:
    with pytest.raises(Refused, match="not a decimal number"):
        round_money(amount, "EUR")
    with pytest.raises(Refused, match="not a decimal number"):
        vat_breakdown([(amount, Decimal(25))], "EUR")
    with pytest.raises(Refused, match="not a decimal number"):
        vat_breakdown([(Decimal(1), amount)], "EUR")


@pytest.mark.parametrize("currency", ["XXX", "kroner", ""])
def test_an_unknown_currency_is_refused(currency: str) -> None:
    with pytest.raises(Refused) as refusal:
        vat_breakdown([], currency)
    assert refusal.value.field == "currency"


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        ({"gross": Decimal("15.64")}, "BR-CO-15"),
        ({"vat": Decimal("3.12"), "gross": Decimal("15.62")}, "BR-CO-14"),
        ({"net": Decimal("12.51"), "gross": Decimal("15.64")}, "BR-CO-10"),
        ({"by_rate": (RateTotal(Decimal(25), Decimal("12.50"), Decimal("3.12")),)}, "BR-CO-17"),
        ({"net": Decimal("12.505")}, "BR-DEC"),
        ({"by_rate": (RateTotal(Decimal(25), Decimal("12.50"), Decimal("3.13")),) * 2}, "each VAT rate"),
    ],
)
def test_totals_that_contradict_each_other_can_not_exist(change: dict[str, Any], rule: str) -> None:
    sound = vat_breakdown([(Decimal("12.50"), Decimal(25))], "EUR")
    with pytest.raises(ValueError, match=rule):
        replace(sound, **change)
