from __future__ import annotations

from typing import Final

from django.db import models
from django.db.models import F, Q

from yard.database_rules import SameYard
from yard.models.boats import Boat
from yard.models.fields import one_of
from yard.models.people import Member
from yard.models.scoping import YardOwned

DRAWING_TYPES: Final = ("image/png", "image/jpeg", "image/svg+xml")


class BoatDrawing(YardOwned):
    """The yard's own plan of a boat, bow to the right, cut to the boat. It is kept clean: see the service."""

    database_rules = (SameYard("boat"), SameYard("received_from"))

    boat = models.OneToOneField(Boat, on_delete=models.PROTECT, related_name="drawing")
    file = models.FileField(upload_to="drawings/", max_length=200)
    sha256 = models.CharField(max_length=64, help_text="of the stored file")
    media_type = models.CharField(max_length=20)
    width = models.PositiveIntegerField(help_text="pixels; of an SVG, ten thousandths of its longer side")
    height = models.PositiveIntegerField()
    received_at = models.DateTimeField()
    received_from = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["boat"]
        constraints = [
            one_of("media_type", DRAWING_TYPES, name="drawing_type_is_known"),
            models.CheckConstraint(
                condition=Q(width__gt=F("height"), height__gt=0), name="drawing_longer_than_high"
            ),
        ]

    def __str__(self) -> str:
        return f"drawing of {self.boat}"


__all__ = ["DRAWING_TYPES", "BoatDrawing"]
