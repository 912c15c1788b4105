"""What ties jobs together beyond the boat: one that needs another, and work that was found on the way."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from workshop.models.jobs import Job
from yard.database_rules import AppendOnly, SameYard
from yard.models import Member, YardOwned


class JobNeed(YardOwned):
    """A job that makes no sense without another: coats need the repair under them."""

    database_rules = (SameYard("job"), SameYard("needed"))

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="needs")
    needed = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="needed_by")

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["job", "needed"], name="a_job_needs_another_once"),
            models.CheckConstraint(condition=~Q(job=F("needed")), name="a_job_needs_no_other_self"),
        ]

    def __str__(self) -> str:
        return f"{self.job_id} needs {self.needed_id}"


class ExtraWork(YardOwned):
    """Extra work found on an agreed job: how much, and whether the agreed ceiling had room for it.

    `more` is the job that was made of it for an addendum; none where the ceiling had room and the yard went on.
    """

    database_rules = (AppendOnly(), SameYard("job"), SameYard("more"), SameYard("by"))

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="extra_work")
    what = models.CharField(max_length=300)
    hours_likely = models.DecimalField(max_digits=8, decimal_places=2, help_text="of the extra work")
    hours_before = models.DecimalField(max_digits=8, decimal_places=2, help_text="expected or booked before it")
    hours_ceiling = models.DecimalField(max_digits=8, decimal_places=2, help_text="that the decider had agreed to")
    more = models.OneToOneField(Job, on_delete=models.PROTECT, null=True, blank=True, related_name="found_as")
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    found_at = models.DateTimeField()

    class Meta:
        ordering = ["found_at", "id"]
        verbose_name_plural = "extra work"
        constraints = [
            models.CheckConstraint(condition=Q(hours_likely__gt=0), name="extra_work_takes_hours"),
            models.CheckConstraint(
                condition=Q(more__isnull=False) | Q(hours_ceiling__gte=F("hours_before") + F("hours_likely")),
                name="extra_work_past_the_ceiling_is_asked_for",
            ),
        ]

    def __str__(self) -> str:
        return self.what


__all__ = ["ExtraWork", "JobNeed"]
