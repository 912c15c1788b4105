"""What is written down while a job is done: steps ticked, the meter read, material used."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from inspections.models import Finding
from workshop.models.catalogue import Material
from workshop.models.jobs import Job, Operation
from yard.database_rules import AppendOnly, SameYard
from yard.models import Member, YardOwned
from yard.models.fields import between, one_of


class TickKind(models.TextChoices):
    DONE = "done", "done"
    TAKEN_BACK = "taken_back", "taken back"
    LEFT_OUT = "left_out", "left out"


class StepTick(YardOwned):
    """A word on one step of a job. The last one stands; taking a tick back is a further row."""

    database_rules = (AppendOnly(), SameYard("job"), SameYard("operation"), SameYard("by"))

    Kind = TickKind

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="ticks")
    # the first of the operations that are done together
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="ticks")
    step = models.PositiveSmallIntegerField(help_text="counted from 1")
    # as the catalogue had it: the yard may write its steps anew
    text = models.TextField()
    kind = models.CharField(max_length=20, choices=TickKind.choices)
    turn = models.PositiveSmallIntegerField(help_text="the how manieth word on this step, from 1")
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    ticked_at = models.DateTimeField()
    note = models.CharField(max_length=300, blank=True)
    reason = models.CharField(max_length=300, blank=True, help_text="why early, out of turn or not at all")
    # what the calendar said when it was ticked before its time
    allowed_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["ticked_at", "id"]
        constraints = [
            one_of("kind", TickKind, name="tick_kind_is_known"),
            models.UniqueConstraint(fields=["operation", "step", "turn"], name="one_word_on_a_step_each_turn"),
            models.CheckConstraint(condition=Q(step__gte=1, turn__gte=1), name="tick_counts_from_one"),
            models.CheckConstraint(condition=~Q(kind="left_out") | ~Q(reason=""), name="left_out_step_says_why"),
            models.CheckConstraint(
                condition=Q(allowed_on__isnull=True) | ~Q(reason=""), name="early_tick_says_why"
            ),
        ]

    def __str__(self) -> str:
        return f"step {self.step} {self.kind}"


class MeterReading(YardOwned):
    """The moisture of the wood at a finding while its job is in work: what ends a drying wait early, or doesn't."""

    database_rules = (AppendOnly(), SameYard("job"), SameYard("finding"), SameYard("by"))

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="meter_readings")
    finding = models.ForeignKey(Finding, on_delete=models.PROTECT, related_name="meter_readings")
    moisture_pct = models.DecimalField(max_digits=5, decimal_places=1, help_text="% of dry mass")
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    read_at = models.DateTimeField()
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["read_at", "id"]
        constraints = [between("moisture_pct", 0, 120, name="meter_reading_plausible")]

    def __str__(self) -> str:
        return f"{self.moisture_pct} %"


class MaterialLog(YardOwned):
    """Material really used on a job. Corrections are further lines, negative ones too."""

    database_rules = (AppendOnly(), SameYard("job"), SameYard("material"), SameYard("member"))

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="material_logs")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="+")
    member = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    used_on = models.DateField()
    quantity = models.DecimalField(max_digits=10, decimal_places=3)
    unit = models.CharField(max_length=12, help_text="as the list had it that day")
    note = models.CharField(max_length=300, blank=True)
    booked_at = models.DateTimeField()

    class Meta:
        ordering = ["used_on", "id"]
        constraints = [
            models.CheckConstraint(condition=~Q(quantity=0), name="material_log_is_of_something"),
            between("quantity", -100_000, 100_000, name="material_log_plausible"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} {self.unit}"


__all__ = ["MaterialLog", "MeterReading", "StepTick", "TickKind"]
