"""Readings against the weather, and from when wet wood may be sealed."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from inspections.judgement.facts import ClimateMonth, Reading, YardFacts
from inspections.judgement.vocabulary import Condition, DueBackKind
from inspections.timber.moisture import equilibrium_moisture_content_pct
from tests.inspections.judgement.builders import (
    YARD,
    a_component,
    a_finding,
    holding,
    judged,
    moisture,
    stock_signs,
)

C = Condition
# A cool wet coast of our own: mean temperature (°C), humidity (%), days with rain.
MONTHS = (
    (2, 82, 15), (2, 80, 13), (4, 76, 13), (7, 72, 11), (11, 70, 10), (14, 72, 11),
    (16, 75, 13), (16, 77, 14), (13, 79, 15), (9, 81, 16), (5, 83, 17), (3, 83, 16),
)  # fmt: skip
COAST = replace(
    YARD, climate=tuple(ClimateMonth(number, *figures) for number, figures in enumerate(MONTHS, start=1))
)
WET: dict[str, Any] = {"seal": "open", "water": "rain", "readings": moisture(27, 14)}


@pytest.mark.parametrize(
    ("reading_pct", "yard", "wet"),
    [
        (17, COAST, False),  # an April of 7 °C and 72 % brings wood to 14 %, and below 20 % nothing decays
        (19.9, YARD, False),
        (20, YARD, True),
        (20, COAST, True),
        (24, COAST, True),
        (40, COAST, True),
    ],
)
def test_a_reading_alone_is_held_against_the_month_s_air(reading_pct: float, yard: YardFacts, wet: bool) -> None:
    finding = a_finding(C.WATER_IN, readings=moisture(reading_pct))
    assert (C.WATER_IN in holding(judged(finding, yard=yard))) is wet


@pytest.mark.parametrize(
    ("here_pct", "beside_pct", "water_is_in"), [(30, 15, True), (20, 16, True), (19.9, 9, False), (30, 27, False)]
)
def test_wet_wood_that_stands_out_from_the_wood_beside_has_water_in_it_whatever_sign_was_named(
    here_pct: float, beside_pct: float, water_is_in: bool
) -> None:
    judgement = judged(a_finding(C.FINISH_ONLY, readings=moisture(here_pct, beside_pct)))
    assert (C.WATER_IN in holding(judgement)) is water_is_in


def test_dry_wood_is_not_called_wet_because_the_wood_beside_it_is_drier() -> None:
    judgement = judged(a_finding(C.WATER_IN, seal="open", water="rain", readings=moisture(14, 9)))
    assert C.WATER_IN in holding(judgement)
    assert not any("while it is wet" in said for said in judgement.do_not)


def test_what_the_weather_explains_is_said() -> None:
    assert equilibrium_moisture_content_pct(temperature_c=7, relative_humidity_pct=72) == pytest.approx(14, abs=0.5)
    judgement = judged(a_finding(C.WATER_IN, readings=moisture(16.5)), yard=COAST)
    assert any(
        "because for the time of year the reading is no more than damp" in reason for reason in judgement.reasons
    )


def test_a_meter_in_cold_wood_reads_low_and_that_counts() -> None:
    warm, cold = (
        a_finding(C.WATER_IN, readings=(Reading("moisture", 17, "%", wood_temperature_c=celsius),))
        for celsius in (21, -6)
    )
    assert C.WATER_IN not in holding(judged(warm, yard=COAST))
    assert C.WATER_IN in holding(judged(cold, yard=COAST))


def test_wet_wood_says_from_when_it_may_be_sealed() -> None:
    judgement = judged(a_finding(C.WATER_IN, **WET), yard=COAST)
    wait = judgement.drying
    assert wait is not None
    assert wait.earliest_on is not None
    assert wait.likely_on is not None
    assert wait.cautious_on is not None
    assert date(2027, 4, 1) < wait.earliest_on <= wait.likely_on <= wait.cautious_on
    assert wait.shed_likely_on is not None
    assert wait.shed_likely_on < wait.likely_on
    assert not wait.too_late
    assert any("likely dry enough to seal (18 %)" in reason for reason in judgement.reasons)
    assert any("In a heated shed" in reason for reason in judgement.reasons)


def test_both_faces_open_dry_sooner() -> None:
    one, both = (judged(a_finding(C.WATER_IN, sides=sides, **WET), yard=COAST).drying for sides in ("one", "both"))
    assert one is not None
    assert both is not None
    assert one.likely_on is not None
    assert both.likely_on is not None
    assert both.likely_on < one.likely_on


def test_salt_is_washed_out_first() -> None:
    signs = (stock_signs()["SALT_CRUST"],)
    judgement = judged(a_finding(signs=signs, **WET), yard=COAST)
    assert judgement.drying is not None
    assert judgement.drying.wash_first
    assert judgement.treatments[0] == "WASH_DRY"
    assert any(reason.startswith("Washed and under cover") for reason in judgement.reasons)


def test_a_wait_that_is_too_long_for_the_season_says_what_that_means_and_leaves_the_day() -> None:
    autumn = a_finding(C.WATER_IN, observed_on=date(2027, 9, 20), **{**WET, "readings": moisture(40, 14)})
    dry = replace(autumn, readings=moisture(19, 14))
    judgement = judged(autumn, yard=COAST)
    assert judgement.priority == "this_season"
    assert judgement.drying is not None
    assert judgement.drying.too_late
    assert (judgement.due_back_on, judgement.due_back_kind) == (date(2027, 10, 15), DueBackKind.PUT_RIGHT)
    assert judgement.due_back_on == judged(dry, yard=COAST).due_back_on
    assert any("too late for 15 October 2027" in reason for reason in judgement.reasons)


@pytest.mark.parametrize(
    ("told", "yard"),
    [
        (WET, YARD),  # no climate entered
        ({**WET, "readings": moisture(16, 10)}, COAST),  # dry
        ({"readings": moisture(27, 27)}, COAST),  # nothing to be put right
    ],
)
def test_where_nothing_waits_no_day_is_given(told: dict[str, Any], yard: YardFacts) -> None:
    assert judged(a_finding(C.WATER_IN, **told), yard=yard).drying is None


@pytest.mark.parametrize("reading_pct", [0, 5, 30, 120])
@pytest.mark.parametrize("celsius", [-6, None, 40])
def test_extreme_readings_get_a_result(reading_pct: float, celsius: float | None) -> None:
    reading = Reading("moisture", reading_pct, "%", wood_temperature_c=celsius)
    finding = a_finding(C.WATER_IN, seal="open", water="rain", readings=(reading,))
    assert judged(finding, a_component(species="white oak"), yard=COAST).reasons
