from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from yard.models import YardOwned
from yard.models.fields import between


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


class Material(YardOwned):
    """An item of the yard's price list."""

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
    vat_rate_pct = models.DecimalField(
        max_digits=5, decimal_places=2, null=True, blank=True, help_text="empty: the yard's rate"
    )

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["yard", "code"], name="one_material_per_code"),
            models.CheckConstraint(condition=Q(unit_price__gte=0), name="material_price_not_negative"),
            between("waste_pct", 0, 300, name="material_waste_plausible"),
            between("least_per_job", 0, 100_000, name="material_least_plausible"),
            between("vat_rate_pct", 0, 100, name="material_vat_is_a_percentage"),
        ]

    def __str__(self) -> str:
        return self.name


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
