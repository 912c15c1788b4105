"""Entries that could not be placed any more: kept as they came until the office places them or lets them go."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown, YardViewSet
from api.fields import OfYard, Sheet, Text
from api.filters import Filters, IdFilter, UuidFilter, YesMeansEmpty
from api.permissions import IsManager
from api.rooms.entries import PersonOut
from inspections.models import Check, Inspection, SetAside
from inspections.services.set_aside import set_aside_dismiss, set_aside_place
from yard.models import Component


class SetAsideOut(serializers.ModelSerializer[SetAside]):
    entry = serializers.UUIDField(source="entry_id", read_only=True, help_text="the id that the tablet gave it")
    boat_name = serializers.CharField(source="boat.name", read_only=True, allow_null=True, default=None)
    sent = serializers.DictField(read_only=True, help_text="the entry as it came")
    author = PersonOut(read_only=True)
    settled_by = PersonOut(read_only=True, allow_null=True)

    class Meta:
        model = SetAside
        fields = [
            "id",
            "entry",
            "boat",
            "boat_name",
            "sent",
            "why",
            "author",
            "received_at",
            "settled_at",
            "settled_by",
            "settled_how",
        ]
        read_only_fields = fields


class PlaceSheet(Sheet):
    inspection = OfYard(queryset=Inspection.objects.all())
    check: OfYard[Check] = OfYard(queryset=Check.objects.all(), required=False, allow_null=True)
    component = OfYard(
        queryset=Component.objects.all(), required=False, allow_null=True, help_text="beside the list"
    )


class DismissSheet(Sheet):
    reason = Text(max_length=300)


class SetAsideFilters(Filters):
    boat = IdFilter()
    entry = UuidFilter(field_name="entry_id")
    waiting = YesMeansEmpty(field_name="settled_at")


@extend_schema_view(
    list=extend_schema(summary="Entries that could not be placed, the newest first"),
    retrieve=extend_schema(summary="One of them, as it came"),
)
class SetAsides(Listed, Shown, YardViewSet[SetAside]):
    queryset = SetAside.objects.all()
    serializer_class = SetAsideOut
    permission_classes = [IsManager]
    filterset_class = SetAsideFilters
    with_related = ("boat", "author", "settled_by")
    ordering = "-received_at"
    ordering_fields = ("received_at",)

    @extend_schema(
        summary="Give it a place: a check of an inspection, or a component beside the list",
        request=PlaceSheet,
        responses=SetAsideOut,
    )
    @action(detail=True, methods=["post"])
    def place(self, request: Request, pk: int) -> Response:
        row = self.row()
        set_aside_place(set_aside=row, by=self.member, at=self.now, **self.read(PlaceSheet))
        return self.answer(row)

    @extend_schema(
        summary="Let it go, with the reason; its words are kept", request=DismissSheet, responses=SetAsideOut
    )
    @action(detail=True, methods=["post"])
    def dismiss(self, request: Request, pk: int) -> Response:
        row = self.row()
        set_aside_dismiss(set_aside=row, by=self.member, at=self.now, **self.read(DismissSheet))
        return self.answer(row)
