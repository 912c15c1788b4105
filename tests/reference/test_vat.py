"""VAT against EN 16931.

Sources: planning/vat_rules.csv, rules of EN 16931-1 as in the validation artefacts 1.3.16 of CEN/TC 434;
planning/vat_rounding_cases.csv, invented amounts worked out by these rules, exact to the cent.
"""

import csv
from collections.abc import Callable
from decimal import ROUND_HALF_EVEN, Decimal
from pathlib import Path

import pytest

from workshop.pricing.money import Totals, round_money, vat_breakdown
from yard.refusals import Refused

PLANNING = Path(__file__).parent / "planning"
CASES = list(csv.DictReader((PLANNING / "vat_rounding_cases.csv").read_text().splitlines()))
RULES = [row["rule"] for row in csv.DictReader((PLANNING / "vat_rules.csv").read_text().splitlines())]

TWO_RATES = [
    (Decimal("1234.56"), Decimal(25)),
    (Decimal("0.50"), Decimal(7)),
    (Decimal("789.99"), Decimal(25)),
    (Decimal("0.50"), Decimal(7)),
    (Decimal("-45.01"), Decimal(25)),
    (Decimal("0.50"), Decimal(7)),
]


def lines_of(case: dict[str, str]) -> list[tuple[Decimal, Decimal]]:
    return [(Decimal(net), Decimal(case["rate_percent"])) for net in case["line_net_amounts"].split(";")]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["case"])
def test_rounding_case(case: dict[str, str]) -> None:
    totals = vat_breakdown(lines_of(case), "EUR")
    assert str(totals.net) == case["net_total"]
    assert str(totals.vat) == case["vat_en16931_half_up_on_total"]
    assert str(totals.gross) == case["gross_en16931"]
    assert [part.vat for part in totals.by_rate] == [totals.vat]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["case"])
def test_the_wrong_ways_come_out_as_the_table_says(case: dict[str, str]) -> None:
    lines = lines_of(case)
    line_wise = sum((round_money(net * rate / 100, "EUR") for net, rate in lines), Decimal(0))
    assert line_wise == Decimal(case["vat_sum_of_rounded_lines"])
    exact = sum((net * rate / 100 for net, rate in lines), Decimal(0))
    assert exact.quantize(Decimal("0.01"), ROUND_HALF_EVEN) == Decimal(case["vat_half_even_on_total"])


def line_amounts_have_two_decimals(totals: Totals) -> None:
    assert totals.currency == "EUR"
    with pytest.raises(Refused, match="more decimals"):
        vat_breakdown([(Decimal("12.505"), Decimal(25))], "EUR")


def nets_add_up(totals: Totals) -> None:
    assert totals.net == sum(net for net, _ in TWO_RATES)


def taxable_amounts_are_sums_of_their_lines(totals: Totals) -> None:
    for part in totals.by_rate:
        assert part.net == sum(net for net, rate in TWO_RATES if rate == part.rate_pct)


def vat_is_rounded_once_per_rate(totals: Totals) -> None:
    # 1.50 × 7 % = 0.105 and 1979.54 × 25 % = 494.885, worked out by hand
    assert [(part.rate_pct, part.vat) for part in totals.by_rate] == [
        (Decimal(7), Decimal("0.11")),
        (Decimal(25), Decimal("494.89")),
    ]


def vat_adds_up(totals: Totals) -> None:
    assert totals.vat == sum(part.vat for part in totals.by_rate) == Decimal("495.00")


def gross_is_net_and_vat(totals: Totals) -> None:
    assert totals.gross == totals.net + totals.vat == Decimal("2476.04")


def halves_go_away_from_zero(totals: Totals) -> None:
    assert round_money(Decimal("-324.995"), totals.currency) == Decimal("-325.00")
    assert round_money(Decimal("324.995"), totals.currency) == Decimal("325.00")


def lines_have_no_vat(totals: Totals) -> None:
    assert set(totals.by_rate[0].__slots__) == {"rate_pct", "net", "vat"}
    assert len(totals.by_rate) < len(TWO_RATES)


KEPT: dict[str, Callable[[Totals], None]] = {
    "BR-DEC-23": line_amounts_have_two_decimals,
    "BR-CO-10": nets_add_up,
    "BR-CO-13": nets_add_up,  # quotes have no allowances or charges of the whole document
    "BR-S-08": taxable_amounts_are_sums_of_their_lines,
    "BR-CO-17": vat_is_rounded_once_per_rate,
    "BR-S-09": vat_is_rounded_once_per_rate,
    "BR-CO-14": vat_adds_up,
    "BR-CO-15": gross_is_net_and_vat,
    "rounding": halves_go_away_from_zero,
    "line VAT": lines_have_no_vat,
}
# A quote asks for no payment: amount due, paid amount and their rounding belong to the invoice.
OF_AN_INVOICE_ONLY = {"BR-CO-16"}


@pytest.mark.parametrize("rule", KEPT)
def test_rule_is_kept(rule: str) -> None:
    KEPT[rule](vat_breakdown(TWO_RATES, "EUR"))


def test_every_rule_of_the_table_is_looked_at() -> None:
    assert set(RULES) == KEPT.keys() | OF_AN_INVOICE_ONLY
