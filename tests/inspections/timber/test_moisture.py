"""What the air makes of wood, what a meter's figure is worth, and what the two say together."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.timber.moisture import (
    ContrastVerdict,
    MeterReach,
    MoistureVerdict,
    contrast,
    corrected_reading,
    equilibrium_moisture_content_pct,
    reading_against_climate,
    relative_humidity_for_moisture_pct,
)
from yard.refusals import Refused

unhurried = settings(deadline=None, max_examples=50)
readings = st.floats(0, 120)
humidities = st.floats(0, 100)
airs = st.floats(-60, 60)
woods = st.none() | st.floats(-40, 70)
kinds = st.sampled_from([None, "teak", "Sitka spruce", "oak", "no wood"])
VERDICTS = list(MoistureVerdict)
CONTRASTS = list(ContrastVerdict)
circumstances = st.fixed_dictionaries(
    {
        "wood_temperature_c": woods,
        "species": kinds,
        "meter_set_to_species": st.booleans(),
        "salt_recorded": st.booleans(),
    }
)


def in_order(low: float, high: float) -> bool:
    return low <= high + 1e-9


@unhurried
@given(st.floats(-60, 100), humidities, humidities)
def test_damper_air_never_dries_wood(celsius: float, one: float, other: float) -> None:
    drier, damper = sorted((one, other))
    below = equilibrium_moisture_content_pct(temperature_c=celsius, relative_humidity_pct=drier)
    above = equilibrium_moisture_content_pct(temperature_c=celsius, relative_humidity_pct=damper)
    assert below >= 0
    assert in_order(below, above)
    assert above < 31


@unhurried
@given(st.floats(20, 100), st.floats(20, 100), humidities)
def test_warmer_air_of_the_same_humidity_never_wets_wood(one: float, other: float, humidity: float) -> None:
    """From 20 °C on; below, the published table itself has its maximum near freezing."""
    cooler, warmer = sorted((one, other))
    assert in_order(
        equilibrium_moisture_content_pct(temperature_c=warmer, relative_humidity_pct=humidity),
        equilibrium_moisture_content_pct(temperature_c=cooler, relative_humidity_pct=humidity),
    )


@unhurried
@given(airs, humidities)
def test_the_humidity_for_a_moisture_is_the_one_that_gives_it(celsius: float, humidity: float) -> None:
    moisture = equilibrium_moisture_content_pct(temperature_c=celsius, relative_humidity_pct=humidity)
    found = relative_humidity_for_moisture_pct(temperature_c=celsius, moisture_pct=moisture)
    assert found == pytest.approx(humidity, abs=0.01)


def test_frost_bone_dry_and_soaking_air_all_give_a_figure() -> None:
    assert equilibrium_moisture_content_pct(temperature_c=-6, relative_humidity_pct=80) == pytest.approx(
        16.5, abs=0.2
    )
    assert equilibrium_moisture_content_pct(temperature_c=-6, relative_humidity_pct=0) == 0
    assert 25 < equilibrium_moisture_content_pct(temperature_c=10, relative_humidity_pct=100) < 30
    coldest, colder = (
        equilibrium_moisture_content_pct(temperature_c=celsius, relative_humidity_pct=80) for celsius in (-20, -60)
    )
    assert coldest == colder


@unhurried
@given(readings, readings, circumstances)
def test_a_higher_reading_is_never_worth_less(one: float, other: float, given_: dict[str, Any]) -> None:
    lower, higher = (corrected_reading(reading_pct=reading, **given_) for reading in sorted((one, other)))
    assert in_order(lower.low_pct, higher.low_pct)
    assert in_order(lower.likely_pct, higher.likely_pct)
    if lower.high_pct is None:
        assert higher.high_pct is None
    elif higher.high_pct is not None:
        assert in_order(lower.high_pct, higher.high_pct)


@unhurried
@given(readings, circumstances)
def test_the_likely_figure_lies_within_the_range(reading: float, given_: dict[str, Any]) -> None:
    estimate = corrected_reading(reading_pct=reading, **given_)
    assert estimate.low_pct >= 0
    assert in_order(estimate.low_pct, estimate.likely_pct)
    assert (estimate.high_pct is None) == (estimate.reach is MeterReach.ABOVE)
    if estimate.high_pct is not None:
        assert in_order(estimate.likely_pct, estimate.high_pct)


@unhurried
@given(st.floats(0, 60), st.floats(-40, 70), st.floats(-40, 70))
def test_colder_wood_never_holds_less_for_the_same_reading(reading: float, one: float, other: float) -> None:
    colder, warmer = sorted((one, other))
    cold = corrected_reading(reading_pct=reading, wood_temperature_c=colder)
    warm = corrected_reading(reading_pct=reading, wood_temperature_c=warmer)
    assert in_order(warm.likely_pct, cold.likely_pct)


def width(**given_: Any) -> float:
    estimate = corrected_reading(reading_pct=18, **given_)
    assert estimate.high_pct is not None
    return estimate.high_pct - estimate.low_pct


def test_what_is_not_known_widens_the_range() -> None:
    measured = width(wood_temperature_c=20)
    assert width() > measured
    assert width(wood_temperature_c=20, species="teak") > measured
    assert width(wood_temperature_c=20, salt_recorded=True) > measured
    assert width(wood_temperature_c=20, species="teak", meter_set_to_species=True) < measured
    assert width(wood_temperature_c=-10) > width(wood_temperature_c=0)


def test_a_setting_for_a_wood_that_nobody_named_earns_no_trust() -> None:
    assert width(wood_temperature_c=20, meter_set_to_species=True) == width(wood_temperature_c=20)


def test_bone_dry_and_soaked_readings_say_what_a_meter_cannot_tell() -> None:
    dry = corrected_reading(reading_pct=0, wood_temperature_c=20)
    assert (dry.low_pct, dry.reach) == (0, MeterReach.BELOW)
    assert dry.high_pct is not None
    assert dry.high_pct >= 6
    soaked = corrected_reading(reading_pct=60, wood_temperature_c=20)
    assert (soaked.high_pct, soaked.reach) == (None, MeterReach.ABOVE)
    assert 25 < soaked.low_pct < 30
    assert any("soaked" in reason for reason in soaked.reasons)


@unhurried
@given(readings, readings, airs, humidities, circumstances)
def test_a_higher_reading_never_gets_a_milder_verdict(
    one: float, other: float, celsius: float, humidity: float, given_: dict[str, Any]
) -> None:
    lower, higher = (
        reading_against_climate(
            reading_pct=reading, air_temperature_c=celsius, relative_humidity_pct=humidity, **given_
        )
        for reading in sorted((one, other))
    )
    assert VERDICTS.index(lower.verdict) <= VERDICTS.index(higher.verdict)
    assert lower.reasons


@unhurried
@given(readings, airs, humidities, circumstances)
def test_salt_never_makes_a_verdict_milder_and_never_surer_of_water(
    reading: float, celsius: float, humidity: float, given_: dict[str, Any]
) -> None:
    clean, salty = (
        reading_against_climate(
            reading_pct=reading,
            air_temperature_c=celsius,
            relative_humidity_pct=humidity,
            **{**given_, "salt_recorded": salt},
        )
        for salt in (False, True)
    )
    assert clean.verdict is salty.verdict
    if clean.verdict is MoistureVerdict.WET_FOR_A_REASON:
        assert clean.sure or not salty.sure
    assert any("wash" in reason for reason in salty.reasons)


MARCH: dict[str, Any] = {"air_temperature_c": 6, "relative_humidity_pct": 80, "wood_temperature_c": 6}


@pytest.mark.parametrize(
    ("reading", "verdict"),
    [(10, "dry"), (13, "dry"), (17, "damp_as_the_weather"), (22, "wet_for_a_reason"), (60, "wet_for_a_reason")],
)
def test_a_reading_is_told_from_the_weather(reading: float, verdict: str) -> None:
    assert str(reading_against_climate(reading_pct=reading, **MARCH).verdict) == verdict


def test_the_same_reading_is_the_weather_in_a_damp_month_and_water_in_a_dry_one() -> None:
    damp = reading_against_climate(reading_pct=20, air_temperature_c=15, relative_humidity_pct=88)
    dry = reading_against_climate(reading_pct=20, air_temperature_c=15, relative_humidity_pct=55)
    assert damp.verdict is MoistureVerdict.DAMP_AS_THE_WEATHER
    assert dry.verdict is MoistureVerdict.WET_FOR_A_REASON


def test_no_air_alone_explains_wood_near_fibre_saturation() -> None:
    soaked = reading_against_climate(
        reading_pct=29, air_temperature_c=20, relative_humidity_pct=100, wood_temperature_c=20
    )
    assert soaked.verdict is MoistureVerdict.WET_FOR_A_REASON


def test_a_verdict_is_sure_only_where_the_whole_range_agrees() -> None:
    air: dict[str, Any] = {"air_temperature_c": 20, "relative_humidity_pct": 65, "wood_temperature_c": 20}
    assert not reading_against_climate(reading_pct=16, **air).sure
    assert reading_against_climate(reading_pct=22, **air).sure
    assert not reading_against_climate(reading_pct=22, salt_recorded=True, **air).sure
    assert reading_against_climate(reading_pct=10, **air).sure


@pytest.mark.parametrize(
    ("spot", "beside", "verdict"),
    [
        (22, 15, "clear"),
        (19, 15, "clear"),
        (18, 15, "slight"),
        (17, 15, "none"),
        (12, 18, "none"),
        (60, 45, "none"),
    ],
)
def test_a_spot_stands_out_from_the_wood_beside_it(spot: float, beside: float, verdict: str) -> None:
    assert str(contrast(spot_pct=spot, beside_pct=beside).verdict) == verdict


@unhurried
@given(readings, readings, readings, st.booleans())
def test_a_wetter_spot_never_stands_out_less(one: float, other: float, beside: float, salt: bool) -> None:
    less, more = (contrast(spot_pct=spot, beside_pct=beside, salt_recorded=salt) for spot in sorted((one, other)))
    assert CONTRASTS.index(less.verdict) <= CONTRASTS.index(more.verdict)


def test_where_a_meter_sets_no_end_a_difference_has_none_either() -> None:
    open_above = contrast(spot_pct=50, beside_pct=15)
    assert (open_above.high_points, open_above.verdict) == (None, ContrastVerdict.CLEAR)
    both = contrast(spot_pct=50, beside_pct=40)
    assert (both.low_points, both.high_points) == (None, None)
    assert any("both are soaked" in reason for reason in both.reasons)


def test_salt_may_make_the_difference() -> None:
    clean, salty = (contrast(spot_pct=22, beside_pct=15, salt_recorded=salt) for salt in (False, True))
    assert clean.low_points is not None
    assert salty.low_points is not None
    assert salty.low_points < 0 < clean.low_points
    assert salty.verdict is clean.verdict


@pytest.mark.parametrize(
    ("call", "given_", "field"),
    [
        (equilibrium_moisture_content_pct, {"temperature_c": 101, "relative_humidity_pct": 50}, "temperature_c"),
        (
            equilibrium_moisture_content_pct,
            {"temperature_c": 10, "relative_humidity_pct": 101},
            "relative_humidity_pct",
        ),
        (relative_humidity_for_moisture_pct, {"temperature_c": 10, "moisture_pct": -1}, "moisture_pct"),
        (corrected_reading, {"reading_pct": 140}, "reading_pct"),
        (corrected_reading, {"reading_pct": float("inf")}, "reading_pct"),
        (corrected_reading, {"reading_pct": 14, "wood_temperature_c": 90}, "wood_temperature_c"),
        (reading_against_climate, {**MARCH, "reading_pct": 140}, "reading_pct"),
        (reading_against_climate, {**MARCH, "reading_pct": 14, "air_temperature_c": 61}, "air_temperature_c"),
        (contrast, {"spot_pct": 140, "beside_pct": 12}, "spot_pct"),
        (contrast, {"spot_pct": 14, "beside_pct": -1}, "beside_pct"),
    ],
)
def test_a_figure_that_cannot_be_is_refused_with_its_field(call: Any, given_: dict[str, float], field: str) -> None:
    with pytest.raises(Refused) as refused:
        call(**given_)
    assert refused.value.field == field
    assert refused.value.remedy
