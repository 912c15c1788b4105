from __future__ import annotations

import uuid

from django.db import models
from django.db.models import F, Q

from yard.database_rules import SameYard
from yard.models.fields import between, choices_of, one_of
from yard.models.people import Member, Owner
from yard.models.scoping import YardOwned
from yard.vocabulary import SafetyRole


class Build(models.TextChoices):
    CARVEL = "carvel", "carvel"
    CLINKER = "clinker", "clinker"
    COLD_MOULDED = "cold_moulded", "cold-moulded"
    PLYWOOD = "plywood", "plywood"
    STRIP = "strip", "strip-planked"
    GLASSFIBRE = "glassfibre", "glassfibre hull, wooden parts"
    METAL = "metal", "metal hull, wooden parts"


class Boat(YardOwned):
    """A boat the yard answers for. Exactly one person decides on her: an owner, or a manager of the operator."""

    database_rules = (SameYard("decider_owner"), SameYard("decider_member"))

    name = models.CharField(max_length=120)
    build = models.CharField(max_length=20, choices=Build.choices)
    material = models.CharField(max_length=120, blank=True)
    loa_mm = models.PositiveIntegerField(help_text="length over all")
    beam_mm = models.PositiveIntegerField()
    year = models.PositiveSmallIntegerField(null=True, blank=True, help_text="year built")
    owners = models.ManyToManyField(Owner, related_name="boats", blank=True)
    decider_owner = models.ForeignKey(
        Owner, on_delete=models.PROTECT, null=True, blank=True, related_name="decides_on"
    )
    decider_member = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, related_name="decides_on"
    )
    left_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["yard", "name"], name="one_boat_of_a_name"),
            one_of("build", Build, name="boat_build_is_known"),
            between("loa_mm", 1_500, 120_000, name="boat_length_plausible"),
            between("beam_mm", 500, 30_000, name="boat_beam_plausible"),
            between("year", 1700, 2200, name="boat_year_plausible"),
            models.CheckConstraint(condition=Q(loa_mm__gt=F("beam_mm")), name="boat_longer_than_wide"),
            models.CheckConstraint(
                condition=Q(decider_owner__isnull=False, decider_member__isnull=True)
                | Q(decider_owner__isnull=True, decider_member__isnull=False),
                name="boat_has_one_decider",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def decider(self) -> Owner | Member:
        decider = self.decider_owner or self.decider_member
        assert decider is not None  # held by boat_has_one_decider
        return decider


class ComponentClass(YardOwned):
    """A kind of part: what it touches, what it carries, what hides it, how long it may go unseen."""

    code = models.CharField(max_length=40)
    name = models.CharField(max_length=120)
    group = models.CharField(max_length=40, blank=True)
    fits = models.JSONField(default=list)
    contact = models.JSONField(default=list)
    load = models.JSONField(default=list)
    water = models.JSONField(default=list)
    safety_role = models.CharField(max_length=20, choices=choices_of(SafetyRole))
    hidden_by = models.JSONField(default=list)
    look_first_at = models.JSONField(default=list)
    usual_signs = models.JSONField(default=list)
    recheck_months = models.PositiveSmallIntegerField()
    open_up_months = models.PositiveSmallIntegerField()
    basis = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "component classes"
        constraints = [
            models.UniqueConstraint(fields=["yard", "code"], name="one_class_per_code"),
            one_of("safety_role", SafetyRole, name="class_safety_role_is_known"),
            between("recheck_months", 1, 120, name="class_recheck_within_ten_years"),
            between("open_up_months", 1, 240, name="class_open_up_within_twenty_years"),
            models.CheckConstraint(
                condition=Q(open_up_months__gte=F("recheck_months")), name="class_looked_at_before_opened_up"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Component(YardOwned):
    """One part of one boat."""

    database_rules = (SameYard("boat"), SameYard("component_class"), SameYard("surface"))

    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, related_name="components")
    component_class = models.ForeignKey(ComponentClass, on_delete=models.PROTECT, related_name="components")
    name = models.CharField(max_length=120)
    position = models.CharField(max_length=120, blank=True, help_text="port side, frame 12")
    species = models.CharField(max_length=60, blank=True)
    finish = models.CharField(max_length=60, blank=True)
    # the finished surface that it is a part of; what has two finishes is entered as two parts
    surface = models.ForeignKey(
        "yard.Surface", on_delete=models.SET_NULL, null=True, blank=True, related_name="components"
    )
    removed_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["name", "position"]
        constraints = [
            models.UniqueConstraint(
                fields=["boat", "name", "position"], name="one_component_of_a_name_and_position"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.position}" if self.position else self.name


class PlanLevel(models.TextChoices):
    DECK = "deck", "deck"
    HULL = "hull", "hull"
    INTERIOR = "interior", "inside"
    RIG = "rig", "rig"


class Spot(YardOwned):
    """One place on a component. It lives for years; its tag is on a sticker beside it.

    Plan coordinates are thousandths: x from the stem (0) to the stern (1000), y from port (0) over the
    centreline (500) to starboard (1000).
    """

    database_rules = (SameYard("component"),)

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    component = models.ForeignKey(Component, on_delete=models.PROTECT, related_name="spots")
    name = models.CharField(max_length=120)
    tag = models.CharField(max_length=8)
    plan_x = models.PositiveSmallIntegerField(null=True, blank=True)
    plan_y = models.PositiveSmallIntegerField(null=True, blank=True)
    level = models.CharField(max_length=20, choices=PlanLevel.choices, default=PlanLevel.DECK)
    created_at = models.DateTimeField()

    class Meta:
        ordering = ["created_at"]
        constraints = [
            models.UniqueConstraint(fields=["yard", "tag"], name="one_spot_per_tag"),
            models.CheckConstraint(condition=Q(tag__regex=r"^[0-9A-Z]{8}$"), name="spot_tag_has_eight_characters"),
            between("plan_x", 0, 1000, name="spot_within_the_length"),
            between("plan_y", 0, 1000, name="spot_within_the_beam"),
            one_of("level", PlanLevel, name="spot_level_is_known"),
            models.CheckConstraint(
                condition=Q(plan_x__isnull=True, plan_y__isnull=True)
                | Q(plan_x__isnull=False, plan_y__isnull=False),
                name="spot_has_both_coordinates_or_none",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.tag})"


__all__ = ["Boat", "Build", "Component", "ComponentClass", "PlanLevel", "Spot"]
