"""The look afterwards that ends a finding, and somebody else's where much hangs on the place."""

from __future__ import annotations

from typing import Any

from django.db.models import Q
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown, YardViewSet
from api.fields import Amount, OfYard, Sha256, Sheet, Text, YesNo
from api.filters import Filters, IdFilter, UuidFilter, YesNoFilter
from api.rooms.entries import PersonOut
from inspections.models import Finding
from workshop.models import SecondLook, Verification, VerificationReading
from workshop.services.verifying import MEASURED, Measured, finding_verify, second_look_give


class VerificationReadingOut(serializers.ModelSerializer[VerificationReading]):
    class Meta:
        model = VerificationReading
        fields = ["quantity", "value", "unit"]
        read_only_fields = fields


class SecondLookOut(serializers.ModelSerializer[SecondLook]):
    by = PersonOut(read_only=True)

    class Meta:
        model = SecondLook
        fields = ["by", "holds", "note", "seen_at"]
        read_only_fields = fields


class VerificationOut(serializers.ModelSerializer[Verification]):
    by = PersonOut(read_only=True)
    second_look = SecondLookOut(read_only=True, allow_null=True, default=None)
    second_look_by = PersonOut(
        read_only=True, allow_null=True, help_text="only in old rows: whom the first one named"
    )
    waits_for_second_look = serializers.BooleanField(read_only=True)
    readings = VerificationReadingOut(many=True, read_only=True)

    class Meta:
        model = Verification
        fields = [
            "id",
            "finding",
            "surface",
            "job",
            "by",
            "needs_second_look",
            "waits_for_second_look",
            "second_look",
            "second_look_by",
            "photo_sha256",
            "readings",
            "reading",
            "note",
            "seen_at",
            "look_again_on",
            "look_again_kind",
            "judged_look_on",
            "look_again_reason",
        ]
        read_only_fields = fields


class MeasuredSheet(Sheet):
    quantity = serializers.ChoiceField(choices=[(name, name) for name in MEASURED])
    value = Amount(max_digits=7, decimal_places=2, min_value=0, max_value=1000)
    unit = Text(max_length=12, required=False, help_text="% for moisture, mm for play and gap")


class VerificationSheet(Sheet):
    finding: OfYard[Finding] = OfYard(queryset=Finding.objects.all(), pk_field=serializers.UUIDField())
    photo_sha256 = Sha256(required=False, help_text="of a photo that the yard holds")
    readings = serializers.ListField(child=MeasuredSheet(), required=False, max_length=10)
    look_again_on = serializers.DateField(required=False, help_text="left out: the day that the rules give")
    look_again_reason = Text(
        max_length=300, required=False, allow_blank=True, help_text="why later than the rules give"
    )
    note = Text(max_length=2000, required=False, allow_blank=True)


class SecondLookSheet(Sheet):
    holds = YesNo(help_text="false: the repair is not good, and the finding is open again")
    note = Text(max_length=2000, required=False, allow_blank=True, help_text="what is wrong, where it doesn't hold")


class VerificationFilters(Filters):
    finding = UuidFilter(field_name="finding_id")
    job = IdFilter()
    surface = IdFilter()
    boat = IdFilter(method="of_boat")
    waiting = YesNoFilter(method="waits", label="true: somebody else has to look as well")

    def of_boat(self, rows: Any, _: str, value: int) -> Any:
        return rows.filter(Q(finding__boat=value) | Q(surface__boat=value))

    def waits(self, rows: Any, _: str, value: bool) -> Any:
        waiting = {"needs_second_look": True, "second_look__isnull": True}
        return rows.filter(**waiting) if value else rows.exclude(**waiting)


@extend_schema_view(
    list=extend_schema(summary="Looks at what was repaired, the newest first"),
    retrieve=extend_schema(summary="One verification"),
)
class Verifications(Listed, Shown, YardViewSet[Verification]):
    queryset = Verification.objects.all()
    serializer_class = VerificationOut
    filterset_class = VerificationFilters
    with_related = ("by", "second_look_by", "second_look__by")
    with_many = ("readings",)
    ordering = "-seen_at"
    ordering_fields = ("seen_at", "look_again_on")

    @extend_schema(
        summary="Verify a repaired finding, by photo or reading; severity 1 and 2 then wait for a second look",
        request=VerificationSheet,
        responses={201: VerificationOut},
    )
    def create(self, request: Request) -> Response:
        given = self.read(VerificationSheet)
        readings = [Measured(**each) for each in given.pop("readings", [])]
        return self.answer(finding_verify(by=self.member, at=self.now, readings=readings, **given), status=201)

    @extend_schema(
        summary="Give the second look, as yourself: the repair holds, or it does not",
        request=SecondLookSheet,
        responses={201: VerificationOut},
    )
    @action(detail=True, methods=["post"], url_path="second-look")
    def second_look(self, request: Request, pk: int) -> Response:
        verification = self.row()
        second_look_give(verification=verification, by=self.member, at=self.now, **self.read(SecondLookSheet))
        return Response(self.shown(self.row(pk=verification.pk)), status=201)
