"""What is to be fetched for the approved jobs of a week: as data, for a spreadsheet, on paper."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import OfMember
from api.permissions import IsMember
from api.queries import Query, asked
from api.rooms.tags import PDF, pdf_answer
from workshop.report.picking_list import picking_csv, picking_render, picking_view
from workshop.selectors.picking import PickingList, picking_list
from yard.refusals import Refused
from yard.selectors import today_at
from yard.weeks import week_of, week_read

CSV = {(200, "text/csv"): OpenApiResponse(OpenApiTypes.STR)}


class WeekQuery(Query):
    week = serializers.CharField(required=False, help_text="by ISO 8601, like 2027-W15; this week where left out")


class PackOut(serializers.Serializer[Any]):
    count = serializers.IntegerField()
    name = serializers.CharField(source="pack.name")
    size = serializers.DecimalField(source="pack.size", max_digits=9, decimal_places=3)


class JobNeedOut(serializers.Serializer[Any]):
    job = serializers.IntegerField()
    needed = serializers.DecimalField(max_digits=14, decimal_places=2, help_text="with waste")
    booked = serializers.DecimalField(max_digits=14, decimal_places=3, help_text="used on the job already")
    quantity = serializers.DecimalField(max_digits=14, decimal_places=2, help_text="still to be fetched, 0 or more")
    packs = PackOut(many=True, help_text="opened for this job alone")


class PickedOut(serializers.Serializer[Any]):
    code = serializers.CharField()
    name = serializers.CharField()
    unit = serializers.CharField()
    needed = serializers.DecimalField(max_digits=14, decimal_places=2, help_text="by all jobs, with waste")
    quantity = serializers.DecimalField(max_digits=14, decimal_places=2, help_text="of it, still to be fetched")
    packs = PackOut(many=True, help_text="to fetch; empty where it is cut or counted off")
    left_over = serializers.DecimalField(max_digits=14, decimal_places=3, allow_null=True)
    keeps = serializers.BooleanField(help_text="what is opened keeps for the next job")
    by_job = JobNeedOut(many=True)


class PickingJobOut(serializers.Serializer[Any]):
    job = serializers.IntegerField(source="job.pk")
    title = serializers.CharField(source="job.title")
    boat = serializers.IntegerField(source="job.boat_id")
    boat_name = serializers.CharField(source="job.boat.name")
    state = serializers.CharField(source="job.state")
    begin_by = serializers.DateField(help_text="the last day on which its waits still end in time")
    due_on = serializers.DateField()
    why_not = serializers.CharField(help_text="why its materials can't be reckoned; empty where they can")


class PickingToolOut(serializers.Serializer[Any]):
    name = serializers.CharField()
    jobs = serializers.ListField(child=serializers.IntegerField())


class PickingListOut(serializers.Serializer[Any]):
    week = serializers.CharField(source="week.code")
    first = serializers.DateField(source="week.monday")
    last = serializers.DateField(source="week.sunday")
    jobs = PickingJobOut(many=True)
    materials = PickedOut(many=True)
    tools = PickingToolOut(many=True)


class OfAWeek(OfMember):
    permission_classes = [IsMember]

    def listed(self, request: Request) -> PickingList:
        """The list of the week that is asked for.

        Raises:
            Refused: it is no week.
        """
        today = today_at(self.yard, self.now)
        code = asked(request, WeekQuery).get("week")
        week = week_of(today) if code is None else week_read(code)
        if week is None:
            raise Refused("week", f"is no week: {code!r}", "give one by ISO 8601, like 2027-W15")
        return picking_list(self.yard, week, on_date=today)


class PickingListView(OfAWeek):
    @extend_schema(
        summary="Materials, packs and tools to fetch for the approved jobs that must be begun in a week",
        parameters=[WeekQuery],
        responses=PickingListOut,
    )
    def get(self, request: Request) -> Response:
        return Response(PickingListOut(self.listed(request)).data)


class PickingListSpreadsheet(OfAWeek):
    @extend_schema(
        summary="The picking list of a week as CSV (RFC 4180, UTF-8)", parameters=[WeekQuery], responses=CSV
    )
    def get(self, request: Request) -> HttpResponse:
        listed = self.listed(request)
        headers = {
            "Content-Disposition": f'attachment; filename="picking-list-{listed.week.code}.csv"',
            "Cache-Control": "private, no-store",
            "X-Content-Type-Options": "nosniff",
        }
        return HttpResponse(picking_csv(listed), content_type="text/csv; charset=utf-8", headers=headers)


class PickingListSheet(OfAWeek):
    @extend_schema(summary="The picking list of a week on paper", parameters=[WeekQuery], responses=PDF)
    def get(self, request: Request) -> HttpResponse:
        listed = self.listed(request)
        view = picking_view(listed, self.yard, on_date=today_at(self.yard, self.now))
        return pdf_answer(picking_render(view), f"picking-list-{listed.week.code}.pdf")


__all__ = ["PickingListSheet", "PickingListSpreadsheet", "PickingListView"]
