"""From what to what something was changed, in words for whoever asks next year. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from typing import Any, Final

LONGEST_VALUE: Final = 60
LONGEST_LIST: Final = 6
# Where a field's own name would not say it, or would leave out the unit.
WORDS: Final[Mapping[str, str]] = {
    "amount": "an hour costs",
    "area_m2": "area in m²",
    "beam_mm": "beam in mm",
    "coat_every_months": "coated every so many months",
    "decider": "who says yes or no",
    "email": "e-mail",
    "for_work": "the yard's work is in it",
    "latitude": "latitude in °",
    "launch_on": "boats go in from",
    "layup_on": "boats come out on",
    "left_on": "left the yard on",
    "loa_mm": "length over all in mm",
    "locale": "language and country",
    "longitude": "longitude in °",
    "mail_from": "mails come from",
    "own_holidays": "days closed besides",
    "phone": "telephone",
    "plan_x": "aft in thousandths",
    "plan_y": "to starboard in thousandths",
    "quote_valid_days": "days that a quote holds",
    "rate_pct": "rate in %",
    "species": "wood",
    "strip_after_years": "stripped after so many years",
    "vat_rate_pct": "VAT rate in %",
    "year": "built in",
}


def changes_told(before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    """`material larch to oak; built in nothing to 1936`, in the order of `after`; empty where nothing differs.

    A list says what was added and what was left out. Without a value before, only the one after is said.
    """
    said = []
    for name, value in after.items():
        if name not in before:
            said.append(f"{field_words(name)} {value_told(value)}")
        elif before[name] != value:
            said.append(f"{field_words(name)} {_from_to(before[name], value)}")
    return "; ".join(said)


def field_words(name: str) -> str:
    """A field as people call it."""
    return WORDS.get(name, name.replace("_", " "))


def value_told(value: Any) -> str:
    """A value as it stands in a sentence."""
    if value is None or value == "" or value == [] or value == ():
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, list | tuple):
        return _listed(value)
    text = str(value)
    return text if len(text) <= LONGEST_VALUE else f"{text[: LONGEST_VALUE - 1]}…"


def _from_to(before: Any, after: Any) -> str:
    if not isinstance(before, list | tuple) or not isinstance(after, list | tuple):
        return f"{value_told(before)} to {value_told(after)}"
    added = [each for each in after if each not in before]
    gone = [each for each in before if each not in after]
    told = [f"{_listed(added)} added"] if added else []
    told += [f"{_listed(gone)} taken out"] if gone else []
    return ", ".join(told) or "in another order"


def _listed(values: Iterable[Any]) -> str:
    told = [value_told(each) for each in values]
    more = len(told) - LONGEST_LIST
    return ", ".join(told[:LONGEST_LIST]) + (f" and {more} more" if more > 0 else "")


__all__ = ["changes_told", "field_words", "value_told"]
