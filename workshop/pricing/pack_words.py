"""Amounts and packs of a material as they are told: 310 ml, 2 cartridges of 290 ml."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from babel.numbers import format_decimal

from workshop.estimating.packs import PackCount
from yard.locale_format import locale_check

PACK_PATTERN: Final = "{count} {name} of {amount}"
# From a thousand on a tin is told by the larger unit.
_LARGER: Final = {"ml": "L", "g": "kg"}
_WRITTEN: Final = {"m2": "m²"}


def amount_words(amount: Decimal, unit: str, locale: str) -> str:
    """An amount in the unit of its material; 1000 ml and g are told as litre and kilogramme.

    Raises:
        Refused: an unknown language.
    """
    if amount >= 1000 and unit in _LARGER:
        amount, unit = amount / 1000, _LARGER[unit]
    figures = _figures(amount, locale)
    return f"{figures} {_WRITTEN.get(unit, unit)}"


def packs_words(packs: Sequence[PackCount], unit: str, locale: str, pattern: str = PACK_PATTERN) -> str:
    """Packs in words, the largest first; nothing where there are none.

    Args:
        packs: how many of each size.
        unit: of the sizes.
        locale: language tag, for the figures.
        pattern: the words in the reader's language, with {count}, {name} and {amount}.

    Raises:
        Refused: an unknown language.
    """
    return ", ".join(
        pattern.format(
            count=each.count,
            name=each.pack.name if each.count == 1 else each.pack.plural,
            # a box of 50 needs no word for what is counted
            amount=_held(each.pack.size, unit, locale),
        )
        for each in packs
    )


def _held(size: Decimal, unit: str, locale: str) -> str:
    """A box of 50 needs no word for what is counted."""
    return _figures(size, locale) if unit == "pcs" else amount_words(size, unit, locale)


def _figures(amount: Decimal, locale: str) -> str:
    return format_decimal(amount.normalize(), locale=locale_check(locale), decimal_quantization=False)


__all__ = ["PACK_PATTERN", "amount_words", "packs_words"]
