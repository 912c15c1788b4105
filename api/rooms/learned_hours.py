"""What a yard's own work logs say of the hours in its catalogue, and taking that over."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import OfMember, versioned
from api.fields import Sheet, Text
from api.permissions import IsManager
from api.rooms.operations import HoursSheet
from inspections.learning import MINIMUM_OBSERVATIONS
from workshop.estimating.hours import CEILING_PROBABILITY, ThreePoint
from workshop.models import HoursAdopted, Treatment
from workshop.selectors.learned_hours import learned_hours_of
from workshop.services.hours_adopted import REASON_LENGTH, hours_adopt


class ThreeHoursOut(serializers.Serializer[Any]):
    low = serializers.DecimalField(max_digits=7, decimal_places=2)
    likely = serializers.DecimalField(max_digits=7, decimal_places=2)
    high = serializers.DecimalField(max_digits=7, decimal_places=2)


class HoursAdoptedOut(serializers.ModelSerializer[HoursAdopted]):
    treatment = serializers.CharField(source="treatment.code", read_only=True)
    hours = ThreeHoursOut()
    hours_before = ThreeHoursOut()

    class Meta:
        model = HoursAdopted
        fields = ["id", "treatment", "hours_before", "hours", "jobs", "why", "adopted_by", "adopted_at"]
        read_only_fields = fields


class TreatmentHoursOut(serializers.Serializer[Any]):
    treatment = serializers.CharField(source="treatment.code")
    name = serializers.CharField(source="treatment.name")
    unit = serializers.CharField(source="treatment.unit", help_text="hours are those of one of it")
    stands = ThreeHoursOut(help_text="what is estimated by today")
    catalogue = ThreeHoursOut(
        source="told.catalogue", help_text="what the records are held against: before any of them was adopted"
    )
    jobs = serializers.IntegerField(source="told.learned.records", help_text="done jobs with hours booked")
    alone = serializers.IntegerField(source="told.alone", help_text="of them with no other treatment")
    drawn_in = serializers.IntegerField(source="told.learned.drawn_in", help_text="wild records, drawn in")
    median_hours = serializers.FloatField(source="told.median_hours", help_text="by catalogue and records")
    p80_hours = serializers.FloatField(source="told.p80_hours", help_text="not passed by four jobs out of five")
    proposed = ThreeHoursOut(
        source="told.proposed", allow_null=True, help_text="what adopting would set; null: too few jobs"
    )
    adoptable = serializers.BooleanField(help_text="enough jobs, and they say something else than the catalogue")
    adopted = HoursAdoptedOut(allow_null=True, help_text="the adoption that today's figures are from")


class LearnedHoursOut(serializers.Serializer[Any]):
    least_jobs = serializers.IntegerField(help_text="with fewer jobs nothing can be adopted")
    ceiling_probability = serializers.FloatField(help_text="of the figure p80_hours")
    treatments = TreatmentHoursOut(many=True)


class AdoptionSheet(Sheet):
    hours = HoursSheet(help_text="as they are proposed; refused where the records say something else by now")
    why = Text(max_length=REASON_LENGTH)


class LearnedHoursView(OfMember):
    permission_classes = [IsManager]

    @extend_schema(
        summary="What the yard's own hours say of each treatment: catalogue, records, and what could be adopted",
        responses=LearnedHoursOut,
    )
    def get(self, request: Request) -> Response:
        shown = {
            "least_jobs": MINIMUM_OBSERVATIONS,
            "ceiling_probability": CEILING_PROBABILITY,
            "treatments": learned_hours_of(self.yard),
        }
        return versioned(request, LearnedHoursOut(shown).data)


class AdoptHours(OfMember):
    permission_classes = [IsManager]

    @extend_schema(
        summary="Estimate by the yard's own hours from now on; what is quoted stays as it was sent",
        request=AdoptionSheet,
        responses={201: HoursAdoptedOut},
    )
    def post(self, request: Request, code: str) -> Response:
        treatment = get_object_or_404(Treatment.objects.of_yard(self.yard), code=code)
        given = self.read(AdoptionSheet)
        adoption = hours_adopt(
            treatment=treatment, by=self.member, hours=ThreePoint(**given["hours"]), why=given["why"], at=self.now
        )
        return versioned(request, HoursAdoptedOut(adoption).data, status=status.HTTP_201_CREATED)


__all__ = ["AdoptHours", "LearnedHoursView"]
