"""The bench calculators: right figures, the yard's climate where nothing was given, and refusals by field."""

from __future__ import annotations

import re
from typing import Any
from urllib.parse import urlencode

import pytest

from api.pages import openapi_document
from inspections.timber.moisture import equilibrium_moisture_content_pct
from tests.api.callers import Caller, fields_of, problem_of
from yard.models import ClimateNormal, Yard

SCREW: dict[str, Any] = {
    "fastener": "wood_screw",
    "gauge_number": 14,
    "penetration_mm": 32,
    "count": 2,
    "species": "Douglas-fir",
    "load_n": 5000,
    "safety_factor": 3,
}
SEAM: dict[str, Any] = {"species": "teak", "plank_width_mm": 120, "sealant_class": "ASTM C920 25"}
DRYING: dict[str, Any] = {"start_pct": 22, "target_pct": 14, "thickness_mm": 25, "faces_open": 2}
COAT: dict[str, Any] = {"coating": "varnish", "air_temperature_c": 12, "relative_humidity_pct": 80}
NEEDED: dict[str, dict[str, Any]] = {"moisture": {}, "drying": DRYING, "seam": SEAM, "coat": COAT, "screw": SCREW}


def _ask(caller: Caller, name: str, **given: Any) -> Any:
    return caller.get(f"bench/{name}/?{urlencode(given)}")


def _answer(caller: Caller, name: str, **given: Any) -> Any:
    answer = _ask(caller, name, **given)
    assert answer.status_code == 200, answer.content
    return answer.json()


@pytest.mark.parametrize("name", NEEDED)
def test_every_member_may_reckon_and_nobody_else(
    name: str, technician: Caller, manager: Caller, nobody: Caller
) -> None:
    assert _answer(technician, name, **NEEDED[name]) == _answer(manager, name, **NEEDED[name])
    problem_of(_ask(nobody, name, **NEEDED[name]), 401)


@pytest.mark.parametrize("name", NEEDED)
def test_who_has_this_answer_is_not_sent_it_again(name: str, technician: Caller) -> None:
    address = f"bench/{name}/?{urlencode(NEEDED[name])}"
    first = technician.get(address)
    assert technician.get(address, If_None_Match=first["ETag"]).status_code == 304


class TestMoisture:
    def test_what_is_left_out_comes_from_the_yards_own_month(self, technician: Caller, yard: Yard) -> None:
        april = ClimateNormal.objects.get(yard=yard, month=4)
        found = _answer(technician, "moisture")
        assert found["air"] == {
            "air_temperature_c": float(april.air_temperature_c),
            "relative_humidity_pct": float(april.relative_humidity_pct),
            "month_of_normals": 4,
        }
        assert found["equilibrium_moisture_content_pct"] == pytest.approx(
            equilibrium_moisture_content_pct(
                temperature_c=float(april.air_temperature_c),
                relative_humidity_pct=float(april.relative_humidity_pct),
            ),
            abs=0.05,
        )
        assert found["reading"] is None
        assert _answer(technician, "moisture", month=7)["air"]["month_of_normals"] == 7

    def test_what_is_given_goes_before_the_normals(self, technician: Caller) -> None:
        found = _answer(technician, "moisture", air_temperature_c=20, relative_humidity_pct=65)
        assert found["air"]["month_of_normals"] is None
        assert found["equilibrium_moisture_content_pct"] == 12.0
        half = _answer(technician, "moisture", air_temperature_c=20)
        assert (half["air"]["air_temperature_c"], half["air"]["month_of_normals"]) == (20.0, 4)

    def test_a_reading_is_held_against_the_air_and_the_wood_beside(self, technician: Caller) -> None:
        found = _answer(
            technician,
            "moisture",
            air_temperature_c=8,
            relative_humidity_pct=75,
            wood_temperature_c=8,
            reading_pct=26,
            beside_pct=15,
        )
        assert found["reading"]["verdict"] == "wet_for_a_reason"
        assert found["contrast"]["verdict"] == "clear"
        assert found["reading"]["reasons"]

    def test_a_yard_without_climate_is_told_what_to_give(self, technician: Caller, yard: Yard) -> None:
        ClimateNormal.objects.filter(yard=yard).delete()
        assert fields_of(_ask(technician, "moisture"), 422) == {"air_temperature_c"}
        half = _ask(technician, "moisture", air_temperature_c=8)
        assert fields_of(half, 422) == {"relative_humidity_pct"}
        assert _answer(technician, "moisture", air_temperature_c=8, relative_humidity_pct=75)

    def test_wood_beside_nothing_is_refused(self, technician: Caller) -> None:
        assert fields_of(_ask(technician, "moisture", beside_pct=12), 422) == {"reading_pct"}


