"""A season in figures: each boat's way to the water, what blocks her, and whether the yard's hours suffice."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import OfMember, versioned
from api.fields import MAX_SMALL
from api.permissions import IsMember
from inspections.judgement.vocabulary import Priority
from workshop.models.quotes import QuoteState
from workshop.planning.way import Blocker, Stage
from workshop.selectors.season import SeasonBoat, season_boats, season_hours
from yard.models import Season


class HoursField(serializers.DecimalField):
    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_digits=12, decimal_places=2, **kwargs)


class BlockOut(serializers.Serializer[Any]):
    kind = serializers.ChoiceField(choices=Blocker.choices())
    told = serializers.CharField(help_text="in words")


class SeasonQuoteOut(serializers.Serializer[Any]):
    id = serializers.IntegerField(source="pk")
    number = serializers.IntegerField(source="facts.number")
    state = serializers.ChoiceField(choices=QuoteState.choices)
    since = serializers.DateField(source="facts.since", help_text="the day it was drawn up, sent, or ended")
    jobs = serializers.IntegerField(source="facts.jobs")
    decided = serializers.IntegerField(source="facts.decided")
    questions = serializers.IntegerField(source="facts.questions", help_text="that wait for the yard")


class OpenHoursOut(serializers.Serializer[Any]):
    by_launch = HoursField(help_text="agreed and due by the launch: 80 % figures less what is booked")
    later = HoursField(help_text="likewise, due after the launch")
    likely = HoursField(help_text="of both, as likely more as less")
    asked = HoursField(help_text="with the decider, not agreed")


class SeasonBoatOut(serializers.Serializer[Any]):
    boat = serializers.IntegerField(source="row.boat.pk")
    boat_name = serializers.CharField(source="row.boat.name")
    decider = serializers.CharField(source="row.boat.decider")
    inspection = serializers.IntegerField(source="row.inspection.pk", allow_null=True, default=None)
    launch_on = serializers.DateField(source="row.launch_on", allow_null=True)
    week = serializers.CharField(
        source="week.code", allow_null=True, default=None, help_text="of the launch, ISO 8601"
    )
    afloat_on = serializers.DateField(source="row.inspection.afloat_on", allow_null=True, default=None)
    stage = serializers.ChoiceField(choices=Stage.choices(), help_text="how far she is; the rest is before her")
    blocks = BlockOut(many=True, help_text="in the order in which they are to be cleared away")
    clear = serializers.BooleanField(help_text="nothing keeps her ashore")
    steps = serializers.IntegerField(source="row.steps", help_text="of opening up")
    steps_said = serializers.IntegerField(source="row.steps_said", help_text="of them, done or not possible")
    checks = serializers.IntegerField(source="row.checks")
    answered = serializers.IntegerField(source="row.answered")
    not_seen = serializers.IntegerField(source="row.not_seen")
    photos_missing = serializers.IntegerField(source="row.photos_missing")
    set_aside = serializers.IntegerField(source="row.set_aside")
    findings = serializers.SerializerMethodField(help_text="that have not ended, by priority")
    unjudged = serializers.IntegerField(source="row.unjudged", help_text="of them, those that wait for judgement")
    due_back_on = serializers.DateField(source="row.due_back_on", allow_null=True)
    quote = SeasonQuoteOut(allow_null=True, help_text="what waits longest, or the draft, or the newest")
    hours = OpenHoursOut(source="work", help_text="that are open on her")

    @extend_schema_field(
        {
            "type": "object",
            "properties": {priority.value: {"type": "integer"} for priority in Priority},
            "required": [priority.value for priority in Priority],
        }
    )
    def get_findings(self, boat: SeasonBoat) -> dict[str, int]:
        return {priority.value: boat.row.findings[priority] for priority in Priority}


class HoursWeekOut(serializers.Serializer[Any]):
    week = serializers.CharField(source="week.code")
    boats = serializers.IntegerField(help_text="that go in in it")
    by_launch = HoursField(help_text="of these boats, as with each boat")
    later = HoursField()
    likely = HoursField()
    asked = HoursField()
    until = serializers.DateField(help_text="the tightest launch day, before which the hours are needed")
    needed_by_launch = HoursField(help_text="due by the launch, added up until that day")
    needed = HoursField(help_text="all that is agreed, added up until that day")
    there = HoursField(allow_null=True, help_text="what the yard has until then; null: it does not say its hours")
    short = HoursField(help_text="what is missing for all that is agreed")
    short_by_launch = HoursField(help_text="what is missing even if whatever can wait does")


class HoursPlanOut(serializers.Serializer[Any]):
    hours_per_week = HoursField(allow_null=True, help_text="of an ordinary week; null: the yard does not say")
    agreed = HoursField(help_text="all that is agreed and open")
    late = HoursField(help_text="on boats whose launch day has passed; needed from the first week on")
    undated = HoursField(help_text="on boats without a launch day; in no week")
    afloat = HoursField(help_text="on boats that are afloat; in no week")
    beyond = serializers.IntegerField(help_text="boats that go in after the last week told")
    weeks = HoursWeekOut(many=True, help_text="without a gap")


class SeasonFiguresOut(serializers.Serializer[Any]):
    year = serializers.IntegerField()
    boats = SeasonBoatOut(many=True, help_text="in the order in which they go in")
    hours = HoursPlanOut(help_text="week by week against what the yard has until the launches")


class SeasonFigures(OfMember):
    permission_classes = [IsMember]

    @extend_schema(
        summary="A season boat by boat: how far she is, what blocks her, counts, and the hours by week",
        responses=SeasonFiguresOut,
    )
    def get(self, request: Request, year: int) -> Response:
        """Every boat in the yard's care, in one answer: it is worked out for all of them at once."""
        season = get_object_or_404(Season.objects.of_yard(self.yard), year=min(year, MAX_SMALL))
        boats = season_boats(self.yard, season.year, at=self.now)
        hours = season_hours(self.yard, boats, at=self.now)
        return versioned(request, SeasonFiguresOut({"year": season.year, "boats": boats, "hours": hours}).data)


__all__ = ["SeasonFigures"]
