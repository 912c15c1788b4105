"""The classes of VAT on the yard's price list, and their rates from a day on."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from yard.models import DeedKind, Member, VatClass, VatRate, Yard
from yard.models.vat import VatCategory
from yard.refusals import Refused
from yard.services.checks import Sheet, choice_check, decimal_check, text_check
from yard.services.deeds import change_note


@transaction.atomic
def vat_class_set(
    *,
    yard: Yard,
    code: str,
    name: str,
    category: str,
    rate_pct: Decimal,
    valid_from: date,
    at: datetime,
    by: Member | None = None,
    for_work: bool = False,
) -> VatClass:
    """Enter a class of VAT with a rate that holds from a day on, or change it. Quotes stay as they were sent.

    Args:
        yard: whose it is.
        code: of the class, which materials point to.
        name: as people read it.
        category: S, Z or E of EN 16931; Z and E go with 0 %, S with more (BR-S-05, BR-Z-05, BR-E-05; from memory).
        rate_pct: the rate [%], 0 to 100, two decimals at most.
        valid_from: from this day on, until the next rate of the class begins.
        for_work: the yard's work, and materials in no class, are in it; taken from the class that had it.

    Raises:
        Refused: a value that can't be, or a rate that does not go with the category.
    """
    sheet = Sheet()
    sheet.read(lambda: text_check(code, field="code", longest=40), "")
    sheet.read(lambda: text_check(name, field="name", longest=120), "")
    sheet.read(lambda: choice_check(category, VatCategory.values, field="category"), "")
    rate = sheet.read(
        lambda: decimal_check(rate_pct, field="rate_pct", low=Decimal(0), high=Decimal(100), places=2, unit="%"),
        Decimal(0),
    )
    sheet.close()
    if (rate > 0) != (category == VatCategory.STANDARD):
        wanted = "more than 0" if category == VatCategory.STANDARD else "0"
        raise Refused("rate_pct", f"is {rate} % in category {category}", f"give {wanted}, or another category")
    before = vat_class_told(yard, code, valid_from)
    if for_work:
        VatClass.objects.of_yard(yard).exclude(code=code).filter(for_work=True).update(for_work=False)
    vat_class: VatClass
    vat_class, _ = VatClass.objects.update_or_create(
        yard=yard, code=code, defaults={"name": name, "category": category, "for_work": for_work}
    )
    VatRate.objects.update_or_create(
        yard=yard, vat_class=vat_class, valid_from=valid_from, defaults={"rate_pct": rate}
    )
    kind, after = DeedKind.SETTINGS_CHANGED, vat_class_told(yard, code, valid_from)
    change_note(row=vat_class, kind=kind, what=f"VAT class {code}", before=before, after=after, by=by, at=at)
    return vat_class


def vat_class_told(yard: Yard, code: str, valid_from: date) -> dict[str, object]:
    """A class of VAT as the deeds tell it, with the rate that begins on a day; empty where there is none."""
    row: VatClass | None = VatClass.objects.of_yard(yard).filter(code=code).first()
    if row is None:
        return {}
    rate = row.rates.filter(valid_from=valid_from).values_list("rate_pct", flat=True).first()
    return {
        "name": row.name,
        "category": row.get_category_display(),
        "for_work": row.for_work,
        f"rate in % from {valid_from.isoformat()}": rate,
    }


__all__ = ["vat_class_set"]
