"""Figures, tags and units as the report writes them, in the language that is being written."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from babel.numbers import format_decimal
from django.utils.translation import gettext, gettext_noop, ngettext

from yard.locale_format import locale_check

READING_UNITS: Final = {"pct": "%", "ml_h": "ml/h"}

# What the templates of the stock catalogue measure, besides the meter's reading in sound wood.
QUANTITIES: Final = (
    gettext_noop("Moisture"),
    gettext_noop("Moisture beside"),
    gettext_noop("Weep"),
    gettext_noop("Section left"),
    gettext_noop("Play"),
    gettext_noop("Drain"),
    gettext_noop("Cover"),
    gettext_noop("Sink"),
)


def tag_text(tag: str) -> str:
    """A tag as its sticker shows it, in two groups of four."""
    return f"{tag[:4]}-{tag[4:]}" if len(tag) == 8 else tag


def reading_name(quantity: str, unit: str) -> str:
    """What was measured, without the unit that its code ends in: moisture_beside_pct is Moisture beside."""
    return gettext(quantity.removesuffix(f"_{unit}").replace("_", " ").capitalize())


def unit_text(unit: str) -> str:
    """A unit as it is written: pct is %."""
    return READING_UNITS.get(unit, unit)


def number_text(number: Decimal, locale: str) -> str:
    """A number without the zeros that say nothing: 84.0 is 84, 3.50 is 3.5, or 3,5 where a comma is written."""
    return str(
        format_decimal(number.normalize(), format="0.##", locale=locale_check(locale), decimal_quantization=False)
    )


def metres_text(length_mm: int, locale: str) -> str:
    """A length of the boat: 8.40 m."""
    return f"{format_decimal(Decimal(length_mm) / 1000, format='0.00', locale=locale_check(locale))} m"


def work_amount(quantity: Decimal, unit: str, locale: str) -> str:
    """So many units of work: 3 fittings, 2.5 m. A unit that the yard has named itself stays as it is."""
    return f"{number_text(quantity, locale)} {unit_of_work(unit, 1 if quantity == 1 else 2)}"


def material_amount(quantity: Decimal, unit: str, locale: str) -> str:
    """So much of a material: 80 ml, 6 pieces."""
    if unit == "pcs":
        pieces = int(quantity)
        return ngettext("{count} piece", "{count} pieces", pieces).format(count=pieces)
    return f"{number_text(quantity, locale)} {'m²' if unit == 'm2' else unit}"


def unit_of_work(unit: str, count: int = 1) -> str:
    """What work is counted by, for that many of it. A unit that the yard has named itself stays as it is."""
    match unit:
        case "m":
            return "m"
        case "m2":
            return "m²"
        case "m2_coat":
            return gettext("m², one coat")
        case "site" | "location" | "place":
            return ngettext("place", "places", count)
        case "finding":
            return ngettext("look", "looks", count)
        case "piece":
            return ngettext("piece", "pieces", count)
        case "scarf":
            return ngettext("scarf", "scarfs", count)
        case "frame":
            return ngettext("frame", "frames", count)
        case "fastening":
            return ngettext("fastening", "fastenings", count)
        case "hole":
            return ngettext("hole", "holes", count)
        case "fitting":
            return ngettext("fitting", "fittings", count)
        case "pad":
            return ngettext("pad", "pads", count)
        case "tiller":
            return ngettext("tiller", "tillers", count)
        case "windlass":
            return ngettext("windlass", "windlasses", count)
        case "bolt":
            return ngettext("bolt", "bolts", count)
        case "chainplate":
            return ngettext("chainplate", "chainplates", count)
        case "end":
            return ngettext("end", "ends", count)
        case "bung":
            return ngettext("bung", "bungs", count)
    return unit if count == 1 else f"{unit}s"


__all__ = [
    "material_amount",
    "metres_text",
    "number_text",
    "reading_name",
    "tag_text",
    "unit_of_work",
    "unit_text",
    "work_amount",
]
