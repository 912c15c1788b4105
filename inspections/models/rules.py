from __future__ import annotations

from django.db import models
from django.db.models import Q

from yard.database_rules import AppendOnly, SameYard
from yard.models import Member, YardOwned


class RuleEdition(YardOwned):
    """A yard's own figures, laid over the stock rules of judgement from a day on. The latest one holds."""

    database_rules = (AppendOnly(), SameYard("adopted_by"))

    # the structure of the rule data, with the yard's own figures alone; empty goes back to the stock rules
    overrides = models.JSONField(default=dict)
    why = models.TextField()
    adopted_by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    adopted_at = models.DateTimeField()

    class Meta:
        ordering = ["-adopted_at", "-id"]
        constraints = [models.CheckConstraint(condition=~Q(why=""), name="rule_edition_says_why")]
        indexes = [models.Index(fields=["yard", "-adopted_at"], name="rule_editions_by_day")]

    def __str__(self) -> str:
        return f"rules adopted on {self.adopted_at:%Y-%m-%d}"


__all__ = ["RuleEdition"]
