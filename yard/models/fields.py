"""Small helpers for fields and constraints that many models share."""

from collections.abc import Iterable
from enum import Enum

from django.db import models


def choices_of(vocabulary: type[Enum]) -> list[tuple[str, str]]:
    """Choices for a CharField out of a vocabulary whose members carry a plain label."""
    return [(str(member.value), str(getattr(member, "label", member.value))) for member in vocabulary]


def one_of(
    field: str, values: Iterable[str] | type[Enum], *, name: str, blank: bool = False
) -> models.CheckConstraint:
    """The field holds one of the values (or nothing where blank)."""
    allowed = [str(value.value if isinstance(value, Enum) else value) for value in values]
    if blank:
        allowed.append("")
    return models.CheckConstraint(condition=models.Q(**{f"{field}__in": allowed}), name=name)


def between(field: str, low: object, high: object, *, name: str) -> models.CheckConstraint:
    """The field is empty or lies between low and high, both included."""
    inside = models.Q(**{f"{field}__gte": low, f"{field}__lte": high})
    return models.CheckConstraint(condition=inside | models.Q(**{f"{field}__isnull": True}), name=name)
