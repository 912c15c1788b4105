"""Figures, tags and units as the report writes them. Pure."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

READING_UNITS: Final = {"pct": "%", "ml_h": "ml/h"}


def tag_text(tag: str) -> str:
    """A tag as its sticker shows it, in two groups of four."""
    return f"{tag[:4]}-{tag[4:]}" if len(tag) == 8 else tag


def reading_name(quantity: str, unit: str) -> str:
    """What was measured, without the unit that its code ends in: moisture_beside_pct is Moisture beside."""
    return quantity.removesuffix(f"_{unit}").replace("_", " ").capitalize()


def unit_text(unit: str) -> str:
    """A unit as it is written: pct is %."""
    return READING_UNITS.get(unit, unit)


def plain_number(number: Decimal) -> str:
    """A number without the zeros that say nothing: 84.0 is 84."""
    return format(number.normalize(), "f")


__all__ = ["plain_number", "reading_name", "tag_text", "unit_text"]
