"""Two people at one step or check: what the other made of it beside what was typed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from inspections.models import TemplateVersion
from inspections.templates import document
from inspections.templates.comparison import differing_fields
from inspections.templates.editing import STEPS, Item
from web.office.template_forms import ItemForm
from web.office.template_told import lines_between, read, words_of
from yard.refusals import Refused


@dataclass(frozen=True, slots=True)
class BothTold:
    """Theirs and mine.

    Args:
        gone: the other has taken it out.
        lines: name, theirs and mine of each field that differs; empty where mine can't be read yet.
    """

    gone: bool
    lines: tuple[tuple[str, str, str], ...]


def both_told(draft: TemplateVersion, part: str, item: Item | None, form: ItemForm) -> BothTold:
    """What differs between the item as it stands in the draft and the form as it was typed."""
    if item is None:
        return BothTold(gone=True, lines=())
    text = read(draft)
    theirs: Any = next(
        one for one in (text.opening_steps if part == STEPS else text.checks) if one.key == item["key"]
    )
    mine = _mine(draft, part, item, form)
    if mine is None:
        return BothTold(gone=False, lines=())
    lines = lines_between(theirs, mine, differing_fields(theirs, mine), words_of(draft.yard, text))
    return BothTold(gone=False, lines=lines)


def _mine(draft: TemplateVersion, part: str, item: Item, form: ItemForm) -> Any:
    if form.errors:
        return None
    said = {**form.said(), "key": item["key"]}
    try:
        if part == STEPS:
            return document.read([said], [], unfinished=True).opening_steps[0]
        return document.read(draft.opening_steps, [said], unfinished=True).checks[0]
    except Refused:
        return None


__all__ = ["BothTold", "both_told"]
