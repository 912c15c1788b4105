"""What a yard's own rechecks say of the yearly rates that judgement reckons with."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import OfMember, versioned
from api.permissions import IsManager
from inspections.judgement.vocabulary import Exposure
from inspections.services.rechecks import learned_today


class LearnedRateOut(serializers.Serializer[Any]):
    step = serializers.CharField(help_text="as the rule data calls it")
    exposure = serializers.ChoiceField(choices=Exposure.choices(), help_text="whether water reaches the place")
    stages = serializers.IntegerField(help_text="of the step; rates are those of each of them")
    prior_per_year = serializers.FloatField(
        source="learned.prior_mean_per_year", help_text="the table's rate, at multipliers of 1"
    )
    own_observations = serializers.IntegerField(
        source="own.observations", help_text="rechecks of places with this exposure"
    )
    counted_together = serializers.BooleanField(
        source="together",
        help_text="wet and dry places are counted together, because more water never lowers a risk",
    )
    observations = serializers.IntegerField(source="learned.observations", help_text="rechecks counted")
    transitions = serializers.FloatField(
        source="learned.transitions", help_text="steps, or stages of one, seen to be passed"
    )
    exposure_years = serializers.FloatField(
        source="learned.exposure_years", help_text="years at risk, times what speeds the step up or slows it down"
    )
    posterior_per_year = serializers.FloatField(source="learned.posterior_mean_per_year")
    low_per_year = serializers.FloatField(source="learned.interval_low_per_year")
    high_per_year = serializers.FloatField(source="learned.interval_high_per_year")
    applied = serializers.BooleanField(source="learned.applied", help_text="judgement reckons with the posterior")
    in_use_per_year = serializers.FloatField(source="learned.in_use_per_year")
    factor = serializers.FloatField(help_text="the rate in use over the table's")


class LearnedRatesOut(serializers.Serializer[Any]):
    as_of = serializers.DateField(help_text="inspections closed before this day are counted")
    rules_version = serializers.CharField()
    least_observations = serializers.IntegerField(help_text="with fewer rechecks the table's rate stands")
    interval_probability = serializers.FloatField(help_text="of the interval from low to high")
    rates = LearnedRateOut(many=True)
    not_told_by_looks = serializers.ListField(
        child=serializers.CharField(), help_text="steps whose passing no look can see; they are not learned"
    )


class LearnedRates(OfMember):
    permission_classes = [IsManager]

    @extend_schema(
        summary="What the yard's own rechecks say of the rates: table, data, posterior and what is in use",
        responses=LearnedRatesOut,
    )
    def get(self, request: Request) -> Response:
        return versioned(request, LearnedRatesOut(learned_today(yard=self.yard, at=self.now)).data)


__all__ = ["LearnedRates"]
