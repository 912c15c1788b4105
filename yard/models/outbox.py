from __future__ import annotations

from datetime import datetime
from typing import Self

from django.db import models
from django.db.models import Q

from yard.models.yards import Yard


class OutboxQuerySet(models.QuerySet["OutboxRow"]):
    def open(self) -> Self:
        """Neither done nor given up."""
        return self.filter(done_at__isnull=True, failed_at__isnull=True)

    def due(self, now: datetime) -> Self:
        """Open, its time has come, and nobody holds a lease on it; in the order in which it was asked for."""
        free = Q(lease_until__isnull=True) | Q(lease_until__lte=now)
        return self.open().filter(free, not_before__lte=now).order_by("not_before", "id")


class OutboxRow(models.Model):
    """Work that must happen. It is written in the transaction of the change that asks for it (see yard/outbox)."""

    yard = models.ForeignKey(Yard, on_delete=models.PROTECT, null=True, related_name="+")
    task = models.CharField(max_length=80)
    arguments = models.JSONField(default=dict)
    # The same key twice is the same work: the second row is not written while the first is open.
    key = models.CharField(max_length=200)
    # Asked for again while somebody was at it: what they read may be out of date by now.
    times_asked = models.PositiveIntegerField(default=1)
    created_at = models.DateTimeField()
    not_before = models.DateTimeField()
    lease_until = models.DateTimeField(null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    last_error = models.TextField(blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    failed_at = models.DateTimeField(null=True, blank=True)

    objects = OutboxQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["key"],
                condition=Q(done_at__isnull=True, failed_at__isnull=True),
                name="one_open_outbox_row_per_key",
            ),
            models.CheckConstraint(
                condition=Q(done_at__isnull=True) | Q(failed_at__isnull=True),
                name="outbox_row_done_or_failed",
            ),
        ]
        indexes = [
            # serves the claim and the sweep: open rows in the order they were asked for
            models.Index(
                fields=["not_before", "id"],
                condition=Q(done_at__isnull=True, failed_at__isnull=True),
                name="outbox_open_in_order",
            ),
            # serves the office's list of what gave up
            models.Index(fields=["yard", "failed_at"], condition=Q(failed_at__isnull=False), name="outbox_failed"),
        ]

    def __str__(self) -> str:
        return f"{self.task} {self.key}"
