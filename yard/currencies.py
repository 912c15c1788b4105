"""Currencies and their minor units.

Names and codes come from CLDR through Babel. The number of decimals is that of ISO 4217, list one, and where CLDR
differs, ISO wins: CLDR leaves out the decimals of money that has lost its coins, but an invoice still states them
(EN 16931 asks for the codes of ISO 4217).
"""

from typing import Final

from babel.numbers import get_currency_precision, list_currencies

from yard.refusals import Refused

# Where CLDR 47 shows no decimals and ISO 4217 has some. Found by comparing Babel 2.18 with the library
# `iso4217` 1.16, which carries list one.
ISO_4217_DIFFERS: Final = {
    "AFN": 2, "ALL": 2, "IQD": 3, "IRR": 2, "KPW": 2, "LAK": 2, "LBP": 2,
    "MGA": 2, "MMK": 2, "RSD": 2, "SOS": 2, "SYP": 2, "YER": 2,
}  # fmt: skip

# Codes of ISO 4217 that are no money to pay with and have no minor unit: metals, bond units, tests.
NOT_MONEY: Final = frozenset(
    {"XAG", "XAU", "XBA", "XBB", "XBC", "XBD", "XDR", "XPD", "XPT", "XSU", "XTS", "XUA", "XXX"}
)


def currency_check(code: object, *, field: str = "currency") -> str:
    """Read a currency code.

    Args:
        code: three letters of ISO 4217, capitals or not.
        field: name of the field for the refusal.

    Returns:
        The code in capitals.

    Raises:
        Refused: no known currency, or one that nobody pays with.
    """
    plain = code.strip().upper() if isinstance(code, str) else ""
    if len(plain) != 3 or not plain.isascii() or plain in NOT_MONEY or plain not in list_currencies():
        raise Refused(field, f"is not a currency: {code!r}", "Use the three letters of ISO 4217, like EUR or NOK.")
    return plain


def minor_units(currency: str) -> int:
    """Number of decimals of a currency by ISO 4217: EUR 2, JPY 0, KWD 3.

    Raises:
        Refused: no known currency.
    """
    code = currency_check(currency)
    return ISO_4217_DIFFERS.get(code, get_currency_precision(code))
