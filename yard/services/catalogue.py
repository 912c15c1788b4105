"""The stock catalogue of component classes. A yard gets a copy and goes its own way from there."""

from __future__ import annotations

import json
from typing import Any

from django.conf import settings

from yard.models import ComponentClass, Yard
from yard.vocabulary import Contact, Load, SafetyRole, Water

FILE = "catalogue/component_classes.json"


def component_classes_load(*, yard: Yard) -> list[ComponentClass]:
    """Copy the stock classes that the yard does not have yet. What it has, changed or not, is left alone.

    Returns:
        The classes that were added.
    """
    items = json.loads((settings.FIXTURES_FOLDER / FILE).read_text(encoding="utf-8"))["items"]
    there = set(ComponentClass.objects.of_yard(yard).values_list("code", flat=True))
    rows: list[ComponentClass] = ComponentClass.objects.bulk_create(
        _component_class(yard, item) for item in items if item["code"] not in there
    )
    return rows


def _component_class(yard: Yard, item: dict[str, Any]) -> ComponentClass:
    # A word outside the vocabulary stops here with a ValueError that names it.
    return ComponentClass(
        yard=yard,
        code=item["code"],
        name=item["name"],
        group=item["group"],
        fits=item["fits"],
        contact=[Contact(code).value for code in item["contact"]],
        load=[Load(code).value for code in item["load"]],
        water=[Water(code).value for code in item["water"]],
        safety_role=SafetyRole(item["safety_role"]).value,
        hidden_by=item["hidden_by"],
        look_first_at=item["look_first_at"],
        usual_signs=item["usual_signs"],
        recheck_months=item["recheck_months"],
        open_up_months=item["open_up_months"],
        basis=item["basis"],
    )
