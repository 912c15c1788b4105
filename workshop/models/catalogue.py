from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from yard.database_rules import SameYard
from yard.models import VatClass, YardOwned
from yard.models.fields import between, one_of


class Treatment(YardOwned):
    """An operation of the trade: its steps and waits, the hours and materials a unit of it takes."""

    code = models.CharField(max_length=40)
    name = models.CharField(max_length=120)
    trade = models.CharField(max_length=40, default="shipwright", help_text="whose hourly rate applies")
    unit = models.CharField(max_length=20)
    suits_signs = models.JSONField(default=list)
    suits_conditions = models.JSONField(default=list)
    # component class codes; empty means any
    suits_classes = models.JSONField(default=list)
    # [{"text", "wait": null | {"for", "hours_low", "hours_likely", "hours_high", "cold_factor"}}]
    steps = models.JSONField(default=list)
    tools = models.JSONField(default=list)
    needs = models.JSONField(default=list)
    hours_low = models.DecimalField(max_digits=7, decimal_places=2)
    hours_likely = models.DecimalField(max_digits=7, decimal_places=2)
    hours_high = models.DecimalField(max_digits=7, decimal_places=2)
    setup_hours = models.DecimalField(max_digits=7, decimal_places=2, default=0)
    # [{"item": material code, "low", "likely", "high"}] for one unit of work
    materials = models.JSONField(default=list)
    # more of the same that is counted apart, each with code, name, unit, three hours and materials
    extras = models.JSONField(default=list)
    minimum_temperature_c = models.SmallIntegerField(null=True, blank=True)
    maximum_moisture_pct = models.PositiveSmallIntegerField(null=True, blank=True)
    needs_shelter = models.BooleanField(default=False)
    needs_dry_weather = models.BooleanField(default=False)
    cautions = models.JSONField(default=list)
    limits = models.TextField(blank=True)
    basis = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["yard", "code"], name="one_treatment_per_code"),
            models.CheckConstraint(
                condition=Q(hours_low__gte=0, hours_likely__gte=F("hours_low"), hours_high__gte=F("hours_likely")),
                name="treatment_hours_in_order",
            ),
            between("setup_hours", 0, 1000, name="treatment_setup_plausible"),
        ]

    def __str__(self) -> str:
        return self.name


class ChargedBy(models.TextChoices):
    AMOUNT = "amount", "the amount used: what is opened keeps"
    PACK = "pack", "whole packs: what is opened for a job can't be kept"


class Material(YardOwned):
    """An item of the yard's price list."""

    database_rules = (SameYard("vat_class"),)

    ChargedBy = ChargedBy

    code = models.CharField(max_length=40)
    name = models.CharField(max_length=120)
    unit = models.CharField(max_length=12)
    unit_price = models.DecimalField(max_digits=10, decimal_places=4, help_text="net, per unit")
    waste_pct = models.DecimalField(max_digits=5, decimal_places=2, default=0)
    least_per_job = models.DecimalField(
        max_digits=8,
        decimal_places=2,
        null=True,
        blank=True,
        help_text="the smallest amount worth mixing",
    )
    charged_by = models.CharField(max_length=10, choices=ChargedBy.choices, default=ChargedBy.AMOUNT)
    vat_class = models.ForeignKey(
        VatClass,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="materials",
        help_text="empty: that of the yard's work",
    )

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["yard", "code"], name="one_material_per_code"),
            models.CheckConstraint(condition=Q(unit_price__gte=0), name="material_price_not_negative"),
            between("waste_pct", 0, 300, name="material_waste_plausible"),
            between("least_per_job", 0, 100_000, name="material_least_plausible"),
            one_of("charged_by", ChargedBy, name="material_charged_by_amount_or_pack"),
        ]

    def __str__(self) -> str:
        return self.name


class MaterialPack(YardOwned):
    """A size in which a material is bought. The size is in the material's unit, the price net for one pack."""

    database_rules = (SameYard("material"),)

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="packs")
    name = models.CharField(max_length=40, default="pack", help_text="what one is called, like cartridge")
    plural = models.CharField(max_length=40, default="packs", help_text="what several are called")
    size = models.DecimalField(max_digits=9, decimal_places=3, help_text="what it holds, in the material's unit")
    price = models.DecimalField(max_digits=10, decimal_places=2, help_text="net, for one pack")

    class Meta:
        ordering = ["size"]
        constraints = [
            models.UniqueConstraint(fields=["material", "size"], name="one_pack_per_size"),
            models.CheckConstraint(condition=Q(size__gt=0, size__lte=100_000), name="pack_size_plausible"),
            models.CheckConstraint(condition=Q(price__gte=0, price__lte=1_000_000), name="pack_price_plausible"),
            models.CheckConstraint(condition=~Q(name="") & ~Q(plural=""), name="pack_has_a_name"),
        ]

    def __str__(self) -> str:
        return f"{self.name} of {self.size.normalize():f} {self.material.unit}"


class Caution(YardOwned):
    """A hazard of the work and the usual care. Local codes and licensed practice come first."""

    code = models.CharField(max_length=40)
    title = models.CharField(max_length=120)
    text = models.TextField()

    class Meta:
        ordering = ["title"]
        constraints = [models.UniqueConstraint(fields=["yard", "code"], name="one_caution_per_code")]

    def __str__(self) -> str:
        return self.title
