"""What a new yard gets from the workshop: its own copy of the stock catalogue."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from inspections.services.catalogue import signs_load, templates_load
from workshop.services.catalogue import cautions_load, materials_load, treatments_load
from yard.models import Yard
from yard.services.catalogue import component_classes_load


@transaction.atomic
def catalogue_load(*, yard: Yard, at: datetime) -> None:
    """Copy the whole stock catalogue into a yard. What it has already stays as it is."""
    component_classes_load(yard=yard)
    signs_load(yard=yard)
    templates_load(yard=yard, at=at)
    cautions_load(yard=yard)
    materials_load(yard=yard)
    treatments_load(yard=yard)


__all__ = ["catalogue_load"]
