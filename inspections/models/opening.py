"""What was said of the opening up: each step done, or not possible and why."""

from __future__ import annotations

import uuid

from django.db import models
from django.db.models import Q

from inspections.models.inspections import Inspection, OpeningStep
from yard.database_rules import AppendOnly, SameYard
from yard.models import DeviceToken, Member, YardOwned
from yard.models.fields import one_of


class StepOutcome(models.TextChoices):
    DONE = "done", "done"
    NOT_POSSIBLE = "not_possible", "not possible"


class StepEntry(YardOwned):
    """An opening-up step, as a technician found it. Written once; a later one for the same step takes its place."""

    database_rules = (
        AppendOnly(),
        SameYard("inspection"),
        SameYard("step"),
        SameYard("author"),
        SameYard("device"),
    )

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, related_name="step_entries")
    step = models.ForeignKey(OpeningStep, on_delete=models.PROTECT, related_name="entries")
    outcome = models.CharField(max_length=20, choices=StepOutcome.choices)
    reason = models.CharField(max_length=300, blank=True)
    author = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    device = models.ForeignKey(DeviceToken, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    sequence = models.PositiveIntegerField(null=True, blank=True, help_text="the device's own count")
    observed_at = models.DateTimeField(help_text="the device's clock, put right by its offset where that is known")
    device_clock_at = models.DateTimeField(null=True, blank=True, help_text="what the device's clock said")
    clock_offset_ms = models.BigIntegerField(
        null=True, blank=True, help_text="server minus device; empty: not known"
    )
    received_at = models.DateTimeField(help_text="the server's clock")
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["observed_at", "id"]
        verbose_name_plural = "step entries"
        constraints = [
            one_of("outcome", StepOutcome, name="step_entry_outcome_is_known"),
            models.CheckConstraint(
                condition=~Q(outcome="not_possible") | ~Q(reason=""), name="step_not_possible_says_why"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.outcome} {self.id}"


__all__ = ["StepEntry", "StepOutcome"]
