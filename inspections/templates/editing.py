"""Changing the text of a draft piece by piece: put in, move, take out, bring over from another template.

Pure, on the lists as they are stored; what comes out is read and refused by `document.read` before it is kept.
"""

from __future__ import annotations

import hashlib
import json
import re
import unicodedata
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

from inspections.templates.document import Check, OpeningStep, TemplateDocument

Item = Mapping[str, Any]
STEPS: Final = "opening_steps"
CHECKS: Final = "checks"
LONGEST_KEY: Final = 40
# Words that tell one question from another in nothing.
_SMALL_WORDS: Final = frozenset(
    re.findall(
        r"\w+",
        "a all and any are as at be been by do does for from has have how in into is it its of off on or out over "
        "so that the there they this to under up was what where which with",
    )
)
_WORDS_OF_A_KEY: Final = 4
_DIGEST_DIGITS: Final = 16


def fresh_key(text: str, taken: Collection[str], *, otherwise: str) -> str:
    """A key out of the first telling words of a text, which no other has or had.

    Args:
        taken: keys of all versions: a new question with an old one's key would be taken for that one next year.
        otherwise: where the text has no letters that a key may have.
    """
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    words = re.findall(r"[a-z0-9]+", plain)
    telling = [word for word in words if word not in _SMALL_WORDS] or words
    stem = "_".join(telling[:_WORDS_OF_A_KEY])[:LONGEST_KEY].strip("_") or otherwise
    return _untaken(stem, taken)


def digest_of(item: Item) -> str:
    """What an item said when somebody opened it, in a few signs: so that a later change by others is seen."""
    return hashlib.sha256(json.dumps(item, sort_keys=True).encode()).hexdigest()[:_DIGEST_DIGITS]


def item_of(items: Sequence[Item], key: str) -> Item | None:
    return next((item for item in items if item.get("key") == key), None)


def item_put(items: Sequence[Item], item: Item) -> list[Item]:
    """The list with the item in the place of the one of its key, or at the end."""
    if item_of(items, item["key"]) is None:
        return [*items, item]
    return [item if old.get("key") == item["key"] else old for old in items]


def item_moved(items: Sequence[Item], key: str, by: int) -> list[Item]:
    """The list with one item so many places further down; negative is up. At the ends it stays where it is."""
    rest = [item for item in items if item.get("key") != key]
    moved = [item for item in items if item.get("key") == key]
    if not moved:
        return list(items)
    place = min(len(rest), max(0, list(items).index(moved[0]) + by))
    return [*rest[:place], *moved, *rest[place:]]


def step_removed(steps: Sequence[Item], checks: Sequence[Item], key: str) -> tuple[list[Item], list[Item]]:
    """Both lists without an opening step: no check waits for it any more."""
    kept = [step for step in steps if step.get("key") != key]
    return kept, [{**check, "after": [name for name in check.get("after", ()) if name != key]} for check in checks]


def check_removed(checks: Sequence[Item], key: str) -> list[Item]:
    return [check for check in checks if check.get("key") != key]


def brought_over(
    into: TemplateDocument,
    source: TemplateDocument,
    *,
    checks: Collection[str],
    steps: Collection[str],
    taken: Collection[str],
) -> TemplateDocument:
    """A draft with some steps and checks of another text behind its own, and the steps that those checks wait for.

    What stands there word for word is not brought twice. A key that is taken is changed.

    Args:
        checks, steps: keys in the source.
        taken: keys of the draft's template in all its versions; empty where the source is one of them, so that what
            comes back is found again as the same place.
    """
    chosen = [check for check in source.checks if check.key in checks]
    needed = {*steps, *(key for check in chosen for key in check.after)}
    own_steps: list[OpeningStep] = list(into.opening_steps)
    names: dict[str, str] = {}
    for step in source.opening_steps:
        if step.key not in needed:
            continue
        same = next((own for own in own_steps if replace(own, key=step.key) == step), None)
        if same is None:
            same = replace(step, key=_untaken(step.key, {*taken, *(own.key for own in own_steps)}))
            own_steps.append(same)
        names[step.key] = same.key
    own_checks: list[Check] = list(into.checks)
    for check in chosen:
        brought = replace(check, after=tuple(names[name] for name in check.after))
        if any(replace(own, key=brought.key) == brought for own in own_checks):
            continue
        key = _untaken(check.key, {*taken, *(own.key for own in own_checks)})
        own_checks.append(replace(brought, key=key))
    return TemplateDocument(opening_steps=tuple(own_steps), checks=tuple(own_checks))


def _untaken(key: str, taken: Collection[str]) -> str:
    if key not in taken:
        return key
    number = 2
    while f"{key}_{number}" in taken:
        number += 1
    return f"{key}_{number}"


__all__ = [
    "CHECKS",
    "STEPS",
    "Item",
    "brought_over",
    "check_removed",
    "digest_of",
    "fresh_key",
    "item_moved",
    "item_of",
    "item_put",
    "step_removed",
]
