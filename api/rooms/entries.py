"""Entries: a batch from a tablet gets an answer for each of them; what could not be placed waits for the office."""

from __future__ import annotations

from typing import Any

from django.db.models import Exists, OuterRef, QuerySet
from drf_spectacular.utils import (
    PolymorphicProxySerializer,
    extend_schema,
    extend_schema_field,
    extend_schema_view,
)
from rest_framework import serializers

from api.base import Listed, Shown, YardViewSet
from api.fields import MAX_ID, Amount, Identifier, Moment, Sheet, Text, Whole, YesNo
from api.filters import Filters, IdFilter, MomentFilter, UuidFilter, WordFilter, YearFilter, YesNoFilter
from api.rooms.catalogue import words
from inspections.judgement.vocabulary import Answer, Moves, Seal, Sides, Trend
from inspections.models import Entry, Reading
from inspections.models.opening import StepOutcome
from inspections.services.entry_sheet import MOST_OFFSET_MS, MOST_PHOTOS, MOST_READINGS, MOST_SIGNS
from yard.models import Member, PlanLevel
from yard.vocabulary import Labelled, Load, Water

OUTCOMES = [
    ("stored", "stored"),
    ("already_there", "already there"),
    ("refused", "refused"),
    ("set_aside", "set aside for the office"),
]


class PersonOut(serializers.ModelSerializer[Member]):
    class Meta:
        model = Member
        fields = ["id", "name"]
        read_only_fields = fields


class ReadingOut(serializers.ModelSerializer[Reading]):
    class Meta:
        model = Reading
        fields = ["quantity", "value", "unit", "wood_temperature_c"]
        read_only_fields = fields


def said(vocabulary: type[Labelled]) -> serializers.ChoiceField:
    """A word of a vocabulary; empty where it was not recorded."""
    return serializers.ChoiceField(choices=vocabulary.choices(), allow_blank=True, read_only=True)


class EntryOut(serializers.ModelSerializer[Entry]):
    check = serializers.IntegerField(source="answers_id", read_only=True, allow_null=True)
    signs = words(help_text="codes of the yard's signs")
    readings = ReadingOut(many=True, read_only=True)
    water = said(Water)
    load = said(Load)
    seal = said(Seal)
    moves = said(Moves)
    sides = said(Sides)
    trend = said(Trend)
    photos = serializers.SerializerMethodField(help_text="SHA-256 of each file; it may still be on its way")
    author = PersonOut(read_only=True)
    superseded = serializers.SerializerMethodField(help_text="a later entry has taken its place")

    class Meta:
        model = Entry
        fields = [
            "id",
            "inspection",
            "check",
            "component",
            "elsewhere",
            "spot",
            "answer",
            "not_seen_reason",
            "signs",
            "size_mm",
            "readings",
            "water",
            "load",
            "seal",
            "moves",
            "sides",
            "trend",
            "in_load_path",
            "note",
            "photos",
            "author",
            "device",
            "sequence",
            "observed_at",
            "device_clock_at",
            "clock_offset_ms",
            "received_at",
            "supersedes",
            "superseded",
        ]
        read_only_fields = fields

    @extend_schema_field({"type": "array", "items": {"type": "string"}})
    def get_photos(self, entry: Entry) -> list[str]:
        return [named.sha256 for named in entry.photo_names.all()]

    def get_superseded(self, entry: Entry) -> bool:
        # Lists of standing entries don't ask: none of theirs is.
        return bool(getattr(entry, "superseded", False))


class SpotOfEntry(Sheet):
    id = Identifier(help_text="of a place that is there, or a new UUID of version 7 with a name")
    tag = Text(max_length=40, required=False, allow_blank=True)
    name = Text(max_length=120, required=False, allow_blank=True)
    plan_x = Whole(max_value=1000, required=False, allow_null=True)
    plan_y = Whole(max_value=1000, required=False, allow_null=True)
    level = serializers.ChoiceField(choices=PlanLevel.choices, required=False, allow_blank=True)


class ReadingOfEntry(Sheet):
    quantity = Text(max_length=40)
    value = Amount(max_digits=9, decimal_places=2)
    unit = Text(max_length=12)
    wood_temperature_c = Amount(
        max_digits=4, decimal_places=1, min_value=-40, max_value=80, required=False, allow_null=True
    )


