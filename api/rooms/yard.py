"""The yard and what surrounds it: its own settings, seasons, climate, hourly rates and closed days."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db import transaction
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import VERSION, Listed, OfMember, Shown, YardViewSet, versioned
from api.fields import MAX_SMALL, Amount, Sheet, Text, Whole, YesNo
from api.permissions import ManagersWrite
from api.versions import if_match
from inspections.services.asking import ask_to_rejudge
from yard.models import ClimateNormal, HourlyRate, Season, VatClass, VatRate, Yard
from yard.models.vat import VatCategory
from yard.models.yards import LEAST_HOURS_PER_WEEK, MOST_HOURS_PER_WEEK
from yard.refusals import Refused
from yard.selectors import today_at, working_calendar_of
from yard.services.changes import yard_change
from yard.services.vat import vat_class_set
from yard.services.yards import MonthNormal, climate_set, hourly_rate_set, season_set


class YardOut(serializers.ModelSerializer[Yard]):
    working_weekdays = serializers.ListField(child=serializers.IntegerField(), help_text="0 is Monday")
    own_holidays = serializers.ListField(child=serializers.DateField(), help_text="days the yard is closed besides")

    class Meta:
        model = Yard
        fields = [
            "id",
            "name",
            "time_zone",
            "currency",
            "vat_rate_pct",
            "locale",
            "working_weekdays",
            "holiday_country",
            "holiday_subdivision",
            "own_holidays",
            "latitude",
            "longitude",
            "mail_from",
            "quote_valid_days",
            "hours_per_week",
        ]
        read_only_fields = fields


class YardSheet(Sheet):
    name = Text(max_length=120)
    time_zone = Text(max_length=64)
    vat_rate_pct = Amount(max_digits=5, decimal_places=2, min_value=0, max_value=100)
    locale = Text(max_length=16)
    working_weekdays = serializers.ListField(child=Whole(max_value=6), min_length=1, max_length=7)
    holiday_country = Text(max_length=2, allow_blank=True)
    holiday_subdivision = Text(max_length=6, allow_blank=True)
    own_holidays = serializers.ListField(child=serializers.DateField(), max_length=400)
    latitude = Amount(max_digits=8, decimal_places=5, min_value=-90, max_value=90, allow_null=True)
    longitude = Amount(max_digits=8, decimal_places=5, min_value=-180, max_value=180, allow_null=True)
    mail_from = Text(max_length=254, allow_blank=True)
    quote_valid_days = Whole(min_value=1, max_value=365)
    hours_per_week = Amount(
        max_digits=6,
        decimal_places=1,
        min_value=LEAST_HOURS_PER_WEEK,
        max_value=MOST_HOURS_PER_WEEK,
        allow_null=True,
        help_text="hours of work on boats that the yard's people do together in a week without holidays",
    )


class YardView(OfMember):
    permission_classes = [ManagersWrite]

    @extend_schema(summary="The yard's own settings", responses=YardOut)
    def get(self, request: Request) -> Response:
        return versioned(request, YardOut(self.yard).data)

    @extend_schema(summary="Change some of them", request=YardSheet, responses=YardOut, parameters=[VERSION])
    @transaction.atomic
    def patch(self, request: Request) -> Response:
        yard = Yard.objects.select_for_update(no_key=True).get(pk=self.yard.pk)
        if_match(request, YardOut(yard).data)
        changed = yard_change(yard=yard, changes=self.read(YardSheet, partial=True), by=self.member, at=self.now)
        ask_to_rejudge(changed, at=self.now)
        return versioned(request, YardOut(changed).data)


class SeasonOut(serializers.ModelSerializer[Season]):
    class Meta:
        model = Season
        fields = ["year", "launch_on", "layup_on"]
        read_only_fields = fields


class SeasonSheet(Sheet):
    launch_on = serializers.DateField()
    layup_on = serializers.DateField()


@extend_schema_view(
    list=extend_schema(summary="Seasons, the newest first"), retrieve=extend_schema(summary="One season")
)
class Seasons(Listed, Shown, YardViewSet[Season]):
    queryset = Season.objects.all()
    serializer_class = SeasonOut
    permission_classes = [ManagersWrite]
    lookup_field = "year"
    ordering = "-year"

    @extend_schema(
        summary="Enter a season, or change it (with If-Match)",
        request=SeasonSheet,
        responses={200: SeasonOut, 201: SeasonOut},
        parameters=[VERSION],
    )
    @transaction.atomic
    def update(self, request: Request, year: int) -> Response:
        given = self.read(SeasonSheet)
        Yard.objects.select_for_update(no_key=True).get(pk=self.yard.pk)
        there = Season.objects.of_yard(self.yard).filter(year=min(year, MAX_SMALL)).first()
        if there is not None:
            if_match(request, self.shown(there))
        season = season_set(yard=self.yard, year=year, by=self.member, at=self.now, **given)
        ask_to_rejudge(self.yard, at=self.now)
        return versioned(request, self.shown(season), status=200 if there else 201)


class MonthOut(serializers.ModelSerializer[ClimateNormal]):
    class Meta:
        model = ClimateNormal
        fields = ["month", "air_temperature_c", "relative_humidity_pct", "rain_days"]
        read_only_fields = fields


class MonthSheet(Sheet):
    month = Whole(min_value=1, max_value=12)
    air_temperature_c = Amount(max_digits=4, decimal_places=1, min_value=-60, max_value=60)
    relative_humidity_pct = Amount(max_digits=4, decimal_places=1, min_value=0, max_value=100)
    rain_days = Amount(max_digits=3, decimal_places=1, min_value=0, max_value=31)


class ClimateOut(serializers.Serializer[Any]):
    normals = MonthOut(many=True, read_only=True)


class ClimateSheet(Sheet):
    normals = serializers.ListField(child=MonthSheet(), max_length=12)


class Climate(OfMember):
    permission_classes = [ManagersWrite]

    @extend_schema(summary="What each month is like at the yard, on average", responses=ClimateOut)
    def get(self, request: Request) -> Response:
        return versioned(request, self._shown())

    @extend_schema(
        summary="Enter all twelve months", request=ClimateSheet, responses=ClimateOut, parameters=[VERSION]
    )
    @transaction.atomic
    def put(self, request: Request) -> Response:
        given = self.read(ClimateSheet)
        Yard.objects.select_for_update(no_key=True).get(pk=self.yard.pk)
        if_match(request, self._shown())
        normals = [MonthNormal(**month) for month in given["normals"]]
        climate_set(yard=self.yard, normals=normals, by=self.member, at=self.now)
        ask_to_rejudge(self.yard, at=self.now)
        return versioned(request, self._shown())

    def _shown(self) -> Any:
        return ClimateOut({"normals": ClimateNormal.objects.of_yard(self.yard).order_by("month")}).data


class RateOut(serializers.ModelSerializer[HourlyRate]):
    class Meta:
        model = HourlyRate
        fields = ["trade", "amount"]
        read_only_fields = fields


class RateSheet(Sheet):
    amount = Amount(max_digits=10, decimal_places=2, min_value=0)


@extend_schema_view(
    list=extend_schema(summary="What an hour of each trade costs, net"), retrieve=extend_schema(summary="One rate")
)
class HourlyRates(Listed, Shown, YardViewSet[HourlyRate]):
    queryset = HourlyRate.objects.all()
    serializer_class = RateOut
    permission_classes = [ManagersWrite]
    lookup_field = "trade"
    lookup_value_converter = "trade"
    ordering = "trade"

    @extend_schema(
        summary="Enter a rate, or change it (with If-Match)",
        request=RateSheet,
        responses={200: RateOut, 201: RateOut},
        parameters=[VERSION],
    )
    @transaction.atomic
    def update(self, request: Request, trade: str) -> Response:
        given = self.read(RateSheet)
        Yard.objects.select_for_update(no_key=True).get(pk=self.yard.pk)
        there = HourlyRate.objects.of_yard(self.yard).filter(trade=trade).first()
        if there is not None:
            if_match(request, self.shown(there))
        rate = hourly_rate_set(yard=self.yard, trade=trade, amount=given["amount"], by=self.member, at=self.now)
        return versioned(request, self.shown(rate), status=200 if there else 201)


class VatRateOut(serializers.ModelSerializer[VatRate]):
    class Meta:
        model = VatRate
        fields = ["rate_pct", "valid_from"]
        read_only_fields = fields


class VatClassOut(serializers.ModelSerializer[VatClass]):
    rates = VatRateOut(many=True, read_only=True, help_text="each holds until the next begins")

    class Meta:
        model = VatClass
        fields = ["code", "name", "category", "for_work", "rates"]
        read_only_fields = fields


class VatClassSheet(Sheet):
    name = Text(max_length=120)
    category = serializers.ChoiceField(
        choices=VatCategory.choices, help_text="of EN 16931; a reduced rate is S as well, Z and E go with 0 %"
    )
    for_work = YesNo(
        default=False, help_text="the yard's work, and materials in no class, are in it; one class has it"
    )
    rate_pct = Amount(max_digits=5, decimal_places=2, min_value=0, max_value=100)
    valid_from = serializers.DateField(help_text="from this day on, until the next rate begins")


@extend_schema_view(
    list=extend_schema(summary="The classes of VAT on the yard's price list, with their rates"),
    retrieve=extend_schema(summary="One class of VAT"),
)
class VatClasses(Listed, Shown, YardViewSet[VatClass]):
    queryset = VatClass.objects.prefetch_related("rates")
    serializer_class = VatClassOut
    permission_classes = [ManagersWrite]
    lookup_field = "code"
    lookup_value_converter = "code"
    ordering = "code"

    @extend_schema(
        summary="Enter a class with a rate from a day on, or change it (with If-Match); quotes stay as sent",
        request=VatClassSheet,
        responses={200: VatClassOut, 201: VatClassOut},
        parameters=[VERSION],
    )
    @transaction.atomic
    def update(self, request: Request, code: str) -> Response:
        given = self.read(VatClassSheet)
        Yard.objects.select_for_update(no_key=True).get(pk=self.yard.pk)
        there = VatClass.objects.of_yard(self.yard).filter(code=code).first()
        if there is not None:
            if_match(request, self.shown(there))
        vat_class = vat_class_set(yard=self.yard, code=code, by=self.member, at=self.now, **given)
        return versioned(request, self.shown(vat_class), status=200 if there else 201)


class HolidaysOut(serializers.Serializer[Any]):
    year = serializers.IntegerField()
    closed_on = serializers.ListField(child=serializers.DateField(), help_text="public holidays and the yard's own")


class Holidays(OfMember):
    @extend_schema(
        summary="Days of a year on which the yard is closed, weekends apart",
        parameters=[OpenApiParameter("year", {"type": "integer", "minimum": 1900, "maximum": 2200})],
        responses=HolidaysOut,
    )
    def get(self, request: Request) -> Response:
        text = request.query_params.get("year", str(today_at(self.yard, self.now).year))
        if not text.isascii() or not text.isdigit() or not 1900 <= int(text[:5]) <= 2200:
            raise Refused("year", "is no year that can be looked up", "send a whole number from 1900 to 2200")
        days: frozenset[date] = working_calendar_of(self.yard).holidays_in([int(text)])
        return Response(HolidaysOut({"year": int(text), "closed_on": sorted(days)}).data)
