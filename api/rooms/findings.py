"""Findings: what they mean by the rules, what a manager says otherwise, and what was seen there before."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db.models import DateField, QuerySet, Value
from django.db.models.functions import Coalesce
from django.http import Http404
from drf_spectacular.utils import extend_schema, extend_schema_field, extend_schema_view
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, OfMember, Shown, YardViewSet
from api.fields import Sheet, Text
from api.filters import DayFilter, Filters, IdFilter, UuidFilter, WordFilter, YearFilter, YesNoFilter
from api.permissions import IsManager
from api.rooms.catalogue import words
from api.rooms.entries import EntryOut, PersonOut
from api.rooms.finding_parts import AcknowledgementOut, AskedBackOut, JoiningOut
from api.rooms.places import PlaceOut
from inspections.judgement.vocabulary import DueBackKind, Priority
from inspections.models import Assessment, DueBack, Finding, Overruling
from inspections.models.findings import FindingState
from inspections.selectors import due_back_book, findings_with_judgement, spot_history
from inspections.services.overruling import finding_overrule, overruling_withdraw
from inspections.services.second_look_asks import asks_not_answered
from yard.models import Spot

NEVER = date(9999, 12, 31)


class AssessmentOut(serializers.ModelSerializer[Assessment]):
    treatments = words(help_text="codes of advised treatments, in the order of work")
    reasons = words(help_text="for an owner, the weightiest first")
    confirm = serializers.SerializerMethodField(help_text="a second look would decide")

    class Meta:
        model = Assessment
        fields = [
            "condition",
            "severity",
            "probability_level",
            "risk",
            "priority",
            "due_back_on",
            "due_back_kind",
            "treatments",
            "reasons",
            "confirm",
            "rules_version",
            "made_at",
            "superseded_at",
        ]
        read_only_fields = fields

    def get_confirm(self, assessment: Assessment) -> bool:
        return bool(assessment.document.get("confirm", False))


class AssessmentWhole(AssessmentOut):
    trace = serializers.SerializerMethodField(help_text="the figures and rules that decided, for a shipwright")

    class Meta(AssessmentOut.Meta):
        fields = [*AssessmentOut.Meta.fields, "trace"]
        read_only_fields = fields

    @extend_schema_field({"type": "array", "items": {"type": "string"}})
    def get_trace(self, assessment: Assessment) -> list[str]:
        return list(assessment.document.get("trace", []))


class OverrulingOut(serializers.ModelSerializer[Overruling]):
    by = PersonOut(read_only=True)

    class Meta:
        model = Overruling
        fields = ["id", "by", "priority", "due_back_on", "reason", "made_at", "withdrawn_at"]
        read_only_fields = fields


class FindingOut(PlaceOut[Finding]):
    season_year = serializers.IntegerField(source="inspection.season_year", read_only=True)
    entry = EntryOut(read_only=True, help_text="the entry that holds today")
    priority = serializers.ChoiceField(
        choices=Priority.choices(), source="standing_priority", allow_null=True, help_text="null: not judged yet"
    )
    due_back_on = serializers.DateField(source="standing_due_back_on", allow_null=True)
    overruled = serializers.BooleanField(source="is_overruled")
    new = serializers.BooleanField(source="is_new", help_text="nobody of the office has dealt with it yet")
    assessment = serializers.SerializerMethodField(help_text="by the rules; it stays visible when overruled")
    overruling = serializers.SerializerMethodField(help_text="a manager's word, where there is one")

    class Meta:
        model = Finding
        fields = [
            "id",
            "boat",
            "boat_name",
            "inspection",
            "season_year",
            "component",
            "component_name",
            "spot",
            "state",
            "found_at",
            "ended_at",
            "priority",
            "due_back_on",
            "overruled",
            "new",
            "assessment",
            "overruling",
            "entry",
        ]
        read_only_fields = fields

    @extend_schema_field(AssessmentOut(allow_null=True))
    def get_assessment(self, finding: Any) -> Any:
        standing = finding.standing_assessments
        return AssessmentOut(standing[0], context=self.context).data if standing else None

    @extend_schema_field(OverrulingOut(allow_null=True))
    def get_overruling(self, finding: Any) -> Any:
        standing = finding.standing_overrulings
        return OverrulingOut(standing[0], context=self.context).data if standing else None


class LookOut(serializers.Serializer[Any]):
    entry = EntryOut()
    season_year = serializers.IntegerField(source="entry.inspection.season_year")
    finding = serializers.UUIDField(source="finding.pk", allow_null=True, default=None)
    state = serializers.ChoiceField(
        choices=FindingState.choices, source="finding.state", allow_null=True, default=None
    )
    assessment = AssessmentOut(allow_null=True)
    overruling = OverrulingOut(allow_null=True)
    superseded = serializers.BooleanField(source="is_superseded")


class FindingWhole(FindingOut):
    assessments = serializers.SerializerMethodField(help_text="all that were ever made, the newest first")
    overrulings = serializers.SerializerMethodField(help_text="withdrawn ones too, the newest first")
    acknowledgements = AcknowledgementOut(many=True, read_only=True, help_text="who dealt with it, and when")
    second_look = serializers.SerializerMethodField(help_text="asked for, and not answered yet")
    joined_to = serializers.SerializerMethodField(help_text="the finding that speaks for it")
    doubles = serializers.SerializerMethodField(help_text="findings that rest with it")
    history = serializers.SerializerMethodField(help_text="every look at the spot, the newest first")

    class Meta(FindingOut.Meta):
        fields = [
            *FindingOut.Meta.fields,
            "assessments",
            "overrulings",
            "acknowledgements",
            "second_look",
            "joined_to",
            "doubles",
            "history",
        ]
        read_only_fields = fields

    @extend_schema_field(AssessmentWhole(many=True))
    def get_assessments(self, finding: Finding) -> Any:
        return AssessmentWhole(finding.assessments.order_by("-made_at", "-pk"), many=True).data

    @extend_schema_field(OverrulingOut(many=True))
    def get_overrulings(self, finding: Finding) -> Any:
        rows = finding.overrulings.select_related("by").order_by("-made_at", "-pk")
        return OverrulingOut(rows, many=True).data

    @extend_schema_field(AskedBackOut(allow_null=True))
    def get_second_look(self, finding: Finding) -> Any:
        ask = asks_not_answered([finding.pk]).get(finding.pk)
        return None if ask is None else AskedBackOut(ask).data

    @extend_schema_field(JoiningOut(allow_null=True))
    def get_joined_to(self, finding: Finding) -> Any:
        join = finding.joins.filter(undone_at=None).select_related("by").first()
        return None if join is None else JoiningOut(join).data

    @extend_schema_field(JoiningOut(many=True))
    def get_doubles(self, finding: Finding) -> Any:
        return JoiningOut(finding.doubles.filter(undone_at=None).select_related("by"), many=True).data

    @extend_schema_field(LookOut(many=True))
    def get_history(self, finding: Finding) -> Any:
        return LookOut(spot_history(finding.spot), many=True).data if finding.spot is not None else []


class OverrulingSheet(Sheet):
    priority = serializers.ChoiceField(choices=Priority.choices())
    due_back_on = serializers.DateField()
    reason = Text(max_length=2000)


class FindingFilters(Filters):
    state = WordFilter(FindingState.values)
    new = YesNoFilter(field_name="is_new")
    lasting = YesNoFilter(method="of_somebody", label="true: still somebody's business")
    priority = WordFilter(Priority, field_name="standing_priority")
    boat = IdFilter()
    inspection = IdFilter()
    season = YearFilter(field_name="inspection__season_year")
    component = IdFilter()
    spot = UuidFilter(field_name="spot_id")
    due_before = DayFilter(field_name="standing_due_back_on", lookup_expr="lte", label="this day included")

    def of_somebody(self, rows: QuerySet[Finding], _: str, value: bool) -> QuerySet[Finding]:
        return rows.filter(state__in=Finding.LASTING) if value else rows.filter(state__in=Finding.ENDED)


@extend_schema_view(
    list=extend_schema(summary="Findings with what they mean today, the most urgent first"),
    retrieve=extend_schema(
        summary="One finding with every judgement and all that was seen there", responses=FindingWhole
    ),
)
class Findings(Listed, Shown, YardViewSet[Finding]):
    queryset = Finding.objects.all()
    serializer_class = FindingOut
    filterset_class = FindingFilters
    lookup_value_converter = "uuid"
    ordering = "urgency"
    ordering_fields = ("urgency", "due", "found_at")
    managers_alone: Sequence[str] = ("overrule", "withdraw")

    def get_queryset(self) -> QuerySet[Finding]:
        if getattr(self, "swagger_fake_view", False):
            return Finding.objects.none()
        due = Coalesce("standing_due_back_on", Value(NEVER), output_field=DateField())
        rows: QuerySet[Finding] = findings_with_judgement(self.yard).annotate(due=due)
        return rows

    def get_serializer_class(self) -> type[serializers.BaseSerializer[Finding]]:
        return FindingOut if self.action == "list" else FindingWhole

    def get_permissions(self) -> Sequence[Any]:
        return [IsManager()] if self.action in self.managers_alone else super().get_permissions()

    @extend_schema(
        summary="Judge otherwise than the rules, with a reason; both stay visible",
        request=OverrulingSheet,
        responses=FindingWhole,
    )
    @action(detail=True, methods=["post"], url_path="overruling")
    def overrule(self, request: Request, pk: Any) -> Response:
        finding = self.row()
        finding_overrule(finding=finding, by=self.member, at=self.now, **self.read(OverrulingSheet))
        return self.answer(finding)

    @extend_schema(summary="Let the rules' judgement hold again", responses={200: FindingWhole})
    @overrule.mapping.delete
    def withdraw(self, request: Request, pk: Any) -> Response:
        finding = self.row()
        overruling = finding.overrulings.filter(withdrawn_at=None).first()
        if overruling is None:
            raise Http404
        overruling_withdraw(overruling=overruling, at=self.now)
        return self.answer(finding)


class SpotHistory(OfMember):
    @extend_schema(summary="Every look at a place, the newest first", responses=LookOut(many=True))
    def get(self, request: Request, pk: Any) -> Response:
        spot = Spot.objects.of_yard(self.yard).filter(pk=pk).first()
        if spot is None:
            raise Http404
        return Response(LookOut(spot_history(spot), many=True).data)


class DueBackOut(PlaceOut[DueBack]):
    season_year = serializers.IntegerField(
        read_only=True, allow_null=True, help_text="of the look that the line stems from; null for a surface"
    )

    class Meta:
        model = DueBack
        fields = [
            "id",
            "boat",
            "boat_name",
            "component",
            "component_name",
            "spot",
            "finding",
            "entry",
            "surface",
            "season_year",
            "due_on",
            "kind",
            "reason",
            "set_at",
        ]
        read_only_fields = fields


class DueBackFilters(Filters):
    boat = IdFilter()
    component = IdFilter()
    kind = WordFilter(DueBackKind)
    due_before = DayFilter(field_name="due_on", lookup_expr="lte", label="this day included")
    due_after = DayFilter(field_name="due_on", lookup_expr="gte", label="this day included")


@extend_schema_view(list=extend_schema(summary="The due-back book: who must be back where, the earliest day first"))
class DueBackBook(Listed, YardViewSet[DueBack]):
    queryset = DueBack.objects.all()
    serializer_class = DueBackOut
    filterset_class = DueBackFilters
    ordering = "due_on"
    ordering_fields = ("due_on", "set_at")

    def get_queryset(self) -> QuerySet[DueBack]:
        if getattr(self, "swagger_fake_view", False):
            return DueBack.objects.none()
        return due_back_book(self.yard)


__all__ = ["DueBackBook", "FindingOut", "Findings", "SpotHistory"]
