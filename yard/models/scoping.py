"""Everything belongs to one yard. This is the one place where rows are narrowed to a yard."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Self, TypeVar

from django.db import models

if TYPE_CHECKING:
    from yard.models.yards import Yard

ModelT = TypeVar("ModelT", bound=models.Model)


class YardQuerySet(models.QuerySet[ModelT]):
    def of_yard(self, yard: Yard | int) -> Self:
        return self.filter(yard=yard)


class YardOwned(models.Model):
    """A row that belongs to one yard; children repeat the yard, and a database rule holds them together."""

    yard = models.ForeignKey("yard.Yard", on_delete=models.PROTECT, related_name="+")

    objects: models.Manager[Any] = YardQuerySet.as_manager()

    class Meta:
        abstract = True
