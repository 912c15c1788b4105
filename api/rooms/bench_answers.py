"""What the bench calculators answer."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from api.queries import Rounded


class Reasons(serializers.ListField):
    child = serializers.CharField()

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(read_only=True, help_text="in plain words, the weightiest first", **kwargs)


class AirOut(serializers.Serializer[Any]):
    air_temperature_c = Rounded(1)
    relative_humidity_pct = Rounded(1)
    month_of_normals = serializers.IntegerField(
        read_only=True, allow_null=True, help_text="whose normals filled what was not given; null: all was given"
    )


class EstimateOut(serializers.Serializer[Any]):
    low_pct = Rounded(1)
    likely_pct = Rounded(1)
    high_pct = Rounded(1, allow_null=True, help_text="null: the meter sets no upper end")
    reach = serializers.CharField(read_only=True, help_text="below, within or above what a meter can tell")


class MeterReadingOut(serializers.Serializer[Any]):
    verdict = serializers.CharField(read_only=True, help_text="dry, damp_as_the_weather or wet_for_a_reason")
    sure = serializers.BooleanField(read_only=True)
    moisture = EstimateOut(read_only=True)
    reasons = Reasons()


class ContrastOut(serializers.Serializer[Any]):
    low_points = Rounded(1, allow_null=True)
    likely_points = Rounded(1)
    high_points = Rounded(1, allow_null=True)
    verdict = serializers.CharField(read_only=True, help_text="none, slight or clear")
    reasons = Reasons()


class MoistureOut(serializers.Serializer[Any]):
    air = AirOut(read_only=True)
    equilibrium_moisture_content_pct = Rounded(1)
    reading = MeterReadingOut(read_only=True, allow_null=True)
    contrast = ContrastOut(read_only=True, allow_null=True)


class ShedOut(serializers.Serializer[Any]):
    temperature_c = Rounded(1)
    relative_humidity_pct = Rounded(1)


class DryingOut(serializers.Serializer[Any]):
    start_on = serializers.DateField(read_only=True)
    shed = ShedOut(read_only=True, allow_null=True, help_text="null: reckoned in the yard's climate")
    earliest_on = serializers.DateField(source="dates.earliest_on", read_only=True, allow_null=True)
    likely_on = serializers.DateField(source="dates.likely_on", read_only=True, allow_null=True)
    cautious_on = serializers.DateField(source="dates.cautious_on", read_only=True, allow_null=True)
    middle_pct = Rounded(1, source="dates.middle_pct", allow_null=True, help_text="moisture left in the middle")
    wash_first = serializers.BooleanField(source="dates.wash_first", read_only=True)
    reasons = Reasons(source="dates.reasons")


class SeamOut(serializers.Serializer[Any]):
    species = serializers.CharField(read_only=True)
    moisture_low_pct = Rounded(1)
    moisture_high_pct = Rounded(1)
    moisture_when_paid_pct = Rounded(1)
    width_mm = Rounded(1, source="seam.width_mm", help_text="to cut")
    needed_mm = Rounded(2, source="seam.needed_mm", help_text="what movement alone asks for")
    cautious_mm = Rounded(1, source="seam.cautious_mm", help_text="for planks that move a quarter more")
    depth_mm = Rounded(1, source="seam.depth_mm")
    opens_mm = Rounded(2, source="seam.opens_mm")
    closes_mm = Rounded(2, source="seam.closes_mm")
    governed_by = serializers.CharField(
        source="seam.governed_by", read_only=True, help_text="opening, closing or filling"
    )
    reasons = Reasons(source="seam.reasons")


class HindranceOut(serializers.Serializer[Any]):
    what = serializers.CharField(read_only=True)
    would_do = serializers.CharField(read_only=True)


class ShareOut(serializers.Serializer[Any]):
    share_low = Rounded(2)
    share_likely = Rounded(2)
    share_high = Rounded(2)
    reasons = Reasons()


class CureOut(serializers.Serializer[Any]):
    hours_early = Rounded(1)
    hours_likely = Rounded(1)
    hours_cautious = Rounded(1)
    hours_by_doubling = Rounded(1, help_text="by the rule of half the time for 10 °C more, to compare with")


class CoatOut(serializers.Serializer[Any]):
    air = AirOut(read_only=True)
    possible = serializers.BooleanField(source="check.possible", read_only=True)
    dew_point_c = Rounded(1, source="check.dew_point_c")
    surface_temperature_c = Rounded(1, source="check.surface_temperature_c")
    margin_c = Rounded(1, source="check.margin_c", help_text="surface above dew point; 3 °C are needed")
    hindrances = HindranceOut(source="check.hindrances", many=True, read_only=True)
    assumptions = Reasons(source="check.assumptions")
    month = serializers.IntegerField(read_only=True, help_text="of the share")
    share = ShareOut(
        read_only=True, allow_null=True, help_text="of its working hours; null: the yard has no climate entered"
    )
    cure = CureOut(read_only=True, allow_null=True)


class LeadHoleOut(serializers.Serializer[Any]):
    thread_hole_min_mm = Rounded(2)
    thread_hole_max_mm = Rounded(2)
    shank_hole_mm = Rounded(2)
    needed = serializers.BooleanField(read_only=True)
    reasons = Reasons()


class FittingOut(serializers.Serializer[Any]):
    fastener = serializers.CharField(read_only=True, help_text="wood_screw, lag_screw or through_bolt")
    count = serializers.IntegerField(read_only=True)
    ultimate_n = Rounded(0, help_text="mean load at which the weakest part lets go")
    allowable_n = Rounded(0, help_text="ultimate over the safety factor: what may be relied on")
    load_n = Rounded(0)
    safety_factor = Rounded(2)
    holds = serializers.BooleanField(read_only=True)
    limited_by = serializers.CharField(read_only=True, help_text="withdrawal, fastener, bearing or pad")
    reasons = Reasons()


class ScrewOut(serializers.Serializer[Any]):
    specific_gravity = Rounded(3)
    diameter_mm = Rounded(2)
    withdrawal_each_n = Rounded(0, help_text="ultimate pull of one screw")
    lead_hole = LeadHoleOut(read_only=True)
    screws = FittingOut(read_only=True)
    bolts = FittingOut(read_only=True, allow_null=True)
    changes = Reasons()
    caution = serializers.CharField(read_only=True)


__all__ = ["CoatOut", "DryingOut", "MoistureOut", "ScrewOut", "SeamOut"]
