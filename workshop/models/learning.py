from __future__ import annotations

from decimal import Decimal

from django.db import models
from django.db.models import F, Q

from inspections.learning import MINIMUM_OBSERVATIONS
from workshop.estimating.hours import ThreePoint
from workshop.models.catalogue import Treatment
from yard.database_rules import AppendOnly, SameYard
from yard.models import Member, YardOwned


def _hours() -> models.DecimalField[Decimal, Decimal]:
    return models.DecimalField(max_digits=7, decimal_places=2)


class HoursAdopted(YardOwned):
    """A manager's word that a treatment is estimated by what the yard's own hours say, with what stood before."""

    database_rules = (AppendOnly(), SameYard("treatment"), SameYard("adopted_by"))

    treatment = models.ForeignKey(Treatment, on_delete=models.PROTECT, related_name="adoptions")
    hours_low_before = _hours()
    hours_likely_before = _hours()
    hours_high_before = _hours()
    hours_low = _hours()
    hours_likely = _hours()
    hours_high = _hours()
    jobs = models.PositiveIntegerField(help_text="done jobs behind the figures")
    why = models.TextField()
    adopted_by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    adopted_at = models.DateTimeField()

    class Meta:
        ordering = ["-adopted_at", "-id"]
        constraints = [
            models.CheckConstraint(condition=~Q(why=""), name="hours_adopted_says_why"),
            models.CheckConstraint(condition=Q(jobs__gte=MINIMUM_OBSERVATIONS), name="hours_adopted_has_the_jobs"),
            models.CheckConstraint(
                condition=Q(hours_low__gte=0, hours_likely__gte=F("hours_low"), hours_high__gte=F("hours_likely")),
                name="hours_adopted_in_order",
            ),
        ]
        indexes = [models.Index(fields=["yard", "-adopted_at"], name="hours_adopted_by_day")]

    def __str__(self) -> str:
        return f"hours of {self.treatment_id} adopted on {self.adopted_at:%Y-%m-%d}"

    @property
    def hours(self) -> ThreePoint:
        """Hours per unit that were adopted [h]."""
        return ThreePoint(self.hours_low, self.hours_likely, self.hours_high)

    @property
    def hours_before(self) -> ThreePoint:
        """Hours per unit that stood before [h]."""
        return ThreePoint(self.hours_low_before, self.hours_likely_before, self.hours_high_before)


__all__ = ["HoursAdopted"]
