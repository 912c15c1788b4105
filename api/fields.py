"""Fields that take a value for what it is: no number for a text, no text for a yes, no time without its zone.

A field that mends its input hides mistakes of the sender until they matter. What is refused is named, with what
would do.
"""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Any, NoReturn, TypeVar

from django.core.validators import RegexValidator
from django.db.models import Model, QuerySet
from django.utils.dateparse import parse_datetime
from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail, ValidationError

from yard.models import Yard

ModelT = TypeVar("ModelT", bound=Model)

MAX_ID = 2**63 - 1
MAX_SMALL = 32_767
MAX_WHOLE = 2**31 - 1


class Remedied(ErrorDetail):
    """An objection that knows itself what would do."""

    remedy: str

    def __new__(cls, problem: str, remedy: str, code: str = "invalid") -> Remedied:
        self: Remedied = super().__new__(cls, problem, code)
        self.remedy = remedy
        return self


def objection(problem: str, remedy: str, code: str = "invalid") -> ValidationError:
    return ValidationError([Remedied(problem, remedy, code)])


class Text(serializers.CharField):
    """Text only; a number is not silently written out."""

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str):
            raise objection("is not text", "send text in quotes")
        return super().to_internal_value(data)


class Whole(serializers.IntegerField):
    """A whole number of JSON, no text, no fraction and no yes or no."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("max_value", MAX_WHOLE)
        kwargs.setdefault("min_value", 0)
        super().__init__(**kwargs)

    def to_internal_value(self, data: Any) -> int:
        if isinstance(data, bool) or not isinstance(data, int):
            raise objection("is not a whole number", "send a number without quotes and without a fraction")
        return super().to_internal_value(data)


class YesNo(serializers.BooleanField):
    """true or false and nothing that merely looks like it."""

    def to_internal_value(self, data: Any) -> bool:
        if not isinstance(data, bool):
            raise objection("is neither true nor false", "send true or false without quotes")
        return data


class Amount(serializers.DecimalField):
    """A decimal: text as it is answered, or a number of JSON."""

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, bool) or not isinstance(data, int | float | str):
            raise objection("is not a decimal number", 'send a number, best as text: "12.50"')
        return super().to_internal_value(data)


class Moment(serializers.DateTimeField):
    """A moment with its offset from UTC; a wall clock alone does not say when."""

    def to_internal_value(self, value: Any) -> datetime:
        remedy = "send an ISO 8601 moment with an offset, like 2027-04-01T08:00:00Z"
        if not isinstance(value, str):
            raise objection("is not a moment", remedy)
        try:
            moment = parse_datetime(value)
        except ValueError:
            moment = None
        if moment is None:
            raise objection("is not a moment", remedy)
        if moment.utcoffset() is None:
            raise objection("does not say its offset from UTC", remedy)
        return moment


class Sha256(Text):
    """A digest of a file or of a quote."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(min_length=64, max_length=64, **kwargs)
        self.validators.append(
            RegexValidator(r"^[0-9a-f]{64}$", "is no SHA-256 in 64 small hexadecimal digits", "invalid")
        )


class Identifier(serializers.UUIDField):
    """A UUID in its usual written form."""

    def to_internal_value(self, data: Any) -> uuid.UUID:
        if not isinstance(data, str) or len(data) != 36:
            raise objection("is not a UUID", "send a UUID in its usual form of five groups")
        return super().to_internal_value(data)


class OfYard(serializers.PrimaryKeyRelatedField[ModelT]):
    """The id of a row of the member's own yard; another yard's row does not exist here."""

    def get_queryset(self) -> QuerySet[ModelT]:
        rows: QuerySet[ModelT] = _of_yard(super().get_queryset(), self.context.get("yard"))
        return rows

    def use_pk_only_optimization(self) -> bool:
        return True

    def to_internal_value(self, data: Any) -> ModelT:
        model: Any = self.get_queryset().model
        whole = model._meta.pk.get_internal_type() != "UUIDField"
        if whole and (isinstance(data, bool) or not isinstance(data, int) or not 0 <= data <= MAX_ID):
            raise objection("is not an id", "send the id, a whole number without quotes")
        if not whole and (not isinstance(data, str) or not _is_uuid(data)):
            raise objection("is not an id", "send the id, a UUID in its usual form")
        return super().to_internal_value(data)


class CodeOfYard(serializers.SlugRelatedField[ModelT]):
    """The code of a row of the yard's own catalogue."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(slug_field="code", **kwargs)

    def get_queryset(self) -> QuerySet[ModelT]:
        rows: QuerySet[ModelT] = _of_yard(super().get_queryset(), self.context.get("yard"))
        return rows

    def to_internal_value(self, data: Any) -> ModelT:
        if not isinstance(data, str):
            raise objection("is not a code", "send one of the yard's codes as text")
        return super().to_internal_value(data)


def _of_yard(rows: Any, yard: Yard | None) -> Any:
    return rows.none() if yard is None else rows.filter(yard=yard)


def _is_uuid(text: str) -> bool:
    try:
        uuid.UUID(text)
    except ValueError:
        return False
    return len(text) == 36


class Sheet(serializers.Serializer[Any]):
    """What a client may send: the named fields and no others."""

    def to_internal_value(self, data: Any) -> Any:
        unknown = sorted(set(data) - set(self.fields)) if isinstance(data, dict) else []
        if not unknown:
            return super().to_internal_value(data)
        known = ", ".join(name for name, field in self.fields.items() if not field.read_only)
        errors: dict[str, Any] = {
            str(name)[:80]: [Remedied("is no field of this", f"leave it out; the fields are: {known}", "unknown")]
            for name in unknown
        }
        try:
            super().to_internal_value(data)
        except ValidationError as others:
            if isinstance(others.detail, dict):
                errors.update(others.detail)
        raise ValidationError(errors)

    def create(self, validated_data: Any) -> NoReturn:
        raise NotImplementedError("a service writes; see the view")

    def update(self, instance: Any, validated_data: Any) -> NoReturn:
        raise NotImplementedError("a service writes; see the view")


__all__ = [
    "MAX_ID",
    "MAX_SMALL",
    "MAX_WHOLE",
    "Amount",
    "CodeOfYard",
    "Identifier",
    "Moment",
    "OfYard",
    "Remedied",
    "Sha256",
    "Sheet",
    "Text",
    "Whole",
    "YesNo",
    "objection",
]
