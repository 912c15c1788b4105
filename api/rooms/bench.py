"""The bench: wood and weather reckoned with, without a finding. Nothing is kept; the climate is the yard's own."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import OfMember, versioned
from api.fields import Text
from api.queries import Count, Figure, Flag, Query, asked
from api.rooms.bench_answers import CoatOut, DryingOut, MoistureOut, ScrewOut, SeamOut
from inspections.selectors.air import AirGiven
from inspections.selectors.bench import bench_coat, bench_drying, bench_moisture, bench_seam
from inspections.selectors.bench_screws import BoltsInstead, bench_screw
from inspections.timber.coating import Coating
from inspections.timber.fastening import Fastener, WoodType
from inspections.timber.fittings import TENSILE_STRENGTH_MPA
from inspections.timber.seams import SEALANT_CLASSES
from yard.selectors import today_at

MOISTURE = "% of dry mass"


def _species(*, required: bool = False) -> Text:
    return Text(max_length=200, required=required, help_text="one wood by name, such as teak or white oak")


def _month() -> Count:
    return Count(1, 12, required=False, help_text="whose normals fill what is not given; left out: this month")


def _air_given(given: dict[str, Any]) -> AirGiven:
    """Take what was said about the air out of what was asked."""
    return AirGiven(
        month=given.pop("month", None),
        air_temperature_c=given.pop("air_temperature_c", None),
        relative_humidity_pct=given.pop("relative_humidity_pct", None),
    )


class MoistureQuery(Query):
    air_temperature_c = Figure(-60, 60, "°C", required=False, example=8)
    relative_humidity_pct = Figure(0, 100, "%", required=False, example=75)
    month = _month()
    reading_pct = Figure(0, 120, MOISTURE, required=False, example=26, help_text="what a resistance meter shows,")
    beside_pct = Figure(0, 120, MOISTURE, required=False, help_text="the same in sound wood beside it,")
    wood_temperature_c = Figure(-40, 70, "°C", required=False)
    species = _species()
    meter_set_to_species = Flag(required=False)
    salt_recorded = Flag(required=False)


class BenchMoisture(OfMember):
    @extend_schema(
        summary="What this air makes of wood, and what a reading says",
        parameters=[MoistureQuery],
        responses=MoistureOut,
    )
    def get(self, request: Request) -> Response:
        """For example `/api/v1/bench/moisture/?month=4&reading_pct=26`."""
        given = asked(request, MoistureQuery)
        air = _air_given(given)
        found = bench_moisture(yard=self.yard, on_date=today_at(self.yard, self.now), air=air, **given)
        return versioned(request, MoistureOut(found).data)


class DryingQuery(Query):
    start_pct = Figure(0, 200, MOISTURE, example=22, help_text="mean moisture now,")
    target_pct = Figure(1, 30, MOISTURE, example=16, help_text="mean moisture wanted,")
    thickness_mm = Figure(1, 500, "mm", example=25)
    faces_open = Count(1, 2, example=2, help_text="faces that the air reaches")
    species = _species()
    air_temperature_c = Figure(-60, 60, "°C", required=False, help_text="of a shed; left out: the yard's climate;")
    relative_humidity_pct = Figure(0, 100, "%", required=False, help_text="of the shed,")
    start_on = serializers.DateField(required=False, help_text="left out: today")
    salt_recorded = Flag(required=False)


class BenchDrying(OfMember):
    @extend_schema(summary="From which day sealing is sensible", parameters=[DryingQuery], responses=DryingOut)
    def get(self, request: Request) -> Response:
        """For example
        `/api/v1/bench/drying/?start_pct=22&target_pct=14&thickness_mm=25&faces_open=2&air_temperature_c=20&relative_humidity_pct=50`.
        """
        given = asked(request, DryingQuery)
        air = _air_given(given)
        start_on = given.pop("start_on", None) or today_at(self.yard, self.now)
        found = bench_drying(yard=self.yard, start_on=start_on, air=air, **given)
        return versioned(request, DryingOut(found).data)


class SeamQuery(Query):
    species = _species(required=True)
    plank_width_mm = Figure(0, 5000, "mm", example=45)
    sealant_class = serializers.ChoiceField(choices=list(SEALANT_CLASSES))
    ring_angle_deg = Figure(0, 90, "degrees", required=False, help_text="0 flat-sawn, 90 quarter-sawn;")
    moisture_low_pct = Figure(0, 300, MOISTURE, required=False, help_text="in the driest month,")
    moisture_high_pct = Figure(0, 300, MOISTURE, required=False, help_text="in the wettest month,")
    moisture_when_paid_pct = Figure(
        0, 300, MOISTURE, required=False, help_text="left out: what this month's air makes;"
    )


class BenchSeam(OfMember):
    @extend_schema(summary="How wide a flexible seam must be", parameters=[SeamQuery], responses=SeamOut)
    def get(self, request: Request) -> Response:
        """For example `/api/v1/bench/seam/?species=teak&plank_width_mm=45&sealant_class=ASTM C920 25`."""
        given = asked(request, SeamQuery)
        sealant = given.pop("sealant_class")
        found = bench_seam(yard=self.yard, on_date=today_at(self.yard, self.now), sealant=sealant, **given)
        return versioned(request, SeamOut(found).data)


class CoatQuery(Query):
    coating = serializers.ChoiceField(choices=[coating.value for coating in Coating])
    air_temperature_c = Figure(-40, 50, "°C", required=False, example=12)
    relative_humidity_pct = Figure(1, 100, "%", required=False, example=80)
    month = _month()
    surface_temperature_c = Figure(-40, 80, "°C", required=False, example=11)
    wood_moisture_pct = Figure(0, 200, MOISTURE, required=False)
    raining = Flag(required=False)
    salt_washed_off = Flag(required=False, help_text="left out: yes")
    hours_on_data_sheet = Figure(0, 10_000, "h", required=False, help_text="to the stage that is asked for,")
    reference_temperature_c = Figure(0, 60, "°C", required=False, help_text="of the data sheet; left out: 20;")


class BenchCoat(OfMember):
    @extend_schema(
        summary="Whether a coat is possible, why not, and how long it cures",
        parameters=[CoatQuery],
        responses=CoatOut,
    )
    def get(self, request: Request) -> Response:
        """For example
        `/api/v1/bench/coat/?coating=varnish&air_temperature_c=12&relative_humidity_pct=80&surface_temperature_c=11`.
        """
        given = asked(request, CoatQuery)
        air, coating = _air_given(given), Coating(given.pop("coating"))
        found = bench_coat(yard=self.yard, on_date=today_at(self.yard, self.now), air=air, coating=coating, **given)
        return versioned(request, CoatOut(found).data)


# Parameters about bolts, and what `BoltsInstead` calls them.
OF_BOLTS = {
    "bolt_diameter_mm": "diameter_mm",
    "bolt_count": "count",
    "washer_diameter_mm": "washer_diameter_mm",
    "pad_length_mm": "pad_length_mm",
    "pad_width_mm": "pad_width_mm",
    "pad_thickness_mm": "pad_thickness_mm",
    "compression_perpendicular_kpa": "compression_perpendicular_kpa",
}


class ScrewQuery(Query):
    fastener = serializers.ChoiceField(choices=[Fastener.WOOD_SCREW.value, Fastener.LAG_SCREW.value])
    penetration_mm = Figure(0, 300, "mm", example=32, help_text="thread in the wood,")
    load_n = Figure(0, 1_000_000, "N", example=5000, help_text="straight pull on the whole fitting,")
    safety_factor = Figure(1, 20, "times", example=5.5, help_text="ultimate over allowable load,")
    count = Count(1, 40, required=False, example=4, help_text="screws that share it; left out: 1")
    diameter_mm = Figure(1, 32, "mm", required=False, help_text="of the shank; or the gauge number;")
    gauge_number = Count(0, 24, required=False, example=14, help_text="or the diameter")
    species = _species()
    specific_gravity = Figure(
        0.1, 1.2, "dry mass over volume at 12 % moisture", required=False, help_text="left out: the species';"
    )
    wood_type = serializers.ChoiceField(
        choices=[kind.value for kind in WoodType], required=False, help_text="left out: the species'"
    )
    metal = serializers.ChoiceField(choices=list(TENSILE_STRENGTH_MPA), required=False)
    end_grain = Flag(required=False)
    bolt_diameter_mm = Figure(1, 60, "mm", required=False, help_text="through-bolts to compare with;")
    washer_diameter_mm = Figure(3, 200, "mm", required=False, help_text="under the bolts,")
    bolt_count = Count(1, 40, required=False, help_text="left out: as many as screws")
    pad_length_mm = Figure(10, 2000, "mm", required=False, help_text="of a backing pad under the washers,")
    pad_width_mm = Figure(10, 2000, "mm", required=False)
    pad_thickness_mm = Figure(1, 100, "mm", required=False)
    compression_perpendicular_kpa = Figure(
        500, 50_000, "kPa", required=False, help_text="of the wood, across the grain; left out: the species';"
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Bolts with their washers, or nothing of the bolts."""
        given = {ours: attrs.pop(name) for name, ours in OF_BOLTS.items() if name in attrs}
        if given:
            missing = [name for name in ("bolt_diameter_mm", "washer_diameter_mm") if OF_BOLTS[name] not in given]
            if missing:
                problem = ErrorDetail("is needed to compare with bolts", "required")
                raise serializers.ValidationError({name: [problem] for name in missing})
            attrs["bolts"] = BoltsInstead(**given)
        return attrs


class BenchScrew(OfMember):
    @extend_schema(
        summary="What a fitting's screws hold, their lead hole, and what bolts and a pad would change",
        parameters=[ScrewQuery],
        responses=ScrewOut,
    )
    def get(self, request: Request) -> Response:
        """An estimate for judging a repair, not a design; local codes and licensed practice govern. For example
        `/api/v1/bench/screw/?fastener=wood_screw&gauge_number=14&penetration_mm=32&count=2&species=Douglas-fir&load_n=5000&safety_factor=3`.
        """
        given = asked(request, ScrewQuery)
        fastener = Fastener(given.pop("fastener"))
        if "wood_type" in given:
            given["wood_type"] = WoodType(given["wood_type"])
        return versioned(request, ScrewOut(bench_screw(fastener=fastener, **given)).data)
