"""Where something is: boat, part and spot, as every list of places shows it."""

from __future__ import annotations

from typing import Any, TypeVar

from django.db.models import Model
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from yard.models import Spot

PlacedT = TypeVar("PlacedT", bound=Model)


class PlaceSpot(serializers.ModelSerializer[Spot]):
    class Meta:
        model = Spot
        fields = ["id", "tag", "name", "plan_x", "plan_y", "level"]
        read_only_fields = fields


class PlaceOut(serializers.ModelSerializer[PlacedT]):
    boat_name = serializers.CharField(source="boat.name", read_only=True)
    component_name = serializers.SerializerMethodField(help_text="with its position; empty: elsewhere")
    spot = PlaceSpot(read_only=True, allow_null=True)

    @extend_schema_field({"type": "string"})
    def get_component_name(self, row: Any) -> str:
        return "" if row.component is None else str(row.component)
