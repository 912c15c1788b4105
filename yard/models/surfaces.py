from __future__ import annotations

from django.db import models
from django.db.models import Q

from yard.database_rules import SameYard
from yard.models.boats import Boat
from yard.models.fields import between, choices_of, one_of
from yard.models.scoping import YardOwned
from yard.vocabulary import Exposure, Finish

LARGEST_AREA_M2 = 10_000


class Surface(YardOwned):
    """A finished surface of a boat: what is stripped and coated in one go, with the parts it covers."""

    database_rules = (SameYard("boat"),)

    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, related_name="surfaces")
    name = models.CharField(max_length=120)
    area_m2 = models.DecimalField(max_digits=8, decimal_places=2)
    finish = models.CharField(max_length=20, choices=choices_of(Finish))
    exposure = models.CharField(max_length=20, choices=choices_of(Exposure), default=Exposure.UNKNOWN.value)
    # the yard's own figures for this surface; empty takes the rules'
    coat_every_months = models.PositiveSmallIntegerField(null=True, blank=True)
    strip_after_years = models.PositiveSmallIntegerField(null=True, blank=True)
    entered_at = models.DateTimeField()

    class Meta:
        ordering = ["name", "id"]
        constraints = [
            models.UniqueConstraint(fields=["boat", "name"], name="one_surface_of_a_name"),
            models.CheckConstraint(
                condition=Q(area_m2__gt=0, area_m2__lte=LARGEST_AREA_M2), name="surface_area_plausible"
            ),
            one_of("finish", Finish, name="surface_finish_is_known"),
            one_of("exposure", Exposure, name="surface_exposure_is_known"),
            between("coat_every_months", 1, 240, name="surface_coat_within_twenty_years"),
            between("strip_after_years", 1, 60, name="surface_strip_within_sixty_years"),
        ]

    def __str__(self) -> str:
        return self.name


__all__ = ["LARGEST_AREA_M2", "Surface"]
