"""What the office does with findings before there is work: it takes note, asks for a second look, joins doubles."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from inspections.models.findings import Finding
from inspections.models.inspections import Check, Entry
from yard.database_rules import AppendOnly, FrozenOnce, SameYard
from yard.models import Member, YardOwned


class Acknowledgement(YardOwned):
    """Somebody of the office has dealt with what an entry says of a finding.

    It is about the entry that stood at that moment: once a later one tells the finding otherwise, it is new again.
    """

    database_rules = (AppendOnly(), SameYard("finding"), SameYard("entry"), SameYard("by"))

    finding = models.ForeignKey(Finding, on_delete=models.PROTECT, related_name="acknowledgements")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="acknowledgements")
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["made_at", "id"]
        constraints = [
            # Who was first is what counts; the same again changes nothing.
            models.UniqueConstraint(fields=["finding", "entry"], name="an_entry_is_acknowledged_once"),
        ]

    def __str__(self) -> str:
        return f"{self.by} at {self.made_at:%Y-%m-%d %H:%M}"


class SecondLookAsk(YardOwned):
    """A manager asks for a second look at a finding. It becomes a check, at once or with the next inspection."""

    database_rules = (
        SameYard("finding"),
        SameYard("entry"),
        SameYard("by"),
        SameYard("asked_as"),
        SameYard("withdrawn_by"),
        FrozenOnce("asked_at", ("finding", "entry", "by", "note")),
        FrozenOnce("withdrawn_at", ("withdrawn_by",)),
    )

    finding = models.ForeignKey(Finding, on_delete=models.PROTECT, related_name="second_looks_asked")
    # what is doubted: the entry that stood when it was asked
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=300)
    asked_at = models.DateTimeField()
    # empty as long as no inspection of the boat is open, and once it was withdrawn
    asked_as = models.OneToOneField(
        Check, on_delete=models.SET_NULL, null=True, blank=True, related_name="second_look_ask"
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-asked_at", "-id"]
        constraints = [
            models.CheckConstraint(condition=~Q(note=""), name="second_look_ask_says_what_for"),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True)
                | Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False),
                name="withdrawn_ask_says_who_and_when",
            ),
            models.UniqueConstraint(
                fields=["finding"],
                condition=Q(withdrawn_at__isnull=True, asked_as__isnull=True),
                name="one_waiting_ask_per_finding",
            ),
        ]

    def __str__(self) -> str:
        return self.note


class FindingJoin(YardOwned):
    """Two findings that are one sign seen twice: one is kept, the other rests with it until the join is undone."""

    database_rules = (
        SameYard("kept"),
        SameYard("joined"),
        SameYard("by"),
        SameYard("undone_by"),
        FrozenOnce("made_at", ("kept", "joined", "by", "reason", "state_before")),
        FrozenOnce("undone_at", ("undone_by",)),
    )

    kept = models.ForeignKey(Finding, on_delete=models.PROTECT, related_name="doubles")
    joined = models.ForeignKey(Finding, on_delete=models.PROTECT, related_name="joins")
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    reason = models.CharField(max_length=300)
    state_before = models.CharField(max_length=20)
    made_at = models.DateTimeField()
    undone_at = models.DateTimeField(null=True, blank=True)
    # empty where it came undone because the finding that was kept was withdrawn by a later entry
    undone_by = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-made_at", "-id"]
        constraints = [
            models.CheckConstraint(condition=~Q(kept=F("joined")), name="finding_is_not_joined_to_itself"),
            models.CheckConstraint(condition=~Q(reason=""), name="join_has_a_reason"),
            models.CheckConstraint(
                condition=Q(undone_at__isnull=False) | Q(undone_by__isnull=True), name="undone_join_says_when"
            ),
            models.UniqueConstraint(
                fields=["joined"], condition=Q(undone_at__isnull=True), name="one_standing_join_per_finding"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.joined_id} to {self.kept_id}"


__all__ = ["Acknowledgement", "FindingJoin", "SecondLookAsk"]
