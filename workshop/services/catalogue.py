"""The stock catalogue of operations, materials and cautions, copied into a yard, whose own it is from then on."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from typing import Any

from django.db import transaction

from inspections.services.catalogue import Item, catalogue_items
from workshop.estimating.hours import ThreePoint
from workshop.estimating.packs import PackSize
from workshop.estimating.steps import steps_of
from workshop.models import Caution, Material, MaterialPack, Treatment
from yard.models import Yard
from yard.refusals import Refused

# The stock list gives each material a class of VAT. The yard's own rate is the only one it uses.
YARD_RATE = "standard"


@transaction.atomic
def cautions_load(*, yard: Yard, items: Sequence[Item] | None = None) -> int:
    """Copy the cautions; what the yard has already stays as it is. Returns how many were new."""
    rows = [
        Caution(yard=yard, code=item["code"], title=item["title"], text=item["text"])
        for item in (catalogue_items("cautions") if items is None else items)
    ]
    return _add(Caution, yard, rows)


@transaction.atomic
def materials_load(*, yard: Yard, items: Sequence[Item] | None = None) -> int:
    """Copy the price list; what the yard has already stays as it is. Returns how many were new.

    Raises:
        Refused: prose where a number belongs, a number outside its range, or an unknown class of VAT.
    """
    rows, packs = [], {}
    for position, item in enumerate(catalogue_items("materials") if items is None else items):
        place = f"materials.{position}"
        if item["vat_class"] != YARD_RATE:
            raise Refused(f"{place}.vat_class", f"is {item['vat_class']!r}", f"the stock list knows {YARD_RATE!r}")
        if item["charged_by"] not in Material.ChargedBy.values:
            known = ", ".join(Material.ChargedBy.values)
            raise Refused(f"{place}.charged_by", f"is {item['charged_by']!r}", f"give one of: {known}")
        packs[item["code"]] = [_pack(f"{place}.packs.{at}", pack) for at, pack in enumerate(item["packs"])]
        least = item["least_per_job"]
        rows.append(
            Material(
                yard=yard,
                code=item["code"],
                name=item["name"],
                unit=item["unit"],
                unit_price=_decimal(f"{place}.unit_price", item["unit_price"]),
                waste_pct=_decimal(f"{place}.waste_pct", item["waste_pct"]),
                least_per_job=None if least is None else _decimal(f"{place}.least_per_job", least),
                charged_by=item["charged_by"],
            )
        )
    had = set(Material.objects.of_yard(yard).values_list("code", flat=True))
    new = _add(Material, yard, rows)
    keys = dict(Material.objects.of_yard(yard).exclude(code__in=had).values_list("code", "pk"))
    MaterialPack.objects.bulk_create(
        [
            MaterialPack(
                yard=yard, material_id=key, name=pack.name, plural=pack.plural, size=pack.size, price=pack.price
            )
            for code, key in keys.items()
            for pack in packs.get(code, ())
        ],
        ignore_conflicts=True,
    )
    return new


def _pack(place: str, item: Item) -> PackSize:
    size, price = (_decimal(f"{place}.{name}", item[name]) for name in ("size", "price"))
    try:
        return PackSize(size, price, item["name"], item["plural"])
    except Refused as refusal:
        raise refusal.under(place) from refusal


@transaction.atomic
def treatments_load(*, yard: Yard, items: Sequence[Item] | None = None) -> int:
    """Copy the operations; what the yard has already stays as it is. Load materials and cautions first.

    Raises:
        Refused: hours, waits or quantities that are no numbers or out of order, or an operation that names a
            material or a caution the yard does not have.
    """
    materials = set(Material.objects.of_yard(yard).values_list("code", flat=True))
    cautions = set(Caution.objects.of_yard(yard).values_list("code", flat=True))
    rows = []
    for position, item in enumerate(catalogue_items("treatments") if items is None else items):
        place = f"treatments.{position}"
        _refuse_unknown(f"{place}.cautions", item["cautions"], cautions, "caution")
        needed = [*item["materials"], *(need for extra in item["extras"] for need in extra["materials"])]
        _refuse_unknown(f"{place}.materials", [need["item"] for need in needed], materials, "material")
        for need in needed:
            for name in ("low", "likely", "high"):
                _decimal(f"{place}.materials.{need['item']}.{name}", need[name])
        rows.append(_treatment(yard, place, item))
    return _add(Treatment, yard, rows)


def _treatment(yard: Yard, place: str, item: Item) -> Treatment:
    hours = {
        name: _decimal(f"{place}.{name}", item[name])
        for name in ("hours_low", "hours_likely", "hours_high", "setup_hours")
    }
    try:
        ThreePoint(hours["hours_low"], hours["hours_likely"], hours["hours_high"])
        steps_of(item["steps"])
    except Refused as refusal:
        raise refusal.under(place) from refusal
    as_it_is = (
        "code", "name", "unit", "suits_signs", "suits_conditions", "suits_classes", "steps", "tools", "needs",
        "materials", "extras", "minimum_temperature_c", "maximum_moisture_pct", "needs_shelter",
        "needs_dry_weather", "cautions", "limits", "basis",
    )  # fmt: skip
    return Treatment(yard=yard, **hours, **{name: item[name] for name in as_it_is})


def _add(model: type[Caution] | type[Material] | type[Treatment], yard: Yard, rows: Sequence[Any]) -> int:
    had = set(model.objects.of_yard(yard).values_list("code", flat=True))
    # Another loader may be at it as well: the constraint decides, and its row is as good as ours.
    model.objects.bulk_create([row for row in rows if row.code not in had], ignore_conflicts=True)
    return model.objects.of_yard(yard).count() - len(had)


def _refuse_unknown(field: str, codes: Sequence[str], known: set[str], what: str) -> None:
    missing = sorted(set(codes) - known)
    if missing:
        raise Refused(field, f"names no {what} of the yard: {', '.join(missing)}", f"add the {what} first")


def _decimal(field: str, value: object) -> Decimal:
    try:
        number = Decimal(str(value))
    except InvalidOperation:
        number = Decimal("NaN")
    if not number.is_finite():
        raise Refused(field, f"is no number: {value!r}", 'give a decimal number as text, like "0.35"')
    return number


__all__ = ["cautions_load", "materials_load", "treatments_load"]
