"""Jobs: what is to be done, what it waits for, and how it goes on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db import transaction
from django.http import HttpResponse
from drf_spectacular.utils import extend_schema, extend_schema_field, extend_schema_view
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import VERSION, Listed, Shown, YardViewSet
from api.fields import OfYard, Sheet, Text, YesNo
from api.filters import DayFilter, Filters, IdFilter, WordFilter, YearFilter, YesMeansEmpty, YesNoFilter
from api.permissions import IsManager, IsMember
from api.queries import Query, asked
from api.rooms.choices import AlternativeSheet, NeedsSheet
from api.rooms.entries import PersonOut
from api.rooms.extra_work import ExtraWorkOut, ExtraWorkSheet, WithAgreed
from api.rooms.job_steps import StepsOfJobs
from api.rooms.operations import OperationLine, operation_sheets
from api.rooms.parting import JoinSheet, PriceOut, SplitSheet
from api.rooms.tags import PDF, pdf_answer
from workshop.models import Hold, Job, Operation
from workshop.models.jobs import HoldKind, JobState, WorkedIn
from workshop.report.job_sheet import job_sheet_render
from workshop.services.alternatives import job_alternative, job_propose_again
from workshop.services.ceiling import extra_work
from workshop.services.job_calendar import Where
from workshop.services.job_parting import job_split, jobs_join
from workshop.services.jobs import hold_add, hold_release, job_change, job_drop
from workshop.services.needs import job_needs_set
from workshop.services.prices import operations_of, price_list_of, price_of, saving_of
from workshop.services.steps import job_air_set
from workshop.services.stopping import job_stop
from workshop.services.work import job_done, job_start
from yard.models import Member
from yard.selectors import today_at


class OperationOut(serializers.ModelSerializer[Operation]):
    treatment = serializers.CharField(source="treatment.code", read_only=True)
    treatment_name = serializers.CharField(source="treatment.name", read_only=True)
    unit = serializers.CharField(source="treatment.unit", read_only=True)

    class Meta:
        model = Operation
        fields = [
            "id",
            "treatment",
            "treatment_name",
            "finding",
            "surface",
            "quantity",
            "unit",
            "hours_low",
            "hours_likely",
            "hours_high",
            "position",
        ]
        read_only_fields = fields


class HoldOut(serializers.ModelSerializer[Hold]):
    who = PersonOut(read_only=True, allow_null=True)

    class Meta:
        model = Hold
        fields = [
            "id",
            "job",
            "kind",
            "what",
            "who",
            "expected_on",
            "meanwhile",
            "put_right_by",
            "stopped_work",
            "made_at",
            "released_at",
        ]
        read_only_fields = fields


class JobOut(WithAgreed):
    boat_name = serializers.CharField(source="boat.name", read_only=True)
    season_year = serializers.IntegerField(source="inspection.season_year", read_only=True)
    operations = OperationOut(many=True, read_only=True)
    holds = HoldOut(many=True, read_only=True)
    edited_by = PersonOut(read_only=True, allow_null=True)
    extra_work = ExtraWorkOut(many=True, read_only=True, help_text="found on it after it was agreed")
    needs = serializers.SerializerMethodField(help_text="jobs that it can't be had without")

    @extend_schema_field({"type": "array", "items": {"type": "integer"}})
    def get_needs(self, job: Job) -> list[int]:
        return [need.needed_id for need in job.needs.all()]

    class Meta:
        model = Job
        fields = [
            "id",
            "boat",
            "boat_name",
            "inspection",
            "season_year",
            "title",
            "opening_up",
            "state",
            "unsafe_to_leave",
            "if_left",
            "worked_in",
            "operations",
            "holds",
            "alternative_to",
            "means",
            "proper_by",
            "needs",
            "extends",
            "agreed",
            "extra_work",
            "created_at",
            "changed_at",
            "edited_by",
        ]
        read_only_fields = fields


class JobSheet(Sheet):
    title = Text(max_length=200)
    opening_up = Text(max_length=200, allow_blank=True)
    if_left = Text(max_length=2000, allow_blank=True)
    unsafe_to_leave = YesNo()
    operations = serializers.ListField(child=OperationLine(), min_length=1, max_length=100)


class HoldSheet(Sheet):
    kind = serializers.ChoiceField(choices=HoldKind.choices)
    what = Text(max_length=200)
    who = OfYard(queryset=Member.objects.all(), required=False, allow_null=True, help_text="who gets it")
    expected_on = serializers.DateField()
    meanwhile = Text(max_length=300, help_text="what holds the boat until then")


class StopSheet(HoldSheet):
    who = OfYard(queryset=Member.objects.all(), help_text="who gets it")


class DoneSheet(Sheet):
    left_out_because = Text(
        max_length=300,
        required=False,
        allow_blank=True,
        help_text="why steps are still open, on a job whose steps are ticked",
    )


class AirSheet(Sheet):
    worked_in = serializers.ChoiceField(choices=WorkedIn.choices)


class JobSheetQuery(Query):
    where = serializers.ChoiceField(
        choices=[(where.value, where.value) for where in Where],
        required=False,
        help_text="where it is done, which decides how long its waits are; the job's own when left out",
    )


class JobFilters(Filters):
    boat = IdFilter()
    inspection = IdFilter()
    season = YearFilter(field_name="inspection__season_year")
    state = WordFilter(JobState.values)
    live = YesNoFilter(method="still_going_on", label="true: still to be asked for, agreed or done")
    unsafe_to_leave = YesNoFilter()

    def still_going_on(self, rows: Any, _: str, value: bool) -> Any:
        return rows.filter(state__in=Job.LIVE) if value else rows.exclude(state__in=Job.LIVE)


@extend_schema_view(
    list=extend_schema(summary="Jobs with their operations and what they wait for"),
    retrieve=extend_schema(summary="One job"),
)
class Jobs(StepsOfJobs, Listed, Shown, YardViewSet[Job]):
    queryset = Job.objects.all()
    serializer_class = JobOut
    filterset_class = JobFilters
    with_related = ("boat", "inspection", "edited_by")
    with_many = ("operations__treatment", "holds__who", "needs", "extra_work__by")
    ordering = "id"
    ordering_fields = ("id", "changed_at")

    def get_permissions(self) -> Sequence[Any]:
        if self.action in ("partial_update", "drop", "alternative", "needs", "propose_again", "split", "join"):
            return [IsManager()]
        return [IsMember()]

    @extend_schema(
        summary="Change a proposed job; the worker then only adds new findings to it",
        request=JobSheet,
        responses=JobOut,
        parameters=[VERSION],
    )
    @transaction.atomic
    def partial_update(self, request: Request, pk: int) -> Response:
        job = self.locked_row(request)
        given = self.read(JobSheet, partial=True)
        if "operations" in given:
            given["operations"] = operation_sheets(given["operations"])
        return self.answer(job_change(job=job, by=self.member, at=self.now, **given))

    @extend_schema(
        summary="What the job would cost today, and what is saved by doing its findings together",
        responses=PriceOut,
    )
    @action(detail=True, methods=["get"])
    def price(self, request: Request, pk: int) -> Response:
        job = self.row()
        prices = price_list_of(self.yard, on_date=today_at(self.yard, self.now))
        operations = operations_of([job])[job.pk]
        price, saving = price_of(job, operations, prices), saving_of(job, operations, prices)
        return Response(PriceOut({"price": price, "saving": saving}).data)

    @extend_schema(
        summary="The sheet to take along: steps and the first day of each, tools, materials, cautions",
        parameters=[JobSheetQuery],
        responses=PDF,
    )
    @action(detail=True, methods=["get"])
    def sheet(self, request: Request, pk: int) -> HttpResponse:
        job = self.row()
        where = asked(request, JobSheetQuery).get("where")
        rendered = job_sheet_render(
            job,
            on_date=today_at(self.yard, self.now),
            where=None if where is None else Where(where),
        )
        return pdf_answer(rendered, f"job-{job.pk}.pdf")

    @extend_schema(
        summary="Take the job off the list; its findings are not proposed again in this inspection",
        request=None,
        responses=JobOut,
    )
    @action(detail=True, methods=["post"])
    def drop(self, request: Request, pk: int) -> Response:
        return self.answer(job_drop(job=self.row(), by=self.member, at=self.now))

    @extend_schema(
        summary="Make another way to serve the job's findings, for the decider to choose one of the two",
        request=AlternativeSheet,
        responses={201: JobOut},
    )
    @action(detail=True, methods=["post"])
    def alternative(self, request: Request, pk: int) -> Response:
        job, given = self.row(), self.read(AlternativeSheet)
        given["operations"] = operation_sheets(given["operations"])
        made = job_alternative(job=job, by=self.member, at=self.now, **given)
        response = self.answer(made, status=201)
        response["Location"] = f"/api/v1/jobs/{made.pk}/"
        return response

    @extend_schema(
        summary="Take the work on some findings out of the job into a new one, which is the answer",
        request=SplitSheet,
        responses={201: JobOut},
    )
    @action(detail=True, methods=["post"])
    def split(self, request: Request, pk: int) -> Response:
        made = job_split(job=self.row(), by=self.member, at=self.now, **self.read(SplitSheet))
        response = self.answer(made, status=201)
        response["Location"] = f"/api/v1/jobs/{made.pk}/"
        return response

    @extend_schema(
        summary="Join proposed jobs of one inspection into the first of them; the others are dropped",
        request=JoinSheet,
        responses=JobOut,
    )
    @action(detail=False, methods=["post"])
    def join(self, request: Request) -> Response:
        return self.answer(jobs_join(by=self.member, at=self.now, **self.read(JoinSheet)))

    @extend_schema(summary="Say which jobs this one can't be had without", request=NeedsSheet, responses=JobOut)
    @action(detail=True, methods=["post"])
    def needs(self, request: Request, pk: int) -> Response:
        return self.answer(job_needs_set(job=self.row(), needed=self.read(NeedsSheet)["needs"]))

    @extend_schema(summary="Put a job that was not chosen back on the list", request=None, responses=JobOut)
    @action(detail=True, methods=["post"], url_path="propose-again")
    def propose_again(self, request: Request, pk: int) -> Response:
        return self.answer(job_propose_again(job=self.row(), by=self.member, at=self.now))

    @extend_schema(
        summary="Take down extra work found on an agreed job; past the ceiling it becomes a job for an addendum",
        request=ExtraWorkSheet,
        responses={201: ExtraWorkOut},
    )
    @action(detail=True, methods=["post"], url_path="extra-work")
    def extra_work(self, request: Request, pk: int) -> Response:
        job, given = self.row(), self.read(ExtraWorkSheet)
        operations = operation_sheets(given["operations"])
        found = extra_work(job=job, by=self.member, at=self.now, what=given["what"], operations=operations)
        return Response(ExtraWorkOut(found).data, status=201)

    @extend_schema(summary="Begin an approved job", request=None, responses=JobOut)
    @action(detail=True, methods=["post"])
    def start(self, request: Request, pk: int) -> Response:
        return self.answer(job_start(job=self.row(), by=self.member, at=self.now))

    @extend_schema(
        summary="The work is done; its findings wait to be verified", request=DoneSheet, responses=JobOut
    )
    @action(detail=True, methods=["post"])
    def done(self, request: Request, pk: int) -> Response:
        job = self.row()
        return self.answer(job_done(job=job, by=self.member, at=self.now, **self.read(DoneSheet)))

    @extend_schema(
        summary="Say where it is done, outdoors or in a shed: its waits are reckoned for that air",
        request=AirSheet,
        responses=JobOut,
    )
    @action(detail=True, methods=["post"])
    def air(self, request: Request, pk: int) -> Response:
        job = self.row()
        return self.answer(job_air_set(job=job, at=self.now, **self.read(AirSheet)))

    @extend_schema(
        summary="Stop a job that is in work: what it waits for, and what holds the boat meanwhile",
        request=StopSheet,
        responses={201: HoldOut},
    )
    @action(detail=True, methods=["post"])
    def stop(self, request: Request, pk: int) -> Response:
        job = self.row()
        hold = job_stop(job=job, by=self.member, at=self.now, **self.read(StopSheet))
        return Response(HoldOut(hold).data, status=201)

    @extend_schema(
        summary="Say what the job waits for, and what holds the boat meanwhile",
        request=HoldSheet,
        responses={201: HoldOut},
    )
    @action(detail=True, methods=["post"])
    def holds(self, request: Request, pk: int) -> Response:
        job = self.row()
        given = self.read(HoldSheet)
        hold = hold_add(job=job, at=self.now, who=given.pop("who", None), **given)
        return Response(HoldOut(hold).data, status=201)


class HoldFilters(Filters):
    job = IdFilter()
    boat = IdFilter(field_name="job__boat_id")
    kind = WordFilter(HoldKind.values)
    waiting = YesMeansEmpty(field_name="released_at")
    expected_before = DayFilter(field_name="expected_on", lookup_expr="lte", label="this day included")


@extend_schema_view(
    list=extend_schema(summary="What jobs wait for, the earliest first"), retrieve=extend_schema(summary="One hold")
)
class Holds(Listed, Shown, YardViewSet[Hold]):
    queryset = Hold.objects.all()
    serializer_class = HoldOut
    filterset_class = HoldFilters
    with_related = ("who",)
    ordering = "expected_on"
    ordering_fields = ("expected_on", "made_at")

    @extend_schema(summary="What was waited for is here", request=None, responses=HoldOut)
    @action(detail=True, methods=["post"])
    def release(self, request: Request, pk: int) -> Response:
        return self.answer(hold_release(hold=self.row(), at=self.now))
