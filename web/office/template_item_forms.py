"""Which form is open on a draft's page, and what it is filled with."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.http import QueryDict

from inspections.models import Sign, TemplateVersion
from inspections.selectors.templates import shared_openings
from inspections.templates.document import AnswerKind
from inspections.templates.editing import CHECKS, STEPS, Item, digest_of, item_of
from web.office.template_forms import CheckForm, ItemForm, StepForm
from web.office.template_told import shares_told

NEW = "new"
# In addresses, by the part of the draft.
ASKED = {STEPS: "step", CHECKS: "check"}


def form_asked(draft: TemplateVersion, asked: Mapping[str, str]) -> ItemForm | None:
    """The form that the address opens: `?check=new`, `?step=lining`; None where it opens none."""
    for part, name in ASKED.items():
        key = asked.get(name)
        if key == NEW:
            return item_form(draft, part, None)
        if key and (item := item_of(getattr(draft, part), key)) is not None:
            return item_form(draft, part, item)
    return None


def item_form(
    draft: TemplateVersion,
    part: str,
    item: Item | None,
    data: QueryDict | None = None,
    *,
    seen: str | None = None,
) -> ItemForm:
    """The form of a step or a check.

    Args:
        draft: with its yard and the template's class.
        item: that is changed; None where one is added.
        data: what was typed.
        seen: in place of what was sent of it: where somebody has read what others made of the item.
    """
    if data is not None and seen is not None:
        data = data.copy()
        data["seen"] = seen
    begun: dict[str, Any] = {"opened": draft.edited_at.isoformat(), "seen": seen or ""}
    kind: type[StepForm | CheckForm] = StepForm if part == STEPS else CheckForm
    if item is None and part == CHECKS:
        begun["answer"] = AnswerKind.SIGNS.value  # which is right for nearly every place
    if item is not None:
        begun |= {"key": item["key"], "seen": digest_of(item), **kind.begun(item)}
    # Where a page has one form open, its ids are told apart from those of the page's other forms.
    how: dict[str, Any] = {"initial": begun, "auto_id": f"{ASKED[part]}_%s"}
    if kind is StepForm:
        shared = [
            (name, f"{shares_told(name)} ({count} class{'' if count == 1 else 'es'})")
            for name, count in shared_openings(draft.yard).items()
        ]
        return StepForm(shared, data, **how)
    return CheckForm(
        _signs(draft),
        draft.template.component_class.usual_signs,
        [(step["key"], step["text"]) for step in draft.opening_steps],
        data,
        **how,
    )


def _signs(draft: TemplateVersion) -> list[tuple[str, str]]:
    """What can be seen: what speaks only of a place out of sight is an answer of its own, and no sign."""
    rows = Sign.objects.of_yard(draft.yard).order_by("name").values_list("code", "name", "conditions")
    return [(code, name) for code, name, conditions in rows if conditions != ["unseen"]]


__all__ = ["ASKED", "NEW", "form_asked", "item_form"]
