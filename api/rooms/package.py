"""A boat for the tablet: everything for work without a network in one answer, with an ETag."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import OfMember, versioned
from api.fields import MAX_ID
from api.rooms.package_parts import told
from inspections.models import Inspection
from inspections.selectors.package import package_of


def _object(**kwargs: Any) -> Any:
    return serializers.DictField(**kwargs)


def _objects(**kwargs: Any) -> Any:
    return serializers.ListField(child=serializers.DictField(), **kwargs)


class PackageOut(serializers.Serializer[Any]):
    contract = serializers.IntegerField(help_text="that the server speaks; see /api/v1/tablet/")
    inspection = _object()
    yard = _object()
    boat = _object()
    plan = _object(help_text="the deck edge as the report draws it, and where thousandths lie on it")
    levels = serializers.ListField(child=serializers.ListField(child=serializers.CharField()))
    components = _objects(help_text="with the yard's signs, the usual ones of the class first")
    spots = _objects()
    steps = _objects(help_text="opening up, in the order that shares the effort")
    checks = _objects(help_text="in the order of the round")
    areas = _objects(help_text="the same checks by area of the boat")
    earlier = _objects(help_text="findings of other seasons, the newest first")
    entries = _objects(help_text="those that hold")
    photos_missing = _objects()
    signs = _objects()
    conditions = serializers.ListField(child=serializers.ListField(child=serializers.CharField()))
    vocabulary = _object()
    members = _objects()
    templates = _objects()
    first_reading = _object(
        allow_null=True, help_text="what judgement will probably say, to be looked up; see DEVELOPERS.md"
    )


class PackageView(OfMember):
    @extend_schema(summary="All that a tablet needs aboard without a network", responses=PackageOut)
    def get(self, request: Request, pk: int) -> Response:
        rows = Inspection.objects.of_yard(self.yard).select_related("yard", "boat")
        inspection = get_object_or_404(rows, pk=min(pk, MAX_ID))
        return versioned(request, told(package_of(inspection, self.now)))


__all__ = ["PackageView"]