class TestDrying:
    def test_a_heated_shed_dries_sooner_than_spring_does(self, technician: Caller) -> None:
        outdoors = _answer(technician, "drying", **DRYING, start_on="2027-04-01")
        shed = _answer(
            technician,
            "drying",
            **DRYING,
            start_on="2027-04-01",
            air_temperature_c=20,
            relative_humidity_pct=45,
        )
        assert outdoors["shed"] is None
        assert shed["shed"] == {"temperature_c": 20.0, "relative_humidity_pct": 45.0}
        assert shed["earliest_on"] <= shed["likely_on"] <= shed["cautious_on"]
        assert outdoors["likely_on"] is None or shed["likely_on"] < outdoors["likely_on"]

    def test_it_starts_today_unless_said(self, technician: Caller) -> None:
        assert _answer(technician, "drying", **DRYING)["start_on"].startswith("2027-04-")

    def test_salt_asks_for_washing_first(self, technician: Caller) -> None:
        assert _answer(technician, "drying", **DRYING, salt_recorded="true")["wash_first"] is True

    def test_half_a_shed_is_refused(self, technician: Caller) -> None:
        assert fields_of(_ask(technician, "drying", **DRYING, air_temperature_c=20), 422) == {
            "relative_humidity_pct"
        }


class TestSeam:
    def test_the_deck_of_the_method_page(self, technician: Caller) -> None:
        found = _answer(
            technician, "seam", **SEAM, moisture_low_pct=9, moisture_high_pct=17, moisture_when_paid_pct=12
        )
        assert (found["opens_mm"], found["closes_mm"], found["width_mm"]) == (0.67, 1.2, 4.8)
        assert (found["species"], found["governed_by"]) == ("Teak", "closing")

    def test_the_yards_year_is_the_default(self, technician: Caller) -> None:
        found = _answer(technician, "seam", **SEAM)
        assert found["moisture_low_pct"] < found["moisture_when_paid_pct"] < found["moisture_high_pct"]

    def test_a_wood_that_the_table_does_not_have_is_refused(self, technician: Caller) -> None:
        assert fields_of(_ask(technician, "seam", **{**SEAM, "species": "cardboard"}), 422) == {"species"}


class TestCoat:
    def test_the_april_morning_of_the_method_page(self, technician: Caller) -> None:
        found = _answer(technician, "coat", **COAT, surface_temperature_c=11, wood_moisture_pct=13)
        assert (found["possible"], found["dew_point_c"], found["margin_c"]) == (False, 8.7, 2.3)
        assert [set(hindrance) for hindrance in found["hindrances"]] == [{"what", "would_do"}]
        assert found["month"] == 4
        assert (
            0 <= found["share"]["share_low"] <= found["share"]["share_likely"] <= found["share"]["share_high"] <= 1
        )
        assert found["cure"] is None

    def test_a_data_sheets_time_is_carried_to_the_surface(self, technician: Caller) -> None:
        found = _answer(technician, "coat", **COAT, surface_temperature_c=10, hours_on_data_sheet=24)
        assert found["cure"] == {
            "hours_early": 46.1,
            "hours_likely": 49.5,
            "hours_cautious": 57.3,
            "hours_by_doubling": 48.0,
        }

    def test_below_freezing_there_is_an_answer_and_no_time(self, technician: Caller) -> None:
        cold = {**COAT, "air_temperature_c": -6}
        assert _answer(technician, "coat", **cold)["possible"] is False
        assert fields_of(_ask(technician, "coat", **cold, hours_on_data_sheet=24), 422) == {"air_temperature_c"}


