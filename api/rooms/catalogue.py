"""The yard's own catalogue: classes of parts, signs, treatments, materials and cautions, by their codes."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers

from api.base import Listed, Shown, YardViewSet
from api.filters import Filters, TextFilter, WordFilter
from inspections.models import Sign
from workshop.models import Caution, Material, MaterialPack, Treatment
from yard.models import ComponentClass
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


@by_code("materials and their prices")
class Materials(Listed, Shown, YardViewSet[Material]):
    queryset = Material.objects.select_related("vat_class").prefetch_related("packs")
    serializer_class = MaterialOut
    filterset_class = NameFilters
    lookup_field = "code"
    lookup_value_converter = "code"
    ordering = "code"
    ordering_fields = ("code", "name", "unit_price")


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
