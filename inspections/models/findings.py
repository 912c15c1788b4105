from __future__ import annotations

import uuid

from django.db import models
from django.db.models import Q

from inspections.judgement.vocabulary import Condition, DueBackKind, Priority, RiskLevel
from inspections.models.inspections import Entry, Inspection
from yard.database_rules import FrozenOnce, SameYard
from yard.models import Boat, Component, Member, Spot, Surface, YardOwned
from yard.models.fields import between, choices_of, one_of


class FindingState(models.TextChoices):
    OPEN = "open", "open"
    WATCHED = "watched", "watched"
    HELD = "held", "held"
    DECLINED = "declined", "declined"
    DEFERRED = "deferred", "put off"
    REPAIRED = "repaired", "repaired, not yet verified"
    VERIFIED = "verified", "verified"
    WITHDRAWN = "withdrawn", "withdrawn by a later entry"
    SEEN_AGAIN = "seen_again", "looked at again since"
    JOINED = "joined", "joined to another, the same sign seen twice"


class Finding(YardOwned):
    """Signs at a spot in one inspection. The spot links it to what was found there in other years."""

    database_rules = (
        SameYard("boat"),
        SameYard("inspection"),
        SameYard("component"),
        SameYard("spot"),
        SameYard("entry"),
    )

    State = FindingState

    # Still somebody's business: these are taken over by the next inspection.
    LASTING = (State.OPEN, State.WATCHED, State.HELD, State.DECLINED, State.DEFERRED, State.REPAIRED)
    # Nobody's business any more; `seen_again` is where a later inspection has looked at the same spot, `joined`
    # where another finding speaks for it.
    ENDED = (State.VERIFIED, State.WITHDRAWN, State.SEEN_AGAIN, State.JOINED)

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, related_name="findings")
    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, related_name="findings")
    component = models.ForeignKey(
        Component, on_delete=models.PROTECT, null=True, blank=True, related_name="findings"
    )
    spot = models.ForeignKey(Spot, on_delete=models.PROTECT, null=True, blank=True, related_name="findings")
    # the entry that holds today; earlier ones are reached through its superseding chain
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="finding")
    state = models.CharField(max_length=20, choices=State.choices, default=State.OPEN)
    found_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-found_at"]
        constraints = [
            one_of("state", FindingState, name="finding_state_is_known"),
            models.CheckConstraint(
                condition=(
                    Q(state__in=["verified", "withdrawn", "seen_again", "joined"]) & Q(ended_at__isnull=False)
                )
                | (~Q(state__in=["verified", "withdrawn", "seen_again", "joined"]) & Q(ended_at__isnull=True)),
                name="ended_finding_says_when",
            ),
        ]
        indexes = [models.Index(fields=["yard", "state"], name="findings_by_state")]

    def __str__(self) -> str:
        return f"finding {self.id}"


