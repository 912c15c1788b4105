from __future__ import annotations

from django.db import models
from django.db.models import Q

from yard.database_rules import SameYard
from yard.models.fields import between, one_of
from yard.models.scoping import YardOwned


class VatCategory(models.TextChoices):
    """The kinds that a yard's own work and materials fall under, of EN 16931's VAT category codes; from memory.

    A reduced rate is S there as well: AA of the wider list (UNTDID 5305) is not among the standard's codes.
    """

    STANDARD = "S", "a rate, full or reduced"
    ZERO = "Z", "zero rated"
    EXEMPT = "E", "exempt"


class VatClass(YardOwned):
    """A class of VAT on the yard's price list, like standard, reduced, zero. Its rates hold from a day on."""

    Category = VatCategory

    code = models.CharField(max_length=40)
    name = models.CharField(max_length=120)
    category = models.CharField(max_length=2, choices=VatCategory.choices, default=VatCategory.STANDARD)
    for_work = models.BooleanField(default=False, help_text="the yard's work, and materials in no class, are in it")

    class Meta:
        ordering = ["code"]
        verbose_name = "VAT class"
        verbose_name_plural = "VAT classes"
        constraints = [
            models.UniqueConstraint(fields=["yard", "code"], name="one_vat_class_per_code"),
            models.UniqueConstraint(fields=["yard"], condition=Q(for_work=True), name="one_vat_class_for_work"),
            one_of("category", VatCategory, name="vat_category_is_known"),
        ]

    def __str__(self) -> str:
        return self.name


class VatRate(YardOwned):
    """The rate of a class from a day on, until the next one begins."""

    database_rules = (SameYard("vat_class"),)

    vat_class = models.ForeignKey(VatClass, on_delete=models.CASCADE, related_name="rates")
    rate_pct = models.DecimalField(max_digits=5, decimal_places=2)
    valid_from = models.DateField()

    class Meta:
        ordering = ["valid_from"]
        verbose_name = "VAT rate"
        constraints = [
            models.UniqueConstraint(fields=["vat_class", "valid_from"], name="one_vat_rate_from_a_day"),
            between("rate_pct", 0, 100, name="vat_rate_is_a_percentage"),
        ]

    def __str__(self) -> str:
        return f"{self.rate_pct} % from {self.valid_from.isoformat()}"


__all__ = ["VatCategory", "VatClass", "VatRate"]
