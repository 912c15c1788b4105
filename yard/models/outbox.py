from __future__ import annotations

from django.db import models
from django.db.models import Q

from yard.models.yards import Yard


class OutboxRow(models.Model):
    """Work that must happen. It is written in the transaction of the change that asks for it (see yard/outbox)."""

    yard = models.ForeignKey(Yard, on_delete=models.PROTECT, null=True, related_name="+")
    task = models.CharField(max_length=80)
    arguments = models.JSONField(default=dict)
    # The same key twice is the same work: the second row is not written while the first is open.
    key = models.CharField(max_length=200)
    created_at = models.DateTimeField()
    not_before = models.DateTimeField()
    lease_until = models.DateTimeField(null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    last_error = models.TextField(blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    failed_at = models.DateTimeField(null=True, blank=True)

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
