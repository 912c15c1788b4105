"""What the office does with findings: it takes note, asks back, joins doubles, has them judged, makes jobs."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.http import Http404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.fields import Identifier, OfYard, Sheet, Text
from api.rooms.findings import Findings, FindingWhole
from inspections.models import Finding
from inspections.services.acknowledging import findings_acknowledge
from inspections.services.asking import ask_for_assessment
from inspections.services.joining import finding_unjoin
from inspections.services.second_look_asks import asks_not_answered, second_look_ask, second_look_withdraw
from workshop.services.doubles import doubles_join
from workshop.services.jobs_made import jobs_make

MOST = 200


class AskBackSheet(Sheet):
    note = Text(max_length=300, help_text="what to look for; the technician reads it on the tablet")


class JoiningSheet(Sheet):
    into: OfYard[Finding] = OfYard(
        queryset=Finding.objects.all(), pk_field=Identifier(), help_text="the finding that is kept"
    )
    reason = Text(max_length=300)


class TickedSheet(Sheet):
    findings: OfYard[Finding] = OfYard(
        queryset=Finding.objects.all(), many=True, allow_empty=False, pk_field=Identifier()
    )

    def validate_findings(self, findings: list[Finding]) -> list[Finding]:
        if len(findings) > MOST:
            raise serializers.ValidationError(f"are {len(findings)}; send at most {MOST} at once")
        return list({finding.pk: finding for finding in findings}.values())


class AskedOut(serializers.Serializer[Any]):
    asked = serializers.IntegerField(help_text="so many are judged again in a moment")


class JobsMadeOut(serializers.Serializer[Any]):
    jobs = serializers.ListField(child=serializers.IntegerField(), help_text="ids of those that are new")
    served = serializers.IntegerField(help_text="so many of the findings had a job already")


class FindingsDealtWith(Findings):
    """Findings, and what a manager does with them."""

    managers_alone = (
        *Findings.managers_alone,
        "acknowledge",
        "second_look",
        "second_look_back",
        "join",
        "part",
        "assess",
        "make_jobs",
    )

    @extend_schema(summary="Note that the office has dealt with it, as it is told now", request=None)
    @action(detail=True, methods=["post"], url_path="acknowledgement")
    def acknowledge(self, request: Request, pk: Any) -> Response:
        finding = self.row()
        findings_acknowledge(findings=[finding], by=self.member, at=self.now)
        return self.answer(finding)

    @extend_schema(
        summary="Ask the technician back; it becomes a check of the open inspection, or of the next one",
        request=AskBackSheet,
    )
    @action(detail=True, methods=["post"], url_path="second-look")
    def second_look(self, request: Request, pk: Any) -> Response:
        finding = self.row()
        second_look_ask(finding=finding, by=self.member, at=self.now, **self.read(AskBackSheet))
        return self.answer(finding)

    @extend_schema(
        summary="Take it back, as long as nobody has looked", request=None, responses={200: FindingWhole}
    )
    @second_look.mapping.delete
    def second_look_back(self, request: Request, pk: Any) -> Response:
        finding = self.row()
        ask = asks_not_answered([finding.pk]).get(finding.pk)
        if ask is None:
            raise Http404
        second_look_withdraw(ask=ask, by=self.member, at=self.now)
        return self.answer(finding)

    @extend_schema(summary="Join it to another finding that is the same sign seen twice", request=JoiningSheet)
    @action(detail=True, methods=["post"], url_path="joining")
    def join(self, request: Request, pk: Any) -> Response:
        finding, sheet = self.row(), self.read(JoiningSheet)
        doubles_join(joined=finding, kept=sheet["into"], reason=sheet["reason"], by=self.member, at=self.now)
        return self.answer(finding)

    @extend_schema(summary="Undo that; it stands alone again", request=None, responses={200: FindingWhole})
    @join.mapping.delete
    def part(self, request: Request, pk: Any) -> Response:
        finding = self.row()
        standing = finding.joins.filter(undone_at=None).first()
        if standing is None:
            raise Http404
        finding_unjoin(join=standing, by=self.member, at=self.now)
        return self.answer(finding)

    @extend_schema(summary="Have findings judged again by the rules", request=TickedSheet, responses=AskedOut)
    @action(detail=False, methods=["post"], url_path="assessment")
    def assess(self, request: Request) -> Response:
        findings = self.read(TickedSheet)["findings"]
        entries = {finding.entry_id for finding in findings}
        with transaction.atomic():
            ask_for_assessment(sorted(entries), yard=self.yard, at=self.now)
        return Response({"asked": len(entries)})

    @extend_schema(
        summary="Make the jobs that are advised for findings, by what comes off together",
        request=TickedSheet,
        responses=JobsMadeOut,
    )
    @action(detail=False, methods=["post"], url_path="jobs")
    def make_jobs(self, request: Request) -> Response:
        made = jobs_make(findings=self.read(TickedSheet)["findings"], by=self.member, at=self.now)
        return Response({"jobs": [job.pk for job in made.jobs], "served": made.served})


__all__ = ["FindingsDealtWith"]
