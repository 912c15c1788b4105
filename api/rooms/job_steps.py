"""The steps of a job: what is ticked, from when the rest is allowed, and what the meter said."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import YardViewSet
from api.fields import Amount, OfYard, Sheet, Text, Whole, YesNo
from api.rooms.entries import PersonOut
from inspections.models import Finding
from workshop.models import Job, MeterReading, Operation, StepTick
from workshop.selectors.job_steps import JobSteps, StepState, WorkState, job_steps
from workshop.services.steps import meter_read, step_take_back, step_tick
from yard.selectors import today_at


class TickOut(serializers.ModelSerializer[StepTick]):
    by = PersonOut(read_only=True)

    class Meta:
        model = StepTick
        fields = [
            "id",
            "job",
            "operation",
            "step",
            "text",
            "kind",
            "by",
            "ticked_at",
            "note",
            "reason",
            "allowed_on",
        ]
        read_only_fields = fields


class JobMeterReadingOut(serializers.ModelSerializer[MeterReading]):
    by = PersonOut(read_only=True)

    class Meta:
        model = MeterReading
        fields = ["id", "job", "finding", "moisture_pct", "by", "read_at", "note"]
        read_only_fields = fields


class JobStepOut(serializers.Serializer[StepState]):
    step = serializers.IntegerField(source="number")
    text = serializers.CharField(source="days.step.text")
    said = TickOut(source="words.last", allow_null=True, default=None, help_text="the last word on it")
    is_open = serializers.BooleanField(help_text="neither ticked nor left out")
    not_before = serializers.DateField(
        source="days.not_before", allow_null=True, help_text="the day it was ticked, or is allowed from"
    )
    not_before_at = serializers.DateTimeField(
        source="days.not_before_at", allow_null=True, help_text="the moment, where it counts from a tick"
    )
    seals = serializers.BooleanField(source="days.seals", help_text="it closes up wood that must be dry")
    why = serializers.ListField(child=serializers.CharField(), source="days.reasons")


class JobWorkOut(serializers.Serializer[WorkState]):
    """Operations that are done together."""

    operation = serializers.IntegerField(source="key", help_text="ticks are written on it")
    treatment = serializers.CharField(source="group.first.treatment.code")
    treatment_name = serializers.CharField(source="group.first.treatment.name")
    findings = serializers.SerializerMethodField()
    steps = JobStepOut(many=True)
    ready_on = serializers.DateField(source="days.ready_on", allow_null=True, help_text="its last wait is over")

    def get_findings(self, work: WorkState) -> list[str]:
        return [str(each.finding_id) for each in work.group.operations if each.finding_id is not None]


class JobStepsOut(serializers.Serializer[JobSteps]):
    job = serializers.IntegerField(source="job.pk")
    state = serializers.CharField(source="job.state")
    worked_in = serializers.CharField(source="job.worked_in", help_text="which air the waits are reckoned for")
    works = JobWorkOut(many=True)
    readings = JobMeterReadingOut(many=True)
    history = TickOut(source="ticks", many=True, help_text="every word on a step, the oldest first")


class TickSheet(Sheet):
    operation: OfYard[Operation] = OfYard(queryset=Operation.objects.all())
    step = Whole(min_value=1, max_value=1000)
    done = YesNo(default=True, help_text="false takes the tick back")
    note = Text(max_length=300, required=False, allow_blank=True)
    reason = Text(max_length=300, required=False, allow_blank=True, help_text="why before its time, or out of turn")


class MeterSheet(Sheet):
    finding: OfYard[Finding] = OfYard(queryset=Finding.objects.all(), pk_field=serializers.UUIDField())
    moisture_pct = Amount(max_digits=5, decimal_places=1, min_value=0, max_value=120, help_text="% of dry mass")
    note = Text(max_length=300, required=False, allow_blank=True)


class StepsOfJobs(YardViewSet[Job]):
    """What a job's own address answers about its steps."""

    @extend_schema(summary="The steps of a job, and from when each is allowed", responses=JobStepsOut)
    @action(detail=True, methods=["get"])
    def steps(self, request: Request, pk: int) -> Response:
        return Response(JobStepsOut(job_steps(self.row(), on_date=today_at(self.yard, self.now))).data)

    @extend_schema(
        summary="Tick a step, or take its tick back; before its time or out of turn a reason is asked for",
        request=TickSheet,
        responses={201: TickOut},
    )
    @action(detail=True, methods=["post"])
    def ticks(self, request: Request, pk: int) -> Response:
        job = self.row()
        given: dict[str, Any] = self.read(TickSheet)
        if given.pop("done"):
            tick = step_tick(job=job, by=self.member, at=self.now, **given)
        else:
            given.pop("reason", None)
            tick = step_take_back(job=job, by=self.member, at=self.now, **given)
        return Response(TickOut(tick).data, status=201)

    @extend_schema(
        summary="What the meter says at a finding; dry enough for the next step, it ends the drying",
        request=MeterSheet,
        responses={201: JobMeterReadingOut},
    )
    @action(detail=True, methods=["post"], url_path="meter-readings")
    def meter_readings(self, request: Request, pk: int) -> Response:
        job = self.row()
        reading = meter_read(job=job, by=self.member, at=self.now, **self.read(MeterSheet))
        return Response(JobMeterReadingOut(reading).data, status=201)


__all__ = ["JobStepsOut", "StepsOfJobs", "TickOut"]
