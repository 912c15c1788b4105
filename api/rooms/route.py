"""The way round a boat: which place to look at next, and why."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import OfMember, versioned
from api.fields import MAX_ID
from api.rooms.catalogue import words
from api.rooms.places import PlaceSpot
from inspections.judgement.vocabulary import RiskLevel
from inspections.models import Inspection
from inspections.models.inspections import CheckOrigin
from inspections.selectors.route import LookAgain, route_of


class RouteStopOut(serializers.Serializer[Any]):
    check_id = serializers.IntegerField(source="check.pk", help_text="id of the check")
    component = serializers.IntegerField(source="check.component_id")
    component_name = serializers.CharField(source="check.component")
    spot = PlaceSpot(source="check.spot", allow_null=True)
    prompt = serializers.CharField(source="check.prompt")
    origin = serializers.ChoiceField(choices=CheckOrigin.choices, source="check.origin")
    risk = serializers.ChoiceField(choices=RiskLevel.choices(), source="stop.risk", help_text="as long as unseen")
    severity = serializers.IntegerField(source="stop.severity", min_value=1, max_value=4)
    probability_level = serializers.ChoiceField(choices=list("ABCDEF"), source="stop.probability_level")
    failure_probability = serializers.FloatField(
        source="stop.shown_probability",
        allow_null=True,
        help_text="of failing before the season is over; null: too small to be shown",
    )
    loaded = serializers.BooleanField(source="stop.loaded", help_text="a load that comes and goes works on it")
    reasons = words(source="stop.reasons", help_text="why it stands here")
    open_up_advised = serializers.BooleanField(source="stop.open_up_advised")
    open_up_because = serializers.CharField(
        source="stop.open_up_because", help_text="empty where opening up is not advised"
    )
    not_seen_because = serializers.CharField(help_text="what hid it this time; empty: not answered yet")


class RouteLegOut(serializers.Serializer[Any]):
    opening = serializers.CharField(help_text="what comes off once for all its stops; empty: nothing comes off")
    opening_text = serializers.CharField()
    open_up_advised = serializers.BooleanField()
    stops = RouteStopOut(many=True, help_text="the riskiest first")


class LookAgainOut(serializers.Serializer[Any]):
    finding = serializers.UUIDField(source="finding.pk")
    entry = serializers.UUIDField(source="finding.entry_id", help_text="name it in supersedes when you have looked")
    component = serializers.IntegerField(source="finding.component_id", allow_null=True)
    component_name = serializers.SerializerMethodField(help_text="with its position; empty: elsewhere")
    elsewhere = serializers.CharField(source="finding.entry.elsewhere")
    spot = PlaceSpot(source="finding.spot", allow_null=True)
    because = serializers.CharField()

    def get_component_name(self, row: LookAgain) -> str:
        return "" if row.finding.component is None else str(row.finding.component)


class RouteOut(serializers.Serializer[Any]):
    on = serializers.DateField(help_text="the day it is reckoned for")
    checks = serializers.IntegerField(help_text="how many the inspection has")
    seen = serializers.IntegerField(help_text="how many of them were answered by somebody who saw the place")
    legs = RouteLegOut(many=True, help_text="in the order in which to go; those of one opening together")
    look_again = LookAgainOut(many=True, help_text="found this time, and asking for a second look")


class RouteView(OfMember):
    @extend_schema(
        summary="The way round the boat: places not seen yet, the riskiest first, one opening at a time",
        responses=RouteOut,
    )
    def get(self, request: Request, pk: int) -> Response:
        rows = Inspection.objects.of_yard(self.yard).select_related("yard", "boat")
        inspection = get_object_or_404(rows, pk=min(pk, MAX_ID))
        return versioned(request, RouteOut(route_of(inspection, self.now)).data)


__all__ = ["RouteView"]
