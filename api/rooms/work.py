"""Work on approved jobs: the hours that were spent, the material that was used; and the reports."""

from __future__ import annotations

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
from api.fields import Amount, OfYard, Sheet, Text
from api.filters import DayFilter, Filters, IdFilter, YearFilter
from api.problems import problem_response
from api.rooms.entries import PersonOut
from workshop.models import Job, Material, MaterialLog, Report, WorkLog
from workshop.services.work import material_book, work_book
from yard.models import Member
from yard.refusals import Refused


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
        member = _booked_for(self.member, given.pop("member", None))
        return self.answer(work_book(member=member, at=self.now, **given), status=201)


class MaterialLogOut(serializers.ModelSerializer[MaterialLog]):
    member = PersonOut(read_only=True)
    material = serializers.CharField(source="material.code", read_only=True)
    material_name = serializers.CharField(source="material.name", read_only=True)

    class Meta:
        model = MaterialLog
        fields = [
            "id",
            "job",
            "material",
            "material_name",
            "member",
            "used_on",
            "quantity",
            "unit",
            "note",
            "booked_at",
        ]
        read_only_fields = fields


class MaterialLogSheet(Sheet):
    job = OfYard(queryset=Job.objects.all())
    material = Text(max_length=40, help_text="code of the yard's list")
    member = OfYard(
        queryset=Member.objects.all(), required=False, help_text="yourself when left out; others by managers only"
    )
    used_on = serializers.DateField()
    quantity = Amount(
        max_digits=10,
        decimal_places=3,
        min_value=-100_000,
        max_value=100_000,
        help_text="in the unit of the list; negative to correct an earlier line",
    )
    note = Text(max_length=300, required=False, allow_blank=True)


class MaterialLogFilters(Filters):
    job = IdFilter()
    boat = IdFilter(field_name="job__boat_id")
    member = IdFilter()
    used_after = DayFilter(field_name="used_on", lookup_expr="gte", label="this day included")
    used_before = DayFilter(field_name="used_on", lookup_expr="lte", label="this day included")


@extend_schema_view(
    list=extend_schema(summary="Material really used, the latest day first"),
    retrieve=extend_schema(summary="One line of material"),
)
class MaterialLogs(Listed, Shown, YardViewSet[MaterialLog]):
    queryset = MaterialLog.objects.all()
    serializer_class = MaterialLogOut
    filterset_class = MaterialLogFilters
    with_related = ("member", "material")
    ordering = "-used_on"
    ordering_fields = ("used_on", "booked_at")

    @extend_schema(
        summary="Book material; a correction is a further line",
        request=MaterialLogSheet,
        responses={201: MaterialLogOut},
    )
    def create(self, request: Request) -> Response:
        given = self.read(MaterialLogSheet)
        member = _booked_for(self.member, given.pop("member", None))
        code = given.pop("material")
        material = Material.objects.of_yard(self.yard).filter(code=code).first()
        if material is None:
            raise Refused("material", f"{code!r} is not on the yard's list", "name one of the list")
        booked = material_book(member=member, material=material, at=self.now, **given)
        return self.answer(booked, status=201)


def _booked_for(member: Member, other: Member | None) -> Member:
    if other is None or other.pk == member.pk:
        return member
    if not member.is_manager:
        raise PermissionDenied("Only a manager books for somebody else.")
    return other


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