class TestScrew:
    def test_the_stanchion_of_the_method_page(self, technician: Caller) -> None:
        found = _answer(
            technician,
            "screw",
            **SCREW,
            bolt_diameter_mm=8,
            washer_diameter_mm=24,
            pad_length_mm=150,
            pad_width_mm=100,
            pad_thickness_mm=12,
        )
        assert found["screws"]["holds"] is False
        assert found["screws"]["allowable_n"] == pytest.approx(3270, abs=5)
        assert found["bolts"]["holds"] is True
        assert found["bolts"]["allowable_n"] == pytest.approx(6400, abs=5)
        assert found["changes"]
        assert "not a design" in found["caution"]
        assert found["lead_hole"]["thread_hole_min_mm"] < found["diameter_mm"]

    def test_without_bolts_nothing_is_compared(self, technician: Caller) -> None:
        found = _answer(technician, "screw", **SCREW)
        assert (found["bolts"], found["changes"]) == (None, [])

    @pytest.mark.parametrize(
        ("changed", "status", "field"),
        [
            ({"species": None}, 422, "species"),
            ({"species": None, "specific_gravity": 0.5}, 422, "wood_type"),
            ({"gauge_number": None}, 422, "diameter_mm"),
            ({"diameter_mm": 5}, 422, "diameter_mm"),
            ({"penetration_mm": 0}, 422, "penetration_mm"),
            ({"bolt_diameter_mm": 8}, 400, "washer_diameter_mm"),
            ({"pad_width_mm": 80, "bolt_diameter_mm": 8, "washer_diameter_mm": 24}, 422, "pad_length_mm"),
            ({"bolt_diameter_mm": 8, "washer_diameter_mm": 8}, 422, "bolt_diameter_mm"),
            (
                {"species": "teak", "bolt_diameter_mm": 8, "washer_diameter_mm": 24},
                422,
                "compression_perpendicular_kpa",
            ),
            ({"metal": "lead"}, 400, "metal"),
            ({"fastener": "through_bolt"}, 400, "fastener"),
        ],
    )
    def test_what_is_missing_or_wrong_is_named(
        self, technician: Caller, changed: dict[str, Any], status: int, field: str
    ) -> None:
        given = {name: value for name, value in {**SCREW, **changed}.items() if value is not None}
        assert fields_of(_ask(technician, "screw", **given), status) == {field}


@pytest.mark.parametrize(
    ("parameters", "field"),
    [
        ("reading=26", "reading"),
        ("reading_pct=wet", "reading_pct"),
        ("reading_pct=NaN", "reading_pct"),
        ("reading_pct=1_0", "reading_pct"),
        ("reading_pct=", "reading_pct"),
        ("reading_pct=20&reading_pct=30", "reading_pct"),
        ("month=13", "month"),
        ("month=4.0", "month"),
        ("salt_recorded=perhaps", "salt_recorded"),
    ],
)
def test_a_parameter_that_can_t_be_read_is_named(technician: Caller, parameters: str, field: str) -> None:
    assert fields_of(technician.get(f"bench/moisture/?{parameters}"), 400) == {field}


def test_a_reading_of_140_is_refused_with_what_would_do(technician: Caller) -> None:
    (error,) = problem_of(_ask(technician, "moisture", reading_pct=140), 422)["errors"]
    assert error["field"] == "reading_pct"
    assert "from 0 to 120" in error["remedy"]


def _ranges(name: str) -> list[tuple[str, float, float]]:
    """The parameters that have one in the document."""
    parameters = openapi_document()["paths"][f"/api/v1/bench/{name}/"]["get"]["parameters"]
    return [
        (parameter["name"], parameter["schema"]["minimum"], parameter["schema"]["maximum"])
        for parameter in parameters
        if "minimum" in parameter["schema"]
    ]


PAD = {"pad_length_mm": 150, "pad_width_mm": 150, "pad_thickness_mm": 12}
BOLTS = {"bolt_diameter_mm": 8, "washer_diameter_mm": 24, **PAD}
# What must be there besides for a parameter to matter.
BESIDES: dict[str, dict[str, Any]] = {
    "moisture": {"reading_pct": 20, "beside_pct": 12},
    "drying": {"air_temperature_c": 20, "relative_humidity_pct": 50},
    "seam": {},
    "coat": {"hours_on_data_sheet": 24},
    "screw": BOLTS,
}


@pytest.mark.parametrize("name", NEEDED)
def test_the_ranges_of_the_document_are_those_that_are_kept(technician: Caller, name: str) -> None:
    ranges = _ranges(name)
    assert len(ranges) >= 5
    for parameter, low, high in ranges:
        given = {**NEEDED[name], **BESIDES[name]}
        if parameter == "diameter_mm":
            del given["gauge_number"]
        for outside in (low - 1, high + 1):
            answer = _ask(technician, name, **{**given, parameter: outside})
            assert answer.status_code in (400, 422), f"{parameter}={outside}: {answer.content!r}"
            assert fields_of(answer, answer.status_code) == {parameter}


def test_the_examples_of_the_document_are_answered(technician: Caller) -> None:
    asked = 0
    for path, operations in openapi_document()["paths"].items():
        if path.startswith("/api/v1/bench/"):
            (address,) = re.findall(r"`(/api/v1/bench/[^`]*)`", operations["get"]["description"])
            assert technician.get(address).status_code == 200, address
            asked += 1
    assert asked == 5
