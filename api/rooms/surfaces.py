"""Finished surfaces of the boats: their history, what they want, and the strip that is asked for as a job."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db import transaction
from django.http import Http404
from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import VERSION, Listed, Shown, YardViewSet
from api.fields import MAX_ID, Amount, CodeOfYard, OfYard, Sha256, Sheet, Text, Whole
from api.filters import Filters, IdFilter, WordFilter
from api.permissions import IsManager, IsMember
from api.rooms.entries import PersonOut
from api.rooms.jobs import JobOut
from api.rooms.verifications import VerificationOut
from workshop.estimating.finish_rules import Deed
from workshop.models import Job, Material, SurfaceWork
from workshop.selectors.surfaces import surfaces_standing
from workshop.services.strips import strip_propose, strip_verify
from workshop.services.surface_history import surface_work_add, surface_work_strike
from workshop.services.surfaces import surface_change, surface_create
from yard.models import Boat, Component, Surface
from yard.selectors import today_at
from yard.vocabulary import Exposure, Finish


class SurfaceOut(serializers.ModelSerializer[Surface]):
    boat_name = serializers.CharField(source="boat.name", read_only=True)

    class Meta:
        model = Surface
        fields = [
            "id",
            "boat",
            "boat_name",
            "name",
            "area_m2",
            "finish",
            "exposure",
            "components",
            "coat_every_months",
            "strip_after_years",
            "entered_at",
        ]
        read_only_fields = fields


class SurfaceChangeSheet(Sheet):
    name = Text(max_length=120)
    area_m2 = Amount(max_digits=8, decimal_places=2, max_value=10_000)
    finish = serializers.ChoiceField(choices=Finish.choices())
    exposure = serializers.ChoiceField(choices=Exposure.choices(), required=False)
    components = OfYard(
        queryset=Component.objects.all(), many=True, required=False, help_text="the parts that it covers"
    )
    coat_every_months = Whole(
        min_value=1, max_value=240, allow_null=True, required=False, help_text="the yard's own; null: the rules'"
    )
    strip_after_years = Whole(
        min_value=1, max_value=60, allow_null=True, required=False, help_text="the yard's own; null: the rules'"
    )


class SurfaceSheet(SurfaceChangeSheet):
    boat = OfYard(queryset=Boat.objects.select_related("yard"))


class SurfaceWorkOut(serializers.ModelSerializer[SurfaceWork]):
    deed = serializers.CharField(
        read_only=True, help_text="stripped, stained, coated or patched; empty in a line that strikes another"
    )
    product = serializers.CharField(source="product.code", read_only=True, allow_null=True, default=None)
    by = PersonOut(read_only=True, allow_null=True)
    struck = serializers.SerializerMethodField(help_text="by a later line: it counts no more")

    class Meta:
        model = SurfaceWork
        fields = [
            "id",
            "surface",
            "deed",
            "done_on",
            "coats",
            "area_m2",
            "product",
            "job",
            "finding",
            "strikes",
            "struck",
            "note",
            "by",
            "written_at",
        ]
        read_only_fields = fields

    def get_struck(self, work: SurfaceWork) -> bool:
        return hasattr(work, "struck_by")


class SurfaceWorkSheet(Sheet):
    deed = serializers.ChoiceField(choices=Deed.choices())
    done_on = serializers.DateField()
    coats = Whole(
        min_value=1, max_value=30, required=False, allow_null=True, help_text="of a full coat, and only there"
    )
    area_m2 = Amount(
        max_digits=8, decimal_places=3, max_value=10_000, required=False, allow_null=True, help_text="of a patch"
    )
    product: CodeOfYard[Material] = CodeOfYard(
        queryset=Material.objects.all(), required=False, allow_null=True, help_text="code of one of the materials"
    )
    note = Text(max_length=300, required=False, allow_blank=True)


class StrikeSheet(Sheet):
    note = Text(max_length=300, required=False, allow_blank=True, help_text="why it is wrong")


class AdviceOut(serializers.Serializer[Any]):
    """What a surface wants today."""

    patched_m2 = serializers.DecimalField(
        max_digits=12, decimal_places=3, help_text="since the last strip, added up"
    )
    patched_share = serializers.DecimalField(max_digits=4, decimal_places=3, help_text="of the surface, 1 at most")
    stripped_on = serializers.DateField(allow_null=True, help_text="null: no strip is on record")
    known_since = serializers.DateField(allow_null=True, help_text="the day its age is counted from")
    coated_on = serializers.DateField(allow_null=True)
    coat_due_on = serializers.DateField(allow_null=True)
    coat_due = serializers.BooleanField(help_text="before the lay-up")
    strip_due_on = serializers.DateField(allow_null=True)
    strip_advised = serializers.BooleanField(help_text="it falls due before the lay-up")
    reasons = serializers.ListField(child=serializers.CharField())


class SurfaceVerificationSheet(Sheet):
    job = OfYard(queryset=Job.objects.all())
    photo_sha256 = Sha256(required=False)
    reading = Text(max_length=120, required=False, allow_blank=True)
    note = Text(max_length=2000, required=False, allow_blank=True)


class SurfaceFilters(Filters):
    boat = IdFilter()
    finish = WordFilter(Finish)


@extend_schema_view(
    list=extend_schema(summary="Finished surfaces of the boats"), retrieve=extend_schema(summary="One surface")
)
class Surfaces(Listed, Shown, YardViewSet[Surface]):
    queryset = Surface.objects.all()
    serializer_class = SurfaceOut
    filterset_class = SurfaceFilters
    with_related = ("boat", "yard")
    with_many = ("components",)
    ordering = "id"
    ordering_fields = ("id", "name")

    def get_permissions(self) -> Sequence[Any]:
        if self.action in ("create", "partial_update", "strip", "strike"):
            return [IsManager()]
        return [IsMember()]

    @extend_schema(summary="Enter a surface of a boat", request=SurfaceSheet, responses={201: SurfaceOut})
    def create(self, request: Request) -> Response:
        return self.answer(surface_create(at=self.now, **self.read(SurfaceSheet)), status=201)

    @extend_schema(
        summary="Change what is known of a surface; its history stays",
        request=SurfaceChangeSheet,
        responses=SurfaceOut,
        parameters=[VERSION],
    )
    @transaction.atomic
    def partial_update(self, request: Request, pk: int) -> Response:
        surface = self.locked_row(request)
        given = self.read(SurfaceChangeSheet, partial=True)
        components = given.pop("components", None)
        changed = surface_change(surface=surface, changes=given, components=components, by=self.member, at=self.now)
        return self.answer(changed)

    @extend_schema(
        methods=["GET"],
        summary="Its history, the oldest first, with what was struck",
        responses=SurfaceWorkOut(many=True),
    )
    @extend_schema(
        methods=["POST"],
        summary="Write what was done in earlier years, or without a job",
        request=SurfaceWorkSheet,
        responses={201: SurfaceWorkOut},
    )
    @action(detail=True, methods=["get", "post"], pagination_class=None, filter_backends=[])
    def works(self, request: Request, pk: int) -> Response:
        surface = self.row()
        if request.method == "GET":
            rows = SurfaceWork.objects.filter(surface=surface).select_related("product", "by__user", "struck_by")
            return Response(SurfaceWorkOut(rows.order_by("done_on", "id"), many=True).data)
        work = surface_work_add(surface=surface, by=self.member, at=self.now, **self.read(SurfaceWorkSheet))
        return Response(SurfaceWorkOut(work).data, status=201)

    @extend_schema(
        summary="Strike a line that is wrong; it stays to be read and counts no more",
        request=StrikeSheet,
        responses={201: SurfaceWorkOut},
    )
    @action(detail=True, methods=["post"], url_path="works/<int:work>/strike")
    def strike(self, request: Request, pk: int, work: int) -> Response:
        surface = self.row()
        if work > MAX_ID:
            raise Http404
        wrong = get_object_or_404(SurfaceWork.objects.select_related("surface"), surface=surface, pk=work)
        strike = surface_work_strike(work=wrong, by=self.member, at=self.now, **self.read(StrikeSheet))
        return Response(SurfaceWorkOut(strike).data, status=201)

    @extend_schema(summary="Whether a coat or a strip is due, when, and why", responses=AdviceOut)
    @action(detail=True, methods=["get"])
    def advice(self, request: Request, pk: int) -> Response:
        (standing,) = surfaces_standing([self.row()], yard=self.yard, on_date=today_at(self.yard, self.now))
        return Response(AdviceOut(standing.advice).data)

    @extend_schema(
        summary="Propose the strip that is advised as a job; asked again, the same job is the answer",
        request=None,
        responses=JobOut,
    )
    @action(detail=True, methods=["post"])
    def strip(self, request: Request, pk: int) -> Response:
        job = strip_propose(surface=self.row(), by=self.member, at=self.now)
        shown = Job.objects.select_related("boat", "inspection", "edited_by").get(pk=job.pk)
        return Response(JobOut(shown, context=self.get_serializer_context()).data)

    @extend_schema(
        summary="Verify a surface that a job has done, by photo or reading",
        request=SurfaceVerificationSheet,
        responses={201: VerificationOut},
    )
    @action(detail=True, methods=["post"])
    def verification(self, request: Request, pk: int) -> Response:
        surface = self.row()
        seen = strip_verify(surface=surface, by=self.member, at=self.now, **self.read(SurfaceVerificationSheet))
        return Response(VerificationOut(seen).data, status=201)


__all__ = ["Surfaces"]
