"""The look afterwards that ends a finding, and the second one where much hangs on the place."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from inspections.judgement.vocabulary import DueBackKind
from inspections.models import Finding
from workshop.models.jobs import Job
from yard.database_rules import AppendOnly, SameYard
from yard.models import Member, Surface, YardOwned
from yard.models.fields import between, choices_of, one_of


class Verification(YardOwned):
    """The look afterwards, by photo or reading, at a repair or at the work on a whole surface.

    It ends the finding, by itself or with its second look.
    """

    database_rules = (
        AppendOnly(),
        SameYard("finding"),
        SameYard("surface"),
        SameYard("job"),
        SameYard("by"),
        SameYard("second_look_by"),
    )

    finding = models.ForeignKey(
        Finding, on_delete=models.PROTECT, null=True, blank=True, related_name="verifications"
    )
    surface = models.ForeignKey(
        Surface, on_delete=models.PROTECT, null=True, blank=True, related_name="verifications"
    )
    turn = models.PositiveSmallIntegerField(default=1, help_text="again where a second look found it wanting")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, null=True, blank=True, related_name="verifications")
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    needs_second_look = models.BooleanField(default=False)
    # only in rows from before second looks were rows of their own: whom the first one named
    second_look_by = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    photo_sha256 = models.CharField(max_length=64, blank=True)
    # the readings in words; in rows from before they were figures it is all there is
    reading = models.CharField(max_length=120, blank=True)
    note = models.TextField(blank=True)
    seen_at = models.DateTimeField()
    look_again_on = models.DateField()
    look_again_kind = models.CharField(
        max_length=20, choices=choices_of(DueBackKind), default=DueBackKind.LOOK_AGAIN.value
    )
    judged_look_on = models.DateField(null=True, blank=True, help_text="what the rules gave for the next look")
    look_again_reason = models.CharField(max_length=300, blank=True, help_text="why later than the rules gave")

    class Meta:
        ordering = ["seen_at"]
        constraints = [
            one_of("look_again_kind", DueBackKind, name="verification_look_is_known"),
            models.UniqueConstraint(fields=["finding", "turn"], name="one_verification_each_turn"),
            models.CheckConstraint(
                condition=~Q(photo_sha256="") | ~Q(reading=""), name="verification_has_a_photo_or_a_reading"
            ),
            models.CheckConstraint(
                condition=Q(second_look_by__isnull=True) | ~Q(second_look_by=F("by")),
                name="second_look_is_by_somebody_else",
            ),
            models.CheckConstraint(
                condition=Q(judged_look_on__isnull=True)
                | Q(look_again_on__lte=F("judged_look_on"))
                | ~Q(look_again_reason=""),
                name="later_look_says_why",
            ),
            models.CheckConstraint(
                condition=Q(finding__isnull=False, surface__isnull=True)
                | Q(finding__isnull=True, surface__isnull=False, job__isnull=False),
                name="verification_is_of_a_finding_or_a_surface",
            ),
            models.UniqueConstraint(fields=["job", "surface"], name="one_verification_per_surface_of_a_job"),
        ]

    def __str__(self) -> str:
        return f"verification of {self.finding_id or self.surface}"

    @property
    def waits_for_second_look(self) -> bool:
        return self.needs_second_look and not hasattr(self, "second_look")


class VerificationReading(YardOwned):
    """A figure that was measured at the look afterwards."""

    database_rules = (AppendOnly(), SameYard("verification"))

    verification = models.ForeignKey(Verification, on_delete=models.PROTECT, related_name="readings")
    quantity = models.CharField(max_length=20)
    value = models.DecimalField(max_digits=7, decimal_places=2)
    unit = models.CharField(max_length=12)

    class Meta:
        ordering = ["id"]
        constraints = [
            one_of("quantity", ("moisture", "play", "gap"), name="verification_quantity_is_known"),
            models.UniqueConstraint(fields=["verification", "quantity"], name="each_quantity_once_a_look"),
            between("value", 0, 1000, name="verification_reading_plausible"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} {self.value} {self.unit}"


class SecondLook(YardOwned):
    """What somebody else, under their own name, saw of a repair: it holds, or it does not."""

    database_rules = (AppendOnly(), SameYard("verification"), SameYard("by"), SameYard("first_look_by"))

    verification = models.OneToOneField(Verification, on_delete=models.PROTECT, related_name="second_look")
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    # the verification's own `by`, here so that the database can tell the two apart
    first_look_by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    holds = models.BooleanField(help_text="the repair is good")
    note = models.TextField(blank=True)
    seen_at = models.DateTimeField()

    class Meta:
        ordering = ["seen_at"]
        constraints = [
            models.CheckConstraint(condition=~Q(by=F("first_look_by")), name="second_look_is_by_another"),
            models.CheckConstraint(condition=Q(holds=True) | ~Q(note=""), name="doubtful_second_look_says_why"),
        ]

    def __str__(self) -> str:
        return f"second look at {self.verification_id}"


__all__ = ["SecondLook", "Verification", "VerificationReading"]
