"""Boats, their parts, and the places on them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpResponse
from drf_spectacular.utils import extend_schema, extend_schema_field, extend_schema_view
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import VERSION, Listed, Shown, YardViewSet
from api.fields import MAX_ID, CodeOfYard, Identifier, OfYard, Sheet, Text, Whole
from api.filters import Filters, IdFilter, TextFilter, WordFilter, YesMeansEmpty
from api.permissions import IsManager, IsMember, ManagersWrite
from api.queries import asked
from api.rooms.tags import PDF, TagSheetQuery, tag_sheet_answer
from inspections.services.asking import ask_to_rejudge
from workshop.report.tag_sheets import stickers_of
from yard.models import Boat, Build, Component, ComponentClass, Member, Owner, PlanLevel, Spot
from yard.refusals import Refused
from yard.services.boats import boat_change, boat_create, component_add, component_remove, spot_create
from yard.services.changes import component_change
from yard.tag_codes import tag_check

DECIDERS = [("owner", "an owner"), ("member", "a manager of the yard")]


class OwnerShort(serializers.ModelSerializer[Owner]):
    class Meta:
        model = Owner
        fields = ["id", "name"]


class DeciderOut(serializers.Serializer[Any]):
    kind = serializers.ChoiceField(choices=DECIDERS)
    id = serializers.IntegerField()
    name = serializers.CharField()


class BoatOut(serializers.ModelSerializer[Boat]):
    owners = OwnerShort(many=True, read_only=True)
    decider = serializers.SerializerMethodField()

    class Meta:
        model = Boat
        fields = [
            "id",
            "name",
            "build",
            "material",
            "loa_mm",
            "beam_mm",
            "year",
            "owners",
            "decider",
            "left_on",
        ]
        read_only_fields = fields

    @extend_schema_field(DeciderOut)
    def get_decider(self, boat: Boat) -> Any:
        decider = boat.decider
        kind = "owner" if isinstance(decider, Owner) else "member"
        return DeciderOut({"kind": kind, "id": decider.pk, "name": decider.name}).data


class DeciderSheet(Sheet):
    kind = serializers.ChoiceField(choices=DECIDERS)
    id = Whole(max_value=MAX_ID)


class BoatSheet(Sheet):
    name = Text(max_length=120)
    build = serializers.ChoiceField(choices=Build.choices)
    material = Text(max_length=120, allow_blank=True, required=False)
    loa_mm = Whole(min_value=1_500, max_value=120_000, help_text="length over all")
    beam_mm = Whole(min_value=500, max_value=30_000)
    year = Whole(min_value=1700, max_value=2200, allow_null=True, required=False)
    owners = OfYard(queryset=Owner.objects.all(), many=True, required=False)
    decider = DeciderSheet()


class BoatChangeSheet(BoatSheet):
    left_on = serializers.DateField(allow_null=True, required=False)


class BoatFilters(Filters):
    name = TextFilter(lookup_expr="icontains", label="part of the name")
    build = WordFilter(Build)
    owner = IdFilter(field_name="owners")
    here = YesMeansEmpty(field_name="left_on", label="false: boats that have left the yard")


@extend_schema_view(list=extend_schema(summary="Boats"), retrieve=extend_schema(summary="One boat"))
class Boats(Listed, Shown, YardViewSet[Boat]):
    queryset = Boat.objects.all()
    serializer_class = BoatOut
    filterset_class = BoatFilters
    with_related = ("decider_owner", "decider_member")
    with_many = ("owners",)
    ordering = "name"
    ordering_fields = ("name", "loa_mm", "id")

    def get_permissions(self) -> Sequence[Any]:
        return [IsManager()] if self.action == "tags" else [ManagersWrite()]

    @extend_schema(summary="Take a boat into the yard's care", request=BoatSheet, responses={201: BoatOut})
    @transaction.atomic
    def create(self, request: Request) -> Response:
        given = self.read(BoatSheet)
        decider = self._decider(given.pop("decider"))
        return self.answer(boat_create(yard=self.yard, decider=decider, **given), status=201)

    @extend_schema(
        summary="Change what is known of a boat",
        request=BoatChangeSheet,
        responses=BoatOut,
        parameters=[VERSION],
    )
    @transaction.atomic
    def partial_update(self, request: Request, pk: int) -> Response:
        boat = self.locked_row(request)
        given = self.read(BoatChangeSheet, partial=True)
        if "decider" in given:
            given["decider"] = self._decider(given["decider"])
        return self.answer(boat_change(boat=boat, by=self.member, at=self.now, **given))

    @extend_schema(
        summary="Stickers for her spots, each with its QR code and readable code",
        parameters=[TagSheetQuery],
        responses=PDF,
    )
    @action(detail=True, methods=["get"])
    def tags(self, request: Request, pk: int) -> HttpResponse:
        boat = self.row()
        given = asked(request, TagSheetQuery)
        return tag_sheet_answer(
            stickers_of(boat), yard=self.yard, title=f"Tags of {boat.name}", name=f"tags-{boat.pk}.pdf", **given
        )

    def _decider(self, given: dict[str, Any]) -> Owner | Member:
        kind: type[Owner] | type[Member] = Owner if given["kind"] == "owner" else Member
        decider = kind.objects.of_yard(self.yard).filter(pk=given["id"]).first()
        if decider is None:
            raise Refused("decider.id", f"is no {given['kind']} of this yard", "send the id of one")
        assert isinstance(decider, Owner | Member)
        return decider


class ComponentOut(serializers.ModelSerializer[Component]):
    component_class = serializers.CharField(source="component_class.code", read_only=True)
    class_name = serializers.CharField(source="component_class.name", read_only=True)

    class Meta:
        model = Component
        fields = [
            "id",
            "boat",
            "component_class",
            "class_name",
            "name",
            "position",
            "species",
            "finish",
            "removed_on",
        ]
        read_only_fields = fields


class ComponentSheet(Sheet):
    boat = OfYard(queryset=Boat.objects.all())
    component_class: CodeOfYard[ComponentClass] = CodeOfYard(
        queryset=ComponentClass.objects.all(), help_text="its code, PLK_CARVEL"
    )
    name = Text(max_length=120)
    position = Text(max_length=120, allow_blank=True, required=False, help_text="port side, frame 12")
    species = Text(max_length=60, allow_blank=True, required=False)
    finish = Text(max_length=60, allow_blank=True, required=False)


class ComponentChangeSheet(Sheet):
    name = Text(max_length=120)
    position = Text(max_length=120, allow_blank=True)
    species = Text(max_length=60, allow_blank=True)
    finish = Text(max_length=60, allow_blank=True)


class ComponentFilters(Filters):
    boat = IdFilter()
    component_class = TextFilter(field_name="component_class__code")
    fitted = YesMeansEmpty(field_name="removed_on", label="false: parts that were removed")


@extend_schema_view(list=extend_schema(summary="Parts of the boats"), retrieve=extend_schema(summary="One part"))
class Components(Listed, Shown, YardViewSet[Component]):
    queryset = Component.objects.all()
    serializer_class = ComponentOut
    permission_classes = [ManagersWrite]
    filterset_class = ComponentFilters
    with_related = ("component_class",)
    ordering = "id"
    ordering_fields = ("id", "name")

    @extend_schema(summary="Enter a part of a boat", request=ComponentSheet, responses={201: ComponentOut})
    def create(self, request: Request) -> Response:
        return self.answer(component_add(**self.read(ComponentSheet)), status=201)

    @extend_schema(
        summary="Change what is known of a part",
        request=ComponentChangeSheet,
        responses=ComponentOut,
        parameters=[VERSION],
    )
    @transaction.atomic
    def partial_update(self, request: Request, pk: int) -> Response:
        component = self.locked_row(request)
        changes = self.read(ComponentChangeSheet, partial=True)
        changed = component_change(component=component, changes=changes, by=self.member, at=self.now)
        ask_to_rejudge(self.yard, at=self.now)  # its wood may be another than was thought
        return self.answer(changed)

    @extend_schema(
        summary="Note that the part is no longer on the boat; what was recorded of it stays",
        request=None,
        responses=ComponentOut,
    )
    @action(detail=True, methods=["post"])
    def remove(self, request: Request, pk: int) -> Response:
        return self.answer(component_remove(component=self.row(), by=self.member, at=self.now))


class SpotOut(serializers.ModelSerializer[Spot]):
    boat = serializers.IntegerField(source="component.boat_id", read_only=True)

    class Meta:
        model = Spot
        fields = ["id", "component", "boat", "name", "tag", "plan_x", "plan_y", "level", "created_at"]
        read_only_fields = fields


class SpotSheet(Sheet):
    id = Identifier(required=False, help_text="a UUID of version 7, made by the sender: twice sent is once marked")
    component = OfYard(queryset=Component.objects.select_related("yard"))
    name = Text(max_length=120)
    tag = Text(max_length=40, required=False, help_text="of an unused sticker; drawn by the yard when left out")
    plan_x = Whole(max_value=1000, allow_null=True, required=False, help_text="thousandths from stem to stern")
    plan_y = Whole(max_value=1000, allow_null=True, required=False, help_text="thousandths from port to starboard")
    level = serializers.ChoiceField(choices=PlanLevel.choices, required=False)


class TagFilter(TextFilter):
    """As somebody typed it from the sticker; a slip is refused by the check character."""

    def filter(self, rows: QuerySet[Any], value: str | None) -> QuerySet[Any]:
        return rows.filter(tag=tag_check(value)) if value else rows


class SpotFilters(Filters):
    tag = TagFilter(label="code of a sticker, as typed")
    component = IdFilter()
    boat = IdFilter(field_name="component__boat_id")
    level = WordFilter(PlanLevel)


@extend_schema_view(list=extend_schema(summary="Places on the boats"), retrieve=extend_schema(summary="One place"))
class Spots(Listed, Shown, YardViewSet[Spot]):
    shared_tablets_write = True
    queryset = Spot.objects.all()
    serializer_class = SpotOut
    permission_classes = [IsMember]
    filterset_class = SpotFilters
    lookup_value_converter = "uuid"
    with_related = ("component",)
    ordering = "created_at"
    ordering_fields = ("created_at",)

    @extend_schema(summary="Mark a place on a part", request=SpotSheet, responses={201: SpotOut})
    def create(self, request: Request) -> Response:
        return self.answer(spot_create(at=self.now, **self.read(SpotSheet)), status=201)