class EntryOfBatch(Sheet):
    """One entry as a tablet sends it. It is read by `inspections.services.entry_sheet`, which says what is wrong
    with each by itself; this is its description."""

    id = Identifier(help_text="a UUID of version 7, made by the tablet")
    answer = serializers.ChoiceField(choices=Answer.choices())
    observed_at = Moment(help_text="by the tablet's clock")
    check = Whole(max_value=MAX_ID, required=False, allow_null=True)
    component = Whole(max_value=MAX_ID, required=False, allow_null=True)
    elsewhere = Text(max_length=200, required=False, allow_blank=True)
    spot = SpotOfEntry(required=False, allow_null=True)
    not_seen_reason = Text(max_length=300, required=False, allow_blank=True)
    signs = serializers.ListField(child=Text(max_length=40), max_length=MOST_SIGNS, required=False)
    size_mm = Amount(
        max_digits=7, decimal_places=1, min_value=0, max_value=100_000, required=False, allow_null=True
    )
    readings = serializers.ListField(child=ReadingOfEntry(), max_length=MOST_READINGS, required=False)
    water = serializers.ChoiceField(choices=Water.choices(), required=False, allow_blank=True)
    load = serializers.ChoiceField(choices=Load.choices(), required=False, allow_blank=True)
    seal = serializers.ChoiceField(choices=Seal.choices(), required=False, allow_blank=True)
    moves = serializers.ChoiceField(choices=Moves.choices(), required=False, allow_blank=True)
    sides = serializers.ChoiceField(choices=Sides.choices(), required=False, allow_blank=True)
    trend = serializers.ChoiceField(choices=Trend.choices(), required=False, allow_blank=True)
    in_load_path = YesNo(required=False, allow_null=True)
    note = Text(max_length=4000, required=False, allow_blank=True)
    photos = serializers.ListField(child=Text(min_length=64, max_length=64), max_length=MOST_PHOTOS, required=False)
    sequence = Whole(required=False, allow_null=True, help_text="the device's own count; a batch is taken by it")
    supersedes = Identifier(required=False, allow_null=True)
    author = Whole(
        max_value=MAX_ID,
        required=False,
        allow_null=True,
        help_text="the member who saw it; a shared device must say so",
    )
    clock_offset_ms = serializers.IntegerField(
        min_value=-MOST_OFFSET_MS,
        max_value=MOST_OFFSET_MS,
        required=False,
        allow_null=True,
        help_text="the server's clock minus the device's; left out where it was not measured",
    )


class StepOfBatch(Sheet):
    """What is said of an opening-up step. It may stand among the entries of a batch."""

    id = Identifier(help_text="a UUID of version 7, made by the tablet")
    step = Whole(max_value=MAX_ID)
    outcome = serializers.ChoiceField(choices=StepOutcome.choices)
    reason = Text(max_length=300, required=False, allow_blank=True, help_text="why it was not possible")
    observed_at = Moment(help_text="by the tablet's clock")
    author = Whole(max_value=MAX_ID, required=False, allow_null=True)
    sequence = Whole(required=False, allow_null=True)
    clock_offset_ms = serializers.IntegerField(
        min_value=-MOST_OFFSET_MS, max_value=MOST_OFFSET_MS, required=False, allow_null=True
    )


ENTRY_OR_STEP = PolymorphicProxySerializer(
    component_name="EntryOrStepOfBatch",
    serializers=[EntryOfBatch, StepOfBatch],
    resource_type_field_name=None,
    many=True,
)


@extend_schema_field(ENTRY_OR_STEP)
class EntriesOfBatch(serializers.ListField):
    """Entries, and what is said of opening-up steps."""


class BatchSheet(Sheet):
    entries = EntriesOfBatch(child=EntryOfBatch(), max_length=200)


class ErrorOut(serializers.Serializer[Any]):
    field = serializers.CharField()
    problem = serializers.CharField()
    remedy = serializers.CharField()


class EntryResultOut(serializers.Serializer[Any]):
    id = serializers.CharField(allow_blank=True, help_text="as it was sent")
    outcome = serializers.ChoiceField(choices=OUTCOMES)
    errors = ErrorOut(  # type: ignore[assignment]
        many=True, source="refusals", help_text="why it was refused"
    )
    why = serializers.CharField(allow_blank=True, help_text="why it was set aside for the office")


class BatchOut(serializers.Serializer[Any]):
    results = EntryResultOut(many=True, help_text="in the order of what was sent")


class EntryFilters(Filters):
    inspection = IdFilter()
    boat = IdFilter(field_name="inspection__boat_id")
    season = YearFilter(field_name="inspection__season_year")
    check = IdFilter(field_name="answers_id")
    component = IdFilter()
    spot = UuidFilter(field_name="spot_id")
    author = IdFilter()
    answer = WordFilter(Answer)
    received_since = MomentFilter(field_name="received_at", lookup_expr="gte")
    superseded = YesNoFilter(field_name="superseded")


def with_supersession(entries: QuerySet[Entry]) -> QuerySet[Entry]:
    return entries.annotate(superseded=Exists(Entry.objects.filter(supersedes=OuterRef("pk"))))


@extend_schema_view(
    list=extend_schema(summary="Entries as they came, the newest first"),
    retrieve=extend_schema(summary="One entry"),
)
class Entries(Listed, Shown, YardViewSet[Entry]):
    queryset = Entry.objects.all()
    serializer_class = EntryOut
    filterset_class = EntryFilters
    lookup_value_converter = "uuid"
    with_related = ("author",)
    with_many = ("readings", "photo_names")
    ordering = "-received_at"
    ordering_fields = ("received_at", "observed_at")

    def get_queryset(self) -> QuerySet[Entry]:
        return with_supersession(super().get_queryset())
