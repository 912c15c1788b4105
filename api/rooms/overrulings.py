"""Where the office judged otherwise than the rules: how often, and which way."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import OfMember, versioned
from api.permissions import IsManager
from inspections.judgement.overruled import Direction
from inspections.judgement.vocabulary import Condition, Priority, RiskLevel
from inspections.selectors.overrulings import overrulings_report


class TallyOut(serializers.Serializer[Any]):
    judgements = serializers.IntegerField(help_text="findings, each once for a version of the rules")
    overruled = serializers.IntegerField(help_text="sooner, later and same_priority together")
    sooner = serializers.IntegerField()
    later = serializers.IntegerField()
    same_priority = serializers.IntegerField(help_text="the same priority, with a day of the office's own")
    taken_back = serializers.IntegerField(help_text="overruled once, and the rules hold again")


class PriorityAndDay(serializers.Serializer[Any]):
    priority = serializers.ChoiceField(choices=Priority.choices())
    due_back_on = serializers.DateField()


class SaidOut(PriorityAndDay):
    reason = serializers.CharField()
    said_at = serializers.DateTimeField()


class OtherwiseOut(serializers.Serializer[Any]):
    finding = serializers.UUIDField()
    direction = serializers.ChoiceField(choices=Direction.choices())
    by_the_rules = PriorityAndDay(source="*")
    by_the_office = SaidOut(source="said")


class ConditionTallyOut(serializers.Serializer[Any]):
    condition = serializers.ChoiceField(choices=Condition.choices())
    tally = TallyOut()
    latest = OtherwiseOut(many=True, help_text="the newest few that stand, with their reasons")


class CellTallyOut(serializers.Serializer[Any]):
    severity = serializers.IntegerField(min_value=1, max_value=4)
    probability_level = serializers.ChoiceField(choices=list("ABCDEF"))
    risk = serializers.ChoiceField(choices=RiskLevel.choices())
    tally = TallyOut()


class VersionReportOut(serializers.Serializer[Any]):
    rules_version = serializers.CharField()
    tally = TallyOut()
    conditions = ConditionTallyOut(many=True, help_text="the most often overruled first")
    cells = CellTallyOut(many=True, help_text="of the risk matrix, the gravest first")


class OverrulingReportOut(serializers.Serializer[Any]):
    versions = VersionReportOut(many=True, help_text="the version of the rules that judged last comes first")


class OverrulingReport(OfMember):
    permission_classes = [IsManager]

    @extend_schema(
        summary="How often, and which way, managers judged otherwise than the rules", responses=OverrulingReportOut
    )
    def get(self, request: Request) -> Response:
        return versioned(request, OverrulingReportOut({"versions": overrulings_report(self.yard)}).data)


__all__ = ["OverrulingReport"]
