"""The yard's price list: what a material costs, in what sizes it is bought, how it is charged, its class of VAT."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from functools import partial
from typing import Any, Final

from django.db import transaction

from workshop.estimating.packs import LARGEST_PRICE, LARGEST_SIZE, MOST_SIZES
from workshop.models import Material, MaterialPack
from yard.models import DeedKind, Member, VatClass
from yard.refusals import Refused
from yard.services.checks import Sheet, choice_check, decimal_check, text_check
from yard.services.deeds import change_note

FIELDS: Final = ("unit_price", "charged_by", "vat_class", "packs")
DEAREST_UNIT: Final = Decimal(100_000)
LEAST_SIZE: Final = Decimal("0.001")
USUAL_WORDS: Final = {"name": "pack", "plural": "packs"}


@transaction.atomic
def material_change(
    *, material: Material, changes: Mapping[str, Any], at: datetime, by: Member | None = None
) -> Material:
    """Change what stands on the price list. What is not named stays; quotes stay as they were sent.

    Args:
        changes: `unit_price` (net), `charged_by`, `vat_class` (None: that of the yard's work), and `packs`, each
            with `name`, `plural`, `size` and net `price`, which take the place of those before.

    Raises:
        Refused, RefusedMany: a field that can't be changed, a value out of range, a class of another yard, a size
            twice or too many of them, or whole packs without a size.
    """
    held = (
        Material.objects.select_for_update(of=("self",), no_key=True)
        .select_related("vat_class")
        .get(pk=material.pk)
    )
    unknown = sorted(set(changes) - set(FIELDS))
    if unknown:
        raise Refused(unknown[0], "can't be changed", f"change one of: {', '.join(FIELDS)}")
    before = _told_of(held)
    sheet = Sheet()
    for field, value in changes.items():
        if field != "packs":
            checked = sheet.read(partial(_checked, held, field, value), value)
            setattr(held, field, checked)
    packs = None if "packs" not in changes else _packs_checked(sheet, held, changes["packs"])
    there = held.packs.exists() if packs is None else bool(packs)
    sheet.hold(
        there or held.charged_by != Material.ChargedBy.PACK,
        Refused("charged_by", "is by whole packs, and there is no size", "enter a size, or charge the amount used"),
    )
    sheet.close()
    held.save()
    if packs is not None:
        held.packs.all().delete()
        MaterialPack.objects.bulk_create(packs)
    kind, what = DeedKind.SETTINGS_CHANGED, f"material {held.name}"
    change_note(row=held, kind=kind, what=what, before=before, after=_told_of(held), by=by, at=at)
    return held


def _checked(material: Material, field: str, value: Any) -> Any:
    if field == "unit_price":
        return decimal_check(value, field=field, low=Decimal(0), high=DEAREST_UNIT, places=4, unit="a unit")
    if field == "charged_by":
        return choice_check(value, Material.ChargedBy.values, field=field)
    if value is not None and not (isinstance(value, VatClass) and value.yard_id == material.yard_id):
        raise Refused(field, "is no class of this yard", "name one of the yard's classes of VAT")
    return value


def _packs_checked(sheet: Sheet, material: Material, packs: Sequence[Mapping[str, Any]]) -> list[MaterialPack]:
    """Sizes of the material, not yet stored."""
    sheet.hold(len(packs) <= MOST_SIZES, Refused("packs", f"are {len(packs)}", f"give {MOST_SIZES} at most"))
    made: list[MaterialPack] = []
    for at, pack in enumerate(packs[:MOST_SIZES]):
        given = {
            field: sheet.read(partial(_pack_checked, f"packs.{at}", field, pack), pack.get(field))
            for field in ("name", "plural", "size", "price")
        }
        twice = any(each.size == given["size"] for each in made)
        sheet.hold(not twice, Refused(f"packs.{at}.size", "stands there twice", "give each size once"))
        made.append(MaterialPack(yard_id=material.yard_id, material=material, **given))
    return made


def _pack_checked(place: str, field: str, pack: Mapping[str, Any]) -> Any:
    where = f"{place}.{field}"
    if field in ("name", "plural"):
        return text_check(pack.get(field, USUAL_WORDS[field]), field=where, longest=40)
    if field == "size":
        return decimal_check(pack.get(field), field=where, low=LEAST_SIZE, high=LARGEST_SIZE, places=3)
    return decimal_check(pack.get(field), field=where, low=Decimal(0), high=LARGEST_PRICE, places=2)


def _told_of(material: Material) -> dict[str, Any]:
    vat_class = material.vat_class
    return {
        "unit_price": material.unit_price.normalize(),
        "charged_by": material.get_charged_by_display(),
        "vat_class": "" if vat_class is None else vat_class.code,
        "packs": [f"{pack} at {pack.price:f}" for pack in material.packs.select_related("material")],
    }


__all__ = ["DEAREST_UNIT", "material_change"]
