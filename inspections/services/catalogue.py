"""The stock list of signs and templates, copied into a yard, whose own it is from then on."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import transaction

from inspections.judgement.vocabulary import Condition
from inspections.models import Sign, Template, TemplateVersion
from inspections.templates import document
from yard.models import ComponentClass, Yard
from yard.refusals import Refused

Item = Mapping[str, Any]


def catalogue_items(name: str) -> Sequence[Item]:
    """The items of one file of the stock catalogue."""
    file = Path(settings.FIXTURES_FOLDER) / "catalogue" / f"{name}.json"
    items: Sequence[Item] = json.loads(file.read_text(encoding="utf-8"))["items"]
    return items


@transaction.atomic
def signs_load(*, yard: Yard, items: Sequence[Item] | None = None) -> int:
    """Copy the signs; what the yard has already stays as it is. Returns how many were new.

    Raises:
        Refused: a sign that speaks for no condition, or for one that judgement does not know.
    """
    had = set(Sign.objects.of_yard(yard).values_list("code", flat=True))
    rows = []
    for position, item in enumerate(catalogue_items("signs") if items is None else items):
        _refuse_conditions(f"signs[{position}].conditions", item["conditions"])
        if item["code"] not in had:
            rows.append(_sign(yard, item))
    # Another loader may be at it as well: the constraint decides, and its row is as good as ours.
    Sign.objects.bulk_create(rows, ignore_conflicts=True)
    return Sign.objects.of_yard(yard).count() - len(had)


@transaction.atomic
def templates_load(*, yard: Yard, at: datetime, items: Sequence[Item] | None = None) -> int:
    """Publish version 1 of a template for each class of the yard that has none. Load classes and signs first.

    Returns how many templates were new.

    Raises:
        RefusedMany: a text that makes no sense, such as `templates[3].checks[2].reading.maximum`.
    """
    signs = set(Sign.objects.of_yard(yard).values_list("code", flat=True))
    # Held while the templates are made, so that two loaders don't both find none.
    without = {
        component_class.code: component_class
        for component_class in ComponentClass.objects.of_yard(yard).select_for_update(no_key=True).order_by("pk")
    }
    for code in Template.objects.of_yard(yard).values_list("component_class__code", flat=True):
        without.pop(code, None)
    templates, versions = [], []
    for position, item in enumerate(catalogue_items("templates") if items is None else items):
        try:
            text = document.read(item["opening_steps"], item["checks"], sign_codes=signs)
        except Refused as refusal:
            raise refusal.under(f"templates[{position}]") from refusal
        component_class = without.get(item["component_class"])
        if component_class is None:
            continue
        template = Template(yard=yard, component_class=component_class, title=item["title"])
        templates.append(template)
        versions.append(
            TemplateVersion(
                yard=yard,
                template=template,
                number=1,
                opening_steps=text.opening_steps_json(),
                checks=text.checks_json(),
                note="from the stock list",
                created_at=at,
                edited_at=at,
                published_at=at,
            )
        )
    Template.objects.bulk_create(templates)
    TemplateVersion.objects.bulk_create(versions)
    return len(templates)


def _sign(yard: Yard, item: Item) -> Sign:
    return Sign(
        yard=yard,
        code=item["code"],
        name=item["name"],
        record_as=item["record_as"],
        size_unit=item["size_unit"],
        meaning=item["meaning"],
        confirm_by=item["confirm_by"],
        made_worse_by="; ".join(item["made_worse_by"]),
        raises="; ".join(item["raises"]),
        lowers="; ".join(item["lowers"]),
        conditions=item["conditions"],
        basis=item["basis"],
    )


def _refuse_conditions(field: str, conditions: Sequence[str]) -> None:
    known = [condition.value for condition in Condition]
    if not conditions or not set(conditions) <= set(known):
        raise Refused(
            field, f"{list(conditions)} says nothing to judgement", f"give one or more of: {', '.join(known)}"
        )


__all__ = ["catalogue_items", "signs_load", "templates_load"]
