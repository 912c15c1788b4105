from __future__ import annotations

from typing import Final

from django.db import models
from django.db.models import F, Q

from inspections.models import Finding, Inspection
from workshop.models.catalogue import Treatment
from yard.database_rules import AppendOnly, SameYard
from yard.models import Boat, Member, Surface, YardOwned
from yard.models.fields import one_of


class JobState(models.TextChoices):
    PROPOSED = "proposed", "proposed"
    QUOTED = "quoted", "with the decider"
    APPROVED = "approved", "approved"
    DECLINED = "declined", "declined"
    NOT_CHOSEN = "not_chosen", "not chosen, another way was"
    IN_WORK = "in_work", "in work"
    STOPPED = "stopped", "stopped, waiting"
    DONE = "done", "done, to be verified"
    VERIFIED = "verified", "verified"
    DROPPED = "dropped", "dropped by the yard"


# A job that the worker proposes for a surface has this before the surface's id as its key.
SURFACE_KEY: Final = "surface:"
# One that a member has parted from another has this at the beginning of its key, to which nothing leads.
PARTED_KEY: Final = "parted:"


class WorkedIn(models.TextChoices):
    OUTDOORS = "outdoors", "outdoors"
    SHED = "shed", "in a heated shed"


class Job(YardOwned):
    """Treatments on one or more findings that share the same opening up, or on the whole of a finished surface."""

    database_rules = (
        SameYard("boat"),
        SameYard("inspection"),
        SameYard("edited_by"),
        SameYard("alternative_to"),
        SameYard("extends"),
    )

    State = JobState

    # Still work to be asked for, agreed or done.
    LIVE = (State.PROPOSED, State.QUOTED, State.APPROVED, State.IN_WORK, State.STOPPED, State.DONE)
    # The decider's yes stands behind it.
    AGREED = (State.APPROVED, State.IN_WORK, State.STOPPED, State.DONE, State.VERIFIED)

    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, related_name="jobs")
    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, related_name="jobs")
    title = models.CharField(max_length=200)
    # findings proposed by the worker land in the job of the same key instead of in a second one
    key = models.CharField(max_length=120)
    opening_up = models.CharField(max_length=200, blank=True, help_text="what has to come off, once for the job")
    state = models.CharField(max_length=20, choices=State.choices, default=State.PROPOSED)
    unsafe_to_leave = models.BooleanField(default=False)
    if_left = models.TextField(blank=True, help_text="what happens if nothing is done, in the owner's words")
    worked_in = models.CharField(
        max_length=20,
        choices=WorkedIn.choices,
        default=WorkedIn.OUTDOORS,
        help_text="which air its waits are reckoned for",
    )
    created_at = models.DateTimeField()
    changed_at = models.DateTimeField()
    # once a member has put a hand to it, new findings are added to it but nothing in it is reckoned again
    edited_by = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    # another way to serve the same findings; the decider is to have one of the two at most
    alternative_to = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="alternatives"
    )
    means = models.TextField(blank=True, help_text="what choosing this way means, in the owner's words")
    proper_by = models.DateField(
        null=True, blank=True, help_text="this only holds: the day by which the proper repair is due"
    )
    # more work on an agreed job than its ceiling allows; quoted by an addendum
    extends = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="extras")

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(alternative_to__isnull=True) | Q(extends__isnull=True),
                name="job_is_another_way_or_more_work",
            ),
            one_of("state", JobState, name="job_state_is_known"),
            one_of("worked_in", WorkedIn, name="job_air_is_known"),
            models.UniqueConstraint(
                fields=["inspection", "key"], condition=~Q(state="dropped"), name="one_job_per_opening_up"
            ),
        ]
        indexes = [models.Index(fields=["yard", "state"], name="jobs_by_state")]

    def __str__(self) -> str:
        return self.title


class Operation(YardOwned):
    """One treatment of a job on one finding, or on the whole of one finished surface, with its estimated hours."""

    database_rules = (SameYard("job"), SameYard("treatment"), SameYard("finding"), SameYard("surface"))

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="operations")
    treatment = models.ForeignKey(Treatment, on_delete=models.PROTECT, related_name="+")
    finding = models.ForeignKey(Finding, on_delete=models.PROTECT, null=True, blank=True, related_name="operations")
    # area work: nothing was found there, the whole surface is due
    surface = models.ForeignKey(Surface, on_delete=models.PROTECT, null=True, blank=True, related_name="operations")
    quantity = models.DecimalField(max_digits=8, decimal_places=2, default=1)
    hours_low = models.DecimalField(max_digits=7, decimal_places=2)
    hours_likely = models.DecimalField(max_digits=7, decimal_places=2)
    hours_high = models.DecimalField(max_digits=7, decimal_places=2)
    position = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["job", "finding", "treatment"], name="one_operation_per_finding"),
            models.UniqueConstraint(fields=["job", "surface", "treatment"], name="one_operation_per_surface"),
            models.CheckConstraint(
                condition=Q(finding__isnull=False, surface__isnull=True)
                | Q(finding__isnull=True, surface__isnull=False),
                name="operation_is_on_a_finding_or_a_surface",
            ),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="operation_quantity_positive"),
            models.CheckConstraint(
                condition=Q(hours_low__gte=0, hours_likely__gte=F("hours_low"), hours_high__gte=F("hours_likely")),
                name="operation_hours_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.treatment} × {self.quantity}"

    @property
    def place_key(self) -> str:
        """What it is done on, in one word: the finding's id, or the surface's."""
        return str(self.finding_id) if self.finding_id is not None else f"{SURFACE_KEY}{self.surface_id}"


class HoldKind(models.TextChoices):
    TOOL = "tool", "a tool"
    PART = "part", "a part"
    SKILL = "skill", "a skill"
    DRY_WOOD = "dry_wood", "dry wood"
    OWNER = "owner", "the owner"


class Hold(YardOwned):
    """What a job waits for; meanwhile it says what holds the boat."""

    database_rules = (SameYard("job"), SameYard("who"))

    Kind = HoldKind

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="holds")
    kind = models.CharField(max_length=20, choices=Kind.choices)
    what = models.CharField(max_length=200)
    who = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    expected_on = models.DateField()
    meanwhile = models.CharField(max_length=300)
    # by judgement; empty where nothing was judged, and in holds of before
    put_right_by = models.DateField(null=True, blank=True, help_text="when the proper repair is due")
    stopped_work = models.BooleanField(default=False, help_text="the job was in work and stands half done")
    made_at = models.DateTimeField()
    released_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["expected_on"]
        constraints = [one_of("kind", HoldKind, name="hold_kind_is_known")]

    def __str__(self) -> str:
        return self.what


class WorkLog(YardOwned):
    """Hours really spent on a job. Corrections are further lines, negative ones too."""

    database_rules = (AppendOnly(), SameYard("job"), SameYard("member"))

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="work_logs")
    member = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    worked_on = models.DateField()
    hours = models.DecimalField(max_digits=6, decimal_places=2)
    note = models.CharField(max_length=300, blank=True)
    past_ceiling = models.CharField(
        max_length=300, blank=True, help_text="why more was worked than the decider had agreed to"
    )
    booked_at = models.DateTimeField()

    class Meta:
        ordering = ["worked_on", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(hours__gte=-24, hours__lte=24) & ~Q(hours=0), name="work_log_hours_within_a_day"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.hours} h"


__all__ = ["PARTED_KEY", "SURFACE_KEY", "Hold", "Job", "JobState", "Operation", "WorkLog", "WorkedIn"]
