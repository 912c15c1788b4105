"""The door for figures: what is no number, or can't be, is refused with its field and what would do."""

from __future__ import annotations

import math
from decimal import Decimal

from yard.refusals import Refused

Number = int | float | Decimal


def number(field: str, value: Number) -> float:
    """A finite number as float; a numeral in text counts as one."""
    try:
        figure = float(value)
    except (TypeError, ValueError, OverflowError):
        raise Refused(field, f"{value!r} is no figure", "give a number") from None
    if not math.isfinite(figure):
        raise Refused(field, f"{value} is no measured figure", "give a number")
    return figure


def between(field: str, value: Number, low: Number, high: Number, unit: str) -> float:
    """A finite number from low to high, both included, in `unit`, as float."""
    figure = number(field, value)
    if not low <= figure <= high:
        raise Refused(field, f"{figure:g} {unit} can't be", f"give a figure from {low:g} to {high:g} {unit}")
    return figure


__all__ = ["Number", "between", "number"]
