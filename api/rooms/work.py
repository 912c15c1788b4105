"""Work on approved jobs: hours that were spent, and the look afterwards that ends a finding or a surface's work."""

from __future__ import annotations

from typing import Any

from django.db.models import Q
from django.http import FileResponse, HttpResponseBase, HttpResponseNotModified
from django.utils.http import parse_etags
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.exceptions import PermissionDenied
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown, YardViewSet
from api.fields import Amount, OfYard, Sha256, Sheet, Text
from api.filters import DayFilter, Filters, IdFilter, UuidFilter, YearFilter
from api.problems import problem_response
from api.rooms.entries import PersonOut
from inspections.models import Finding
from workshop.models import Job, Report, Verification, WorkLog
from workshop.services.work import finding_verify, work_book
from yard.models import Member


class WorkLogOut(serializers.ModelSerializer[WorkLog]):
    member = PersonOut(read_only=True)

    class Meta:
        model = WorkLog
        fields = ["id", "job", "member", "worked_on", "hours", "note", "past_ceiling", "booked_at"]
        read_only_fields = fields


class WorkLogSheet(Sheet):
    job = OfYard(queryset=Job.objects.all())
    member = OfYard(
        queryset=Member.objects.all(), required=False, help_text="yourself when left out; others by managers only"
    )
    worked_on = serializers.DateField()
    hours = Amount(
        max_digits=4, decimal_places=2, min_value=-24, max_value=24, help_text="negative to correct an earlier line"
    )
    note = Text(max_length=300, required=False, allow_blank=True)
    past_ceiling = Text(
        max_length=300,
        required=False,
        allow_blank=True,
        help_text="why more was worked than was agreed; needed then",
    )


class WorkLogFilters(Filters):
    job = IdFilter()
    boat = IdFilter(field_name="job__boat_id")
    member = IdFilter()
    worked_after = DayFilter(field_name="worked_on", lookup_expr="gte", label="this day included")
    worked_before = DayFilter(field_name="worked_on", lookup_expr="lte", label="this day included")


@extend_schema_view(
    list=extend_schema(summary="Hours really spent, the latest day first"),
    retrieve=extend_schema(summary="One line of hours"),
)
class WorkLogs(Listed, Shown, YardViewSet[WorkLog]):
    queryset = WorkLog.objects.all()
    serializer_class = WorkLogOut
    filterset_class = WorkLogFilters
    with_related = ("member",)
    ordering = "-worked_on"
    ordering_fields = ("worked_on", "booked_at")

    @extend_schema(
        summary="Book hours; a correction is a further line", request=WorkLogSheet, responses={201: WorkLogOut}
    )
    def create(self, request: Request) -> Response:
        given = self.read(WorkLogSheet)
        member = given.pop("member", self.member)
        if member.pk != self.member.pk and not self.member.is_manager:
            raise PermissionDenied("Only a manager books hours for somebody else.")
        return self.answer(work_book(member=member, at=self.now, **given), status=201)


class VerificationOut(serializers.ModelSerializer[Verification]):
    by = PersonOut(read_only=True)
    second_look_by = PersonOut(read_only=True, allow_null=True)

    class Meta:
        model = Verification
        fields = [
            "id",
            "finding",
            "surface",
            "job",
            "by",
            "second_look_by",
            "photo_sha256",
            "reading",
            "note",
            "seen_at",
            "look_again_on",
        ]
        read_only_fields = fields


class VerificationSheet(Sheet):
    finding: OfYard[Finding] = OfYard(queryset=Finding.objects.all(), pk_field=serializers.UUIDField())
    look_again_on = serializers.DateField()
    photo_sha256 = Sha256(required=False)
    reading = Text(max_length=120, required=False, allow_blank=True)
    second_look_by = OfYard(queryset=Member.objects.all(), required=False, allow_null=True)
    note = Text(max_length=2000, required=False, allow_blank=True)


class VerificationFilters(Filters):
    finding = UuidFilter(field_name="finding_id")
    job = IdFilter()
    surface = IdFilter()
    boat = IdFilter(method="of_boat")

    def of_boat(self, rows: Any, _: str, value: int) -> Any:
        return rows.filter(Q(finding__boat=value) | Q(surface__boat=value))


@extend_schema_view(
    list=extend_schema(summary="Looks that ended a finding, the newest first"),
    retrieve=extend_schema(summary="One verification"),
)
class Verifications(Listed, Shown, YardViewSet[Verification]):
    queryset = Verification.objects.all()
    serializer_class = VerificationOut
    filterset_class = VerificationFilters
    with_related = ("by", "second_look_by")
    ordering = "-seen_at"
    ordering_fields = ("seen_at", "look_again_on")

    @extend_schema(
        summary="Verify a repaired finding, by photo or reading",
        request=VerificationSheet,
        responses={201: VerificationOut},
    )
    def create(self, request: Request) -> Response:
        verification = finding_verify(by=self.member, at=self.now, **self.read(VerificationSheet))
        return self.answer(verification, status=201)


class ReportOut(serializers.ModelSerializer[Report]):
    boat_name = serializers.CharField(source="boat.name", read_only=True)
    season_year = serializers.IntegerField(source="inspection.season_year", read_only=True)

    class Meta:
        model = Report
        fields = ["id", "boat", "boat_name", "inspection", "season_year", "quote", "sha256", "pages", "made_at"]
        read_only_fields = fields


class ReportFilters(Filters):
    boat = IdFilter()
    inspection = IdFilter()
    quote = IdFilter()
    season = YearFilter(field_name="inspection__season_year")


@extend_schema_view(
    list=extend_schema(summary="Reports, the newest first"), retrieve=extend_schema(summary="One report")
)
class Reports(Listed, Shown, YardViewSet[Report]):
    queryset = Report.objects.all()
    serializer_class = ReportOut
    filterset_class = ReportFilters
    with_related = ("boat", "inspection")
    ordering = "-made_at"
    ordering_fields = ("made_at",)

    @extend_schema(
        summary="The PDF",
        responses={(200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY), 304: None},
    )
    @action(detail=True, methods=["get"])
    def content(self, request: Request, pk: int) -> HttpResponseBase:
        report = self.row()
        headers = {
            "ETag": f'"{report.sha256}"',
            "Cache-Control": "private, no-cache",
            "X-Content-Type-Options": "nosniff",
        }
        if headers["ETag"] in parse_etags(request.headers.get("If-None-Match", "")):
            return HttpResponseNotModified(headers=headers)
        name = f"report-{report.pk}.pdf"
        try:
            opened = report.file.open("rb")
        except FileNotFoundError:
            detail = "The PDF is lost from the storage; have the yard restore it from its backup."
            return problem_response("not-found", detail=detail, instance=request.path)
        return FileResponse(opened, content_type="application/pdf", filename=name, headers=headers)
