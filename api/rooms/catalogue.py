"""The yard's own catalogue: classes of parts, signs, treatments, materials and cautions, by their codes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db import transaction
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import VERSION, Listed, Shown, YardViewSet
from api.fields import Amount, CodeOfYard, Sheet, Text
from api.filters import Filters, TextFilter, WordFilter
from api.permissions import IsManager, IsMember
from inspections.models import Sign
from workshop.estimating.packs import LARGEST_PRICE, LARGEST_SIZE, MOST_SIZES
from workshop.models import Caution, Material, MaterialPack, Treatment
from workshop.services.materials import DEAREST_UNIT, LEAST_SIZE, material_change
from yard.models import ComponentClass, VatClass
from yard.vocabulary import SafetyRole


def words(**kwargs: Any) -> Any:
    """A list of codes or plain words."""
    return serializers.ListField(child=serializers.CharField(), read_only=True, **kwargs)


def by_code(what: str) -> Any:
    return extend_schema_view(
        list=extend_schema(summary=f"The yard's {what}"),
        retrieve=extend_schema(summary=f"One of the yard's {what}"),
    )


class ComponentClassOut(serializers.ModelSerializer[ComponentClass]):
    fits = words()
    contact = words()
    load = words()
    water = words()
    hidden_by = words()
    look_first_at = words()
    usual_signs = words(help_text="codes of signs")

    class Meta:
        model = ComponentClass
        fields = [
            "code",
            "name",
            "group",
            "fits",
            "contact",
            "load",
            "water",
            "safety_role",
            "hidden_by",
            "look_first_at",
            "usual_signs",
            "recheck_months",
            "open_up_months",
            "basis",
        ]
        read_only_fields = fields


class ComponentClassFilters(Filters):
    name = TextFilter(lookup_expr="icontains", label="part of the name")
    group = TextFilter()
    safety_role = WordFilter(SafetyRole)


@by_code("classes of parts")
class ComponentClasses(Listed, Shown, YardViewSet[ComponentClass]):
    queryset = ComponentClass.objects.all()
    serializer_class = ComponentClassOut
    filterset_class = ComponentClassFilters
    lookup_field = "code"
    lookup_value_converter = "code"
    ordering = "code"
    ordering_fields = ("code", "name", "recheck_months", "open_up_months")


class SignOut(serializers.ModelSerializer[Sign]):
    conditions = words(help_text="what it speaks for, the strongest first")

    class Meta:
        model = Sign
        fields = [
            "code",
            "name",
            "record_as",
            "size_unit",
            "meaning",
            "confirm_by",
            "made_worse_by",
            "raises",
            "lowers",
            "conditions",
            "basis",
        ]
        read_only_fields = fields


class NameFilters(Filters):
    name = TextFilter(lookup_expr="icontains", label="part of the name")


@by_code("signs")
class Signs(Listed, Shown, YardViewSet[Sign]):
    queryset = Sign.objects.all()
    serializer_class = SignOut
    filterset_class = NameFilters
    lookup_field = "code"
    lookup_value_converter = "code"
    ordering = "code"
    ordering_fields = ("code", "name")


class TreatmentOut(serializers.ModelSerializer[Treatment]):
    suits_signs = words()
    suits_conditions = words()
    suits_classes = words(help_text="none: any class")
    steps = serializers.ListField(child=serializers.DictField(), read_only=True)
    tools = words()
    needs = words()
    materials = serializers.ListField(child=serializers.DictField(), read_only=True)
    extras = serializers.ListField(child=serializers.DictField(), read_only=True)
    cautions = words(help_text="codes of cautions")

    class Meta:
        model = Treatment
        fields = [
            "code",
            "name",
            "trade",
            "unit",
            "suits_signs",
            "suits_conditions",
            "suits_classes",
            "steps",
            "tools",
            "needs",
            "hours_low",
            "hours_likely",
            "hours_high",
            "setup_hours",
            "materials",
            "extras",
            "minimum_temperature_c",
            "maximum_moisture_pct",
            "needs_shelter",
            "needs_dry_weather",
            "cautions",
            "limits",
            "basis",
        ]
        read_only_fields = fields


class TreatmentFilters(NameFilters):
    trade = TextFilter()


@by_code("treatments")
class Treatments(Listed, Shown, YardViewSet[Treatment]):
    queryset = Treatment.objects.all()
    serializer_class = TreatmentOut
    filterset_class = TreatmentFilters
    lookup_field = "code"
    lookup_value_converter = "code"
    ordering = "code"
    ordering_fields = ("code", "name", "hours_likely")


class MaterialPackOut(serializers.ModelSerializer[MaterialPack]):
    class Meta:
        model = MaterialPack
        fields = ["name", "plural", "size", "price"]
        read_only_fields = fields


class MaterialOut(serializers.ModelSerializer[Material]):
    vat_class = serializers.CharField(
        source="vat_class.code", read_only=True, allow_null=True, help_text="null: that of the yard's work"
    )
    packs = MaterialPackOut(many=True, read_only=True, help_text="the sizes it is bought in, in its unit")

    class Meta:
        model = Material
        fields = [
            "code",
            "name",
            "unit",
            "unit_price",
            "waste_pct",
            "least_per_job",
            "charged_by",
            "packs",
            "vat_class",
        ]
        read_only_fields = fields


class MaterialPackSheet(Sheet):
    name = Text(max_length=40, default="pack", help_text="what one is called, like cartridge")
    plural = Text(max_length=40, default="packs")
    size = Amount(max_digits=9, decimal_places=3, min_value=LEAST_SIZE, max_value=LARGEST_SIZE)
    price = Amount(max_digits=10, decimal_places=2, min_value=0, max_value=LARGEST_PRICE, help_text="net, for one")


class MaterialSheet(Sheet):
    unit_price = Amount(
        max_digits=10, decimal_places=4, min_value=0, max_value=DEAREST_UNIT, help_text="net, per unit"
    )
    charged_by = serializers.ChoiceField(choices=Material.ChargedBy.choices)
    vat_class: CodeOfYard[VatClass] = CodeOfYard(
        queryset=VatClass.objects.all(), allow_null=True, help_text="null: that of the yard's work"
    )
    packs = serializers.ListField(
        child=MaterialPackSheet(), max_length=MOST_SIZES, help_text="they take the place of those before"
    )


@by_code("materials and their prices")
class Materials(Listed, Shown, YardViewSet[Material]):
    queryset = Material.objects.select_related("vat_class").prefetch_related("packs")
    serializer_class = MaterialOut
    filterset_class = NameFilters
    lookup_field = "code"
    lookup_value_converter = "code"
    ordering = "code"
    ordering_fields = ("code", "name", "unit_price")

    def get_permissions(self) -> Sequence[Any]:
        return [IsManager() if self.action == "partial_update" else IsMember()]

    @extend_schema(
        summary="Change what a material costs, its packs, how it is charged, its class of VAT; sent quotes stay",
        request=MaterialSheet,
        responses=MaterialOut,
        parameters=[VERSION],
    )
    @transaction.atomic
    def partial_update(self, request: Request, code: str) -> Response:
        material = self.locked_row(request)
        changes = self.read(MaterialSheet, partial=True)
        return self.answer(material_change(material=material, changes=changes, by=self.member, at=self.now))


class CautionOut(serializers.ModelSerializer[Caution]):
    class Meta:
        model = Caution
        fields = ["code", "title", "text"]
        read_only_fields = fields


@by_code("cautions")
class Cautions(Listed, Shown, YardViewSet[Caution]):
    queryset = Caution.objects.all()
    serializer_class = CautionOut
    lookup_field = "code"
    lookup_value_converter = "code"
    ordering = "code"
