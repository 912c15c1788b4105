"""Amounts of money, and VAT as an invoice states it.

VAT is worked out once per rate, on the total of the lines at that rate, and rounded there, half away from zero
(EN 16931-1: BR-CO-17, BR-S-08, BR-S-09; lines carry a rate and no VAT of their own). Rounding line by line gives
other totals. Every rule that the figures must keep is kept by `Totals` itself: one that doesn't add up can't exist.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal
from typing import Final

from yard.currencies import currency_check, minor_units
from yard.refusals import Refused

# Far more than any boat; it keeps every intermediate result exact.
LARGEST_AMOUNT: Final = Decimal(10) ** 12
LARGEST_RATE_PCT: Final = Decimal(100)
RATE_DECIMALS: Final = 4

_EXACT: Final = Context(prec=60)


@dataclass(frozen=True, slots=True)
class RateTotal:
    """The lines of one VAT rate together.

    Attributes:
        rate_pct: VAT rate [%].
        net: sum of the lines (BT-116).
        vat: VAT on that sum, rounded once (BT-117).
    """

    rate_pct: Decimal
    net: Decimal
    vat: Decimal


@dataclass(frozen=True, slots=True)
class Totals:
    """What a quote comes to. It refuses to exist unless its figures add up.

    Attributes:
        currency: ISO 4217.
        net: total without VAT (BT-109).
        by_rate: one entry per VAT rate, lowest rate first.
        vat: total VAT (BT-110).
        gross: total with VAT (BT-112).

    Raises:
        ValueError: the figures contradict each other.
    """

    currency: str
    net: Decimal
    by_rate: tuple[RateTotal, ...]
    vat: Decimal
    gross: Decimal

    def __post_init__(self) -> None:
        rates = [part.rate_pct for part in self.by_rate]
        if rates != sorted(set(rates)):
            raise ValueError("each VAT rate stands once, lowest first")
        for part in self.by_rate:
            if part.vat != _vat_on(part.net, part.rate_pct, self.currency):
                raise ValueError(f"BR-CO-17: {part.vat} is not {part.rate_pct} % of {part.net}, rounded once")
        amounts = [self.net, self.vat, self.gross, *(part.net for part in self.by_rate)]
        if any(not _is_whole(amount, self.currency) for amount in amounts):
            raise ValueError(
                f"BR-DEC: amounts in {self.currency} have {minor_units(self.currency)} decimals at most"
            )
        if self.net != sum((part.net for part in self.by_rate), Decimal(0)):
            raise ValueError("BR-CO-10, BR-CO-13, BR-S-08: the nets per rate don't add up to the total without VAT")
        if self.vat != sum((part.vat for part in self.by_rate), Decimal(0)):
            raise ValueError("BR-CO-14: the VAT per rate doesn't add up to the total VAT")
        if self.gross != self.net + self.vat:
            raise ValueError("BR-CO-15: net and VAT don't add up to the total with VAT")


def round_money(amount: Decimal, currency: str) -> Decimal:
    """Round an amount to the currency's minor unit, halves away from zero.

    Args:
        amount: below 10^12 either way.
        currency: ISO 4217.

    Returns:
        The amount with exactly the decimals of the currency; never a negative zero.

    Raises:
        Refused: the amount is no decimal number or too large, or the currency is unknown.
    """
    _check_amount("amount", amount)
    # ROUND_HALF_UP of the decimal module takes halves away from zero, -324.995 to -325.00, as EN 16931 wants it.
    rounded = _EXACT.create_decimal(amount).quantize(
        Decimal(1).scaleb(-minor_units(currency)), rounding=ROUND_HALF_UP, context=_EXACT
    )
    return abs(rounded) if rounded == 0 else rounded


def line_net(quantity: Decimal, unit_price: Decimal, currency: str) -> Decimal:
    """Net amount of a line (BT-131): quantity × price per unit, rounded to the minor unit.

    Args:
        quantity: hours, litres, pieces; below 10^12 either way.
        unit_price: price of one; it may have more decimals than the currency.
        currency: ISO 4217.

    Raises:
        Refused: no decimal numbers, an amount too large, or an unknown currency.
    """
    _check_amount("quantity", quantity)
    _check_amount("unit_price", unit_price)
    return round_money(_EXACT.multiply(quantity, unit_price), currency)


def vat_breakdown(lines: Sequence[tuple[Decimal, Decimal]], currency: str) -> Totals:
    """Total up lines, with VAT worked out and rounded once per rate.

    Args:
        lines: net amount and VAT rate [%] of each line. The amount has no more decimals than the currency, and may
            be negative (a credit); the rate is 0 to 100 with at most 4 decimals.
        currency: ISO 4217.

    Returns:
        The totals. The order of the lines doesn't matter.

    Raises:
        Refused: a line's amount or rate is outside its range; the field is `lines[3].net` or the like.
    """
    code = currency_check(currency)
    nets: dict[Decimal, Decimal] = {}
    for position, (net, rate_pct) in enumerate(lines):
        _check_amount(f"lines[{position}].net", net)
        if not _is_whole(net, code):
            raise Refused(
                f"lines[{position}].net",
                f"has more decimals than {code} has: {net}",
                f"Round the amount of the line to {minor_units(code)} decimals first.",
            )
        rate = _check_rate(f"lines[{position}].rate_pct", rate_pct)
        nets[rate] = _EXACT.add(nets.get(rate, Decimal(0)), net)
    # Rounding a sum of whole minor units changes nothing but the way it is written: 2 becomes 2.00.
    by_rate = tuple(
        RateTotal(rate, round_money(net, code), _vat_on(net, rate, code)) for rate, net in sorted(nets.items())
    )
    net_total = round_money(sum((part.net for part in by_rate), Decimal(0)), code)
    vat_total = round_money(sum((part.vat for part in by_rate), Decimal(0)), code)
    return Totals(code, net_total, by_rate, vat_total, round_money(net_total + vat_total, code))


def _vat_on(net: Decimal, rate_pct: Decimal, currency: str) -> Decimal:
    return round_money(_EXACT.multiply(net, rate_pct).scaleb(-2), currency)


def _is_whole(amount: Decimal, currency: str) -> bool:
    return amount == round_money(amount, currency)


def _check_amount(field: str, amount: object) -> None:
    if not isinstance(amount, Decimal) or not amount.is_finite():
        raise Refused(
            field, f"is not a decimal number: {amount!r}", "Give an amount as a decimal number, like 12.50."
        )
    if abs(amount) >= LARGEST_AMOUNT:
        raise Refused(field, f"is too large: {amount}", "Give an amount below 1 000 000 000 000.")


def _check_rate(field: str, rate_pct: object) -> Decimal:
    """Read a VAT rate, and write it one way, because 25 and 25.00 are one rate."""
    if not isinstance(rate_pct, Decimal) or not rate_pct.is_finite():
        raise Refused(field, f"is not a decimal number: {rate_pct!r}", "Give the rate in percent, like 25.")
    if not 0 <= rate_pct <= LARGEST_RATE_PCT:
        raise Refused(field, f"is {rate_pct} %", "Give a rate between 0 and 100 %.")
    if rate_pct != round(rate_pct, RATE_DECIMALS):
        raise Refused(field, f"has too many decimals: {rate_pct}", f"Give at most {RATE_DECIMALS} decimals.")
    return Decimal(format(abs(rate_pct).normalize(), "f"))
