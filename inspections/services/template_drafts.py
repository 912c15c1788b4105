"""A draft changed piece by piece, by several people: each piece is held against what its editor had seen."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.db import transaction

from inspections.models import TemplateVersion
from inspections.services.templates import (
    EditedMeanwhile,
    draft_hold,
    refuse_edited_meanwhile,
    text_keep,
    text_read,
)
from inspections.templates import document, editing
from inspections.templates.editing import CHECKS, STEPS
from yard.models import Member
from yard.refusals import Refused

# From which text a key is made, and what it is called where that text has no letters.
_KEY_FROM = {STEPS: ("text", "step"), CHECKS: ("prompt", "check")}


@transaction.atomic
def draft_item_save(
    *,
    draft: TemplateVersion,
    part: str,
    said: Mapping[str, Any],
    by: Member | None,
    at: datetime,
    key: str | None = None,
    seen: str | None = None,
) -> str:
    """Write one opening step or check; the rest of the draft stays as it is, whoever has saved it meanwhile.

    Args:
        part: `opening_steps` or `checks`.
        said: its fields, without the key.
        key: of the one that is changed; None adds one.
        seen: digest of what the editor had before them (`editing.digest_of`); None writes over whatever is there,
            and puts back what somebody has taken out.

    Returns:
        The key; the one of the item that says the same already, where one is added twice.

    Raises:
        EditedMeanwhile: somebody else has changed this very item, or taken it out.
        RefusedMany: it makes no sense; each refusal names its place, such as `checks[2].reading.maximum`.
        Refused: the version is published already.
    """
    held = draft_hold(draft)
    items: list[editing.Item] = getattr(held, part)
    added = key is None
    if key is None:
        text, otherwise = _KEY_FROM[part]
        key = editing.fresh_key(str(said.get(text) or ""), keys_used(held, part), otherwise=otherwise)
    elif seen is not None:
        _refuse_changed_item(held, editing.item_of(items, key), seen)
    lists = {STEPS: held.opening_steps, CHECKS: held.checks, part: editing.item_put(items, {**said, "key": key})}
    if added and (twin := _twin(held, part, lists, key)) is not None:
        return twin
    text_keep(held, lists[STEPS], lists[CHECKS], by=by, at=at)
    return key


@transaction.atomic
def draft_item_move(
    *,
    draft: TemplateVersion,
    part: str,
    key: str,
    places: int,
    edited_at: datetime,
    by: Member | None,
    at: datetime,
) -> None:
    """Move one step or check down by so many places; negative is up.

    Raises:
        EditedMeanwhile: the draft was saved since, and the order may be another.
        Refused: there is none of that key, or the version is published already.
    """
    held = draft_hold(draft)
    refuse_edited_meanwhile(held, edited_at)
    _item(held, part, key)
    lists = {STEPS: held.opening_steps, CHECKS: held.checks}
    lists[part] = editing.item_moved(lists[part], key, places)
    text_keep(held, lists[STEPS], lists[CHECKS], by=by, at=at, nothing_new=True)


@transaction.atomic
def draft_item_remove(
    *, draft: TemplateVersion, part: str, key: str, seen: str, by: Member | None, at: datetime
) -> None:
    """Take out one step or check. What is out already stays out.

    Raises:
        EditedMeanwhile: somebody else has changed it.
        Refused: the version is published already.
    """
    held = draft_hold(draft)
    item = editing.item_of(getattr(held, part), key)
    if item is None:
        return
    _refuse_changed_item(held, item, seen)
    if part == STEPS:
        steps, checks = editing.step_removed(held.opening_steps, held.checks, key)
    else:
        steps, checks = held.opening_steps, editing.check_removed(held.checks, key)
    text_keep(held, steps, checks, by=by, at=at, nothing_new=True)


@transaction.atomic
def draft_copy(
    *,
    draft: TemplateVersion,
    source: TemplateVersion,
    checks: Collection[str],
    steps: Collection[str] = (),
    by: Member | None,
    at: datetime,
) -> int:
    """Bring steps and checks of another class's version, or of an earlier one of its own, into a draft.

    Args:
        checks, steps: their keys in the source. Steps that a check waits for come along.

    Returns:
        How many checks and steps came; none where all of it stood there already.

    Raises:
        Refused: nothing is chosen, a key is none of the source's, or it is another yard's.
        RefusedMany: the draft would grow too long.
    """
    held = draft_hold(draft)
    if source.yard_id != held.yard_id:
        raise Refused("source", "is no version of this yard", "choose one of the yard's own")
    text = document.read(source.opening_steps, source.checks, unfinished=True)
    strange = {*checks} - {check.key for check in text.checks} | {*steps} - {one.key for one in text.opening_steps}
    if strange:
        raise Refused("checks", f"{', '.join(sorted(strange))} is not there", "choose from what that version asks")
    if not checks and not steps:
        raise Refused("checks", "nothing is chosen", "tick what is to be copied")
    into = document.read(held.opening_steps, held.checks, unfinished=True)
    taken: set[str] = set()
    if source.template_id != held.template_id:
        taken = keys_used(held, STEPS) | keys_used(held, CHECKS)
    brought = editing.brought_over(into, text, checks=checks, steps=steps, taken=taken)
    text_keep(held, brought.opening_steps_json(), brought.checks_json(), by=by, at=at)
    return len(brought.checks) + len(brought.opening_steps) - len(into.checks) - len(into.opening_steps)


def keys_used(version: TemplateVersion, part: str) -> set[str]:
    """The keys that a template's steps or checks have or had, in all its versions."""
    lists = TemplateVersion.objects.filter(template=version.template_id).values_list(part, flat=True)
    return {str(item["key"]) for items in lists for item in items}


def was_published(version: TemplateVersion, part: str, key: str) -> bool:
    """Whether a step or a check was ever part of a version that inspections could be made from."""
    published = TemplateVersion.objects.filter(template=version.template_id, published_at__isnull=False)
    return any(editing.item_of(items, key) for items in published.values_list(part, flat=True))


def _twin(held: TemplateVersion, part: str, lists: Mapping[str, Any], key: str) -> str | None:
    """The key of the item that says word for word what is being added: a form that was sent twice."""
    text = text_read(held, lists[STEPS], lists[CHECKS], unfinished=True)
    parts: tuple[Any, ...] = text.opening_steps if part == STEPS else text.checks
    fresh = next(one for one in parts if one.key == key)
    return next((one.key for one in parts if one.key != key and replace(one, key=key) == fresh), None)


def _item(held: TemplateVersion, part: str, key: str) -> editing.Item:
    item = editing.item_of(getattr(held, part), key)
    if item is None:
        raise Refused("key", "it is not in the draft any more", "look at the draft as it stands now")
    return item


def _refuse_changed_item(held: TemplateVersion, item: editing.Item | None, seen: str) -> None:
    if item is None or editing.digest_of(item) != seen:
        who = held.edited_by.name if held.edited_by is not None else "somebody else"
        raise EditedMeanwhile(
            "seen",
            f"{who} has {'taken it out' if item is None else 'changed it'} since it was opened here",
            "choose which of the two is to stand",
        )


__all__ = [
    "draft_copy",
    "draft_item_move",
    "draft_item_remove",
    "draft_item_save",
    "keys_used",
    "was_published",
]