class Assessment(YardOwned):
    """What a finding, or a place not seen, means by the rules of a version. A later one takes its place."""

    database_rules = (
        SameYard("entry"),
        SameYard("finding"),
        SameYard("boat"),
        FrozenOnce("made_at", ("entry", "finding", "priority", "due_back_on", "document", "rules_version")),
    )

    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, related_name="assessments")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="assessments")
    # empty where the entry says that the place was not seen
    finding = models.ForeignKey(
        Finding, on_delete=models.PROTECT, null=True, blank=True, related_name="assessments"
    )
    condition = models.CharField(max_length=30, choices=choices_of(Condition))
    severity = models.PositiveSmallIntegerField()
    probability_level = models.CharField(max_length=1)
    risk = models.CharField(max_length=12, choices=choices_of(RiskLevel))
    priority = models.CharField(max_length=20, choices=choices_of(Priority))
    due_back_on = models.DateField()
    due_back_kind = models.CharField(max_length=20, choices=choices_of(DueBackKind))
    treatments = models.JSONField(default=list)
    reasons = models.JSONField(default=list)
    # the whole judgement with its trace, as judgement.as_document() gives it
    document = models.JSONField()
    rules_version = models.CharField(max_length=40)
    inputs_digest = models.CharField(max_length=64)
    made_at = models.DateTimeField()
    superseded_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["entry"], condition=Q(superseded_at__isnull=True), name="one_standing_assessment_per_entry"
            ),
            models.UniqueConstraint(
                fields=["finding"],
                condition=Q(superseded_at__isnull=True, finding__isnull=False),
                name="one_standing_assessment_per_finding",
            ),
            between("severity", 1, 4, name="assessment_severity_is_a_category"),
            one_of("probability_level", "ABCDEF", name="assessment_probability_is_a_level"),
            one_of("risk", RiskLevel, name="assessment_risk_is_a_level"),
            one_of("priority", Priority, name="assessment_priority_is_known"),
            one_of("due_back_kind", DueBackKind, name="assessment_due_back_kind_is_known"),
            models.CheckConstraint(condition=~Q(reasons=[]), name="assessment_has_reasons"),
        ]
        indexes = [
            # serves the due-back book and the counts by priority
            models.Index(
                fields=["yard", "due_back_on"], condition=Q(superseded_at__isnull=True), name="standing_by_due_back"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.priority} by {self.due_back_on}"


class Overruling(YardOwned):
    """A manager's word against the computed judgement. Both stay visible."""

    database_rules = (
        SameYard("finding"),
        SameYard("assessment"),
        SameYard("by"),
        FrozenOnce("made_at", ("finding", "by", "priority", "due_back_on", "reason")),
    )

    finding = models.ForeignKey(Finding, on_delete=models.PROTECT, related_name="overrulings")
    assessment = models.ForeignKey(Assessment, on_delete=models.PROTECT, related_name="overrulings")
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    priority = models.CharField(max_length=20, choices=choices_of(Priority))
    due_back_on = models.DateField()
    reason = models.TextField()
    made_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["finding"],
                condition=Q(withdrawn_at__isnull=True),
                name="one_standing_overruling_per_finding",
            ),
            one_of("priority", Priority, name="overruling_priority_is_known"),
            models.CheckConstraint(condition=~Q(reason=""), name="overruling_has_a_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.priority} by {self.due_back_on}"


class DueBack(YardOwned):
    """A line of the due-back book: by when somebody must be back at a place, and what for."""

    database_rules = (
        SameYard("boat"),
        SameYard("component"),
        SameYard("spot"),
        SameYard("finding"),
        SameYard("entry"),
        SameYard("surface"),
    )

    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, related_name="due_backs")
    component = models.ForeignKey(Component, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    spot = models.ForeignKey(Spot, on_delete=models.PROTECT, null=True, blank=True, related_name="due_backs")
    finding = models.ForeignKey(Finding, on_delete=models.PROTECT, null=True, blank=True, related_name="due_backs")
    # the not-seen entry that the line stands for, where there is no finding
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, null=True, blank=True, related_name="due_backs")
    # the finished surface that has to be stripped, where the line is neither a finding's nor an entry's
    surface = models.ForeignKey(Surface, on_delete=models.PROTECT, null=True, blank=True, related_name="due_backs")
    due_on = models.DateField()
    kind = models.CharField(max_length=20, choices=choices_of(DueBackKind))
    reason = models.TextField()
    set_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["due_on", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(surface__isnull=True) & (Q(finding__isnull=False) | Q(entry__isnull=False))
                | Q(surface__isnull=False, finding__isnull=True, entry__isnull=True),
                name="due_back_stands_for_something",
            ),
            models.UniqueConstraint(
                fields=["finding"],
                condition=Q(ended_at__isnull=True, finding__isnull=False),
                name="one_open_due_back_per_finding",
            ),
            models.UniqueConstraint(
                fields=["entry"],
                condition=Q(ended_at__isnull=True, entry__isnull=False),
                name="one_open_due_back_per_entry",
            ),
            models.UniqueConstraint(
                fields=["surface"],
                condition=Q(ended_at__isnull=True, surface__isnull=False),
                name="one_open_due_back_per_surface",
            ),
            one_of("kind", DueBackKind, name="due_back_kind_is_known"),
        ]
        indexes = [
            models.Index(fields=["yard", "due_on"], condition=Q(ended_at__isnull=True), name="due_back_book"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} by {self.due_on}"


__all__ = ["Assessment", "DueBack", "Finding", "Overruling"]
