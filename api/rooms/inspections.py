"""Inspections: opened from the templates, fetched whole before going aboard, filled by batches, closed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import Count, Exists, IntegerField, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema, extend_schema_field, extend_schema_view
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import VERSION, Listed, OfMember, YardViewSet, versioned
from api.fields import MAX_ID, OfYard, Sheet, Whole, objection
from api.filters import Filters, IdFilter, YearFilter, YesMeansEmpty
from api.parsers import TooLarge
from api.permissions import ManagersWrite
from api.rooms.boats import ComponentOut, SpotOut
from api.rooms.catalogue import words
from api.rooms.entries import BatchOut, BatchSheet, EntryOut, PersonOut
from api.rooms.findings import FindingOut
from api.versions import if_match
from inspections.models import Check, Entry, EntryPhoto, Finding, Inspection, OpeningStep
from inspections.models.findings import FindingState
from inspections.selectors import (
    CheckState,
    check_states,
    entries_outside_the_list,
    findings_with_judgement,
    missing_photos,
)
from inspections.services.entries import entries_submit
from inspections.services.inspections import (
    inspection_afloat_set,
    inspection_close,
    inspection_launch_set,
    inspection_open,
)
from yard.models import Boat, Component, Member, Spot

MOST_ENTRIES = 200


class InspectionOut(serializers.ModelSerializer[Inspection]):
    boat_name = serializers.CharField(source="boat.name", read_only=True)
    opened_by = PersonOut(read_only=True, allow_null=True)
    closed_by = PersonOut(read_only=True, allow_null=True)
    checks_total = serializers.IntegerField(read_only=True)
    checks_answered = serializers.IntegerField(read_only=True)

    class Meta:
        model = Inspection
        fields = [
            "id",
            "boat",
            "boat_name",
            "season_year",
            "launch_on",
            "afloat_on",
            "opened_at",
            "opened_by",
            "closed_at",
            "closed_by",
            "checks_total",
            "checks_answered",
        ]
        read_only_fields = fields


class StepOut(serializers.ModelSerializer[OpeningStep]):
    class Meta:
        model = OpeningStep
        fields = ["id", "component", "key", "kind", "text", "shares", "position"]
        read_only_fields = fields


class CheckOut(serializers.ModelSerializer[Check]):
    template_version = serializers.IntegerField(
        source="template_version.number", read_only=True, allow_null=True, default=None
    )
    usual_signs = words()
    after = words(help_text="keys of the opening steps that come before")
    contact = words()
    reading = serializers.DictField(
        read_only=True, allow_null=True, help_text="quantity, unit, minimum, maximum where a reading is asked for"
    )

    class Meta:
        model = Check
        fields = [
            "id",
            "component",
            "spot",
            "origin",
            "template_version",
            "key",
            "position",
            "prompt",
            "look_for",
            "answer_kind",
            "reading",
            "usual_signs",
            "after",
            "contact",
            "both_sides",
            "photo_wanted",
        ]
        read_only_fields = fields


class CheckStateOut(CheckOut):
    answers = serializers.SerializerMethodField(help_text="ids of the entries that hold, the newest last")

    class Meta(CheckOut.Meta):
        fields = [*CheckOut.Meta.fields, "answers"]
        read_only_fields = fields

    @extend_schema_field({"type": "array", "items": {"type": "string", "format": "uuid"}})
    def get_answers(self, check: Check) -> list[str]:
        state: CheckState = self.context["states"][check.pk]
        return [str(entry.pk) for entry in state.answers]


class MissingPhotoOut(serializers.Serializer[Any]):
    sha256 = serializers.CharField()
    entry = serializers.UUIDField(source="entry_id")


@dataclass(frozen=True, slots=True)
class Load:
    """What an inspection is shown with, read in a fixed number of queries."""

    components: Iterable[Component]
    spots: Iterable[Spot]
    opening_steps: Iterable[OpeningStep]
    checks: Iterable[Check]
    entries: Iterable[Entry]
    photos_missing: Iterable[EntryPhoto]
    earlier_findings: Iterable[Finding]


class InspectionWhole(InspectionOut):
    """All that a tablet needs before it goes where there is no network."""

    components = ComponentOut(many=True, source="load.components")
    spots = SpotOut(many=True, source="load.spots")
    opening_steps = StepOut(many=True, source="load.opening_steps")
    checks = CheckStateOut(many=True, source="load.checks")
    entries = EntryOut(many=True, source="load.entries", help_text="those that hold")
    photos_missing = MissingPhotoOut(
        many=True, source="load.photos_missing", help_text="named by an entry and not here yet"
    )
    earlier_findings = FindingOut(
        many=True, source="load.earlier_findings", help_text="of other seasons, the newest first"
    )

    class Meta(InspectionOut.Meta):
        fields = [
            *InspectionOut.Meta.fields,
            "components",
            "spots",
            "opening_steps",
            "checks",
            "entries",
            "photos_missing",
            "earlier_findings",
        ]
        read_only_fields = fields


class InspectionSheet(Sheet):
    boat = OfYard(queryset=Boat.objects.all())
    season_year = Whole(min_value=1900, max_value=2200)
    launch_on = serializers.DateField(required=False, help_text="the season's day when left out")


class CloseSheet(Sheet):
    author = OfYard(
        queryset=Member.objects.all(),
        required=False,
        allow_null=True,
        help_text="who says so, where that is not who signed the device in",
    )


class LaunchOut(serializers.ModelSerializer[Inspection]):
    class Meta:
        model = Inspection
        fields = ["launch_on", "afloat_on"]
        read_only_fields = fields


class LaunchSheet(Sheet):
    launch_on = serializers.DateField()
    afloat_on = serializers.DateField(
        required=False, allow_null=True, help_text="when she went in; null takes it back, left out it stays"
    )


class InspectionFilters(Filters):
    boat = IdFilter()
    season = YearFilter(field_name="season_year")
    open = YesMeansEmpty(field_name="closed_at")


def with_progress(inspections: QuerySet[Inspection]) -> QuerySet[Inspection]:
    checks = Check.objects.filter(inspection=OuterRef("pk")).order_by()
    later = Entry.objects.filter(supersedes=OuterRef("pk"))
    standing = Entry.objects.filter(~Exists(later), answers=OuterRef("pk"))
    return inspections.annotate(
        checks_total=_number_of(checks), checks_answered=_number_of(checks.filter(Exists(standing)))
    )


def _number_of(checks: QuerySet[Check]) -> Coalesce:
    counted = checks.values("inspection").annotate(number=Count("pk")).values("number")
    return Coalesce(Subquery(counted, output_field=IntegerField()), 0)


@extend_schema_view(list=extend_schema(summary="Inspections and how far each is"))
class Inspections(Listed, YardViewSet[Inspection]):
    shared_tablets_write = True
    queryset = Inspection.objects.all()
    serializer_class = InspectionOut
    filterset_class = InspectionFilters
    with_related = ("boat", "opened_by", "closed_by")
    ordering = "-opened_at"
    ordering_fields = ("opened_at", "launch_on", "season_year")

    def get_queryset(self) -> QuerySet[Inspection]:
        rows = super().get_queryset()
        # A batch wants to know whose inspection it is, and no more of it.
        return rows.select_related(None) if self.action == "entries" else with_progress(rows)

    @extend_schema(
        summary="An inspection with its checks, answers and what was found before: a tablet's load",
        responses=InspectionWhole,
    )
    def retrieve(self, request: Request, pk: int) -> Response:
        return versioned(request, self._whole(self.row()))

    @extend_schema(summary="Open the inspection of a boat", request=InspectionSheet, responses={201: InspectionOut})
    def create(self, request: Request) -> Response:
        return self.answer(
            inspection_open(by=self._speaker(), at=self.now, **self.read(InspectionSheet)), status=201
        )

    @extend_schema(
        summary="Close it: every check is answered and every photo is here, or it says which is not",
        request=CloseSheet,
        responses=InspectionOut,
    )
    @action(detail=True, methods=["post"])
    def close(self, request: Request, pk: int) -> Response:
        inspection = self.row()
        by = self.read(CloseSheet).get("author") or self._speaker()
        return self.answer(inspection_close(inspection=inspection, at=self.now, by=by))

    @extend_schema(
        summary="Send a batch of entries; each gets its own answer, and sending it again is safe",
        request=BatchSheet,
        responses=BatchOut,
    )
    @action(detail=True, methods=["post"])
    def entries(self, request: Request, pk: int) -> Response:
        inspection = self.row()
        results = entries_submit(
            inspection=inspection, author=self.member, device=self.device, sheets=_sheets(request), at=self.now
        )
        return Response(BatchOut({"results": results}).data)

    def _speaker(self) -> Member | None:
        """Who is asking; None where a shared tablet does not say."""
        return None if self.device is not None and self.device.shared else self.member

    def answer(self, row: Inspection, *, status: int = 200) -> Response:
        # Without an ETag: the one of this address is that of the whole.
        headers = {"Location": f"{self.request.path}{row.pk}/"} if status == 201 else {}
        return Response(self.shown(self.row(pk=row.pk)), status=status, headers=headers)

    def _whole(self, inspection: Inspection) -> Any:
        states = {state.check.pk: state for state in check_states(inspection)}
        answers = [entry for state in states.values() for entry in state.answers]
        fitted = Component.objects.filter(boat=inspection.boat_id, removed_on=None)
        earlier = findings_with_judgement(self.yard).filter(boat=inspection.boat_id).exclude(inspection=inspection)
        load = Load(
            components=fitted.select_related("component_class"),
            spots=Spot.objects.filter(component__in=fitted).select_related("component"),
            opening_steps=inspection.opening_steps.all(),
            checks=[state.check for state in states.values()],
            entries=[*answers, *entries_outside_the_list(inspection)],
            photos_missing=missing_photos(inspection),
            earlier_findings=earlier.exclude(state=FindingState.WITHDRAWN).order_by("-found_at", "-pk"),
        )
        inspection.load = load  # type: ignore[attr-defined]
        return InspectionWhole(inspection, context={"states": states}).data


class Launch(OfMember):
    """The one thing of an inspection that the office edits, so that it has a version of its own."""

    permission_classes = [ManagersWrite]

    @extend_schema(summary="When the boat is to go in", responses=LaunchOut)
    def get(self, request: Request, pk: int) -> Response:
        return versioned(request, LaunchOut(self._inspection(pk)).data)

    @extend_schema(
        summary="Change the day on which the boat is to go in; what was found is judged again",
        request=LaunchSheet,
        responses=LaunchOut,
        parameters=[VERSION],
    )
    @transaction.atomic
    def put(self, request: Request, pk: int) -> Response:
        inspection = self._inspection(pk, lock=True)
        if_match(request, LaunchOut(inspection).data)
        given = self.read(LaunchSheet)
        changed = inspection_launch_set(inspection=inspection, at=self.now, launch_on=given["launch_on"])
        if "afloat_on" in given:
            changed = inspection_afloat_set(inspection=changed, at=self.now, afloat_on=given["afloat_on"])
        return versioned(request, LaunchOut(changed).data)

    def _inspection(self, pk: int, *, lock: bool = False) -> Inspection:
        rows = Inspection.objects.of_yard(self.yard)
        found = get_object_or_404(rows.select_for_update() if lock else rows, pk=min(pk, MAX_ID))
        assert isinstance(found, Inspection)
        return found


def _sheets(request: Request) -> list[Any]:
    """The entries of a batch as they came: each is read by itself, so that one slip holds up no other."""
    body = request.data
    if not isinstance(body, dict) or set(body) != {"entries"} or not isinstance(body["entries"], list):
        raise objection("is no batch", 'send an object with nothing but {"entries": […]}')
    if len(body["entries"]) > MOST_ENTRIES:
        raise TooLarge(f"There are {len(body['entries'])} entries; send at most {MOST_ENTRIES} at once.")
    return body["entries"]
