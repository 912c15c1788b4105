"""Figures, counts and yes-or-no as parameters of an address, where everything comes as text."""

from __future__ import annotations

import math
import re
from typing import Any

from rest_framework import serializers
from rest_framework.request import Request

from api.fields import Sheet, objection

DECIMAL = re.compile(r"-?[0-9]{1,15}(\.[0-9]{1,15})?([eE][-+]?[0-9]{1,2})?", re.ASCII)
WHOLE = re.compile(r"-?[0-9]{1,15}", re.ASCII)


class Figure(serializers.FloatField):
    """A measured figure. Its range is shown in the document; who reckons with it holds it against that range."""

    def __init__(self, low: float, high: float, unit: str, *, example: float | None = None, **kwargs: Any) -> None:
        self.low, self.high, self.example = low, high, example
        said = kwargs.pop("help_text", "")
        super().__init__(help_text=f"{said}{' ' if said else ''}in {unit}, {low:g} to {high:g}", **kwargs)

    def to_internal_value(self, data: Any) -> float:
        if not isinstance(data, str) or not DECIMAL.fullmatch(data) or not math.isfinite(float(data)):
            raise objection("is not a number", "give a number like 12.5")
        return float(data)


class Count(serializers.IntegerField):
    """How many, in digits."""

    def __init__(self, low: int, high: int, *, example: int | None = None, **kwargs: Any) -> None:
        self.low, self.high, self.example = low, high, example
        super().__init__(**kwargs)

    def to_internal_value(self, data: Any) -> int:
        if not isinstance(data, str) or not WHOLE.fullmatch(data):
            raise objection("is not a whole number", "give a whole number like 4")
        number = int(data)
        if not self.low <= number <= self.high:
            raise objection(f"{number} can't be", f"give a whole number from {self.low} to {self.high}")
        return number


class Flag(serializers.BooleanField):
    """`true` or `false`, written out."""

    def to_internal_value(self, data: Any) -> bool:
        if data not in ("true", "false"):
            raise objection("is neither true nor false", "give true or false")
        return bool(data == "true")


class Rounded(serializers.FloatField):
    """A figure that was worked out, without the digits that mean nothing."""

    def __init__(self, digits: int, **kwargs: Any) -> None:
        self.digits = digits
        super().__init__(read_only=True, **kwargs)

    def to_representation(self, value: Any) -> float:  # type: ignore[override]
        return round(float(value), self.digits) + 0.0  # no -0.0


class Query(Sheet):
    """The parameters that an address takes, and no others; each once, and none empty."""


def asked(request: Request, query: type[Query]) -> dict[str, Any]:
    """The parameters of an address, read; refused with every one that does not fit."""
    given: dict[str, str] = {}
    for name, values in request.query_params.lists():
        if len(values) > 1:
            raise serializers.ValidationError({name[:80]: objection("is given twice", "give it once").detail})
        if not values[0]:
            remedy = "give it a value, or leave it out"
            raise serializers.ValidationError({name[:80]: objection("is empty", remedy).detail})
        given[str(name)] = values[0]
    reader = query(data=given, context={"request": request})
    reader.is_valid(raise_exception=True)
    read: dict[str, Any] = reader.validated_data
    return read


__all__ = ["Count", "Figure", "Flag", "Query", "Rounded", "asked"]
