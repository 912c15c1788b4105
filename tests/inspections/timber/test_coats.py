"""Coats: possible now or not and why, how much of a month serves, and how long a film cures."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.timber.climate import MonthClimate
from inspections.timber.coating import Coating, coat_now, limits_of
from inspections.timber.cure import cure_time, cure_time_factor, recoat_window
from inspections.timber.humid_air import dew_point_c, humidity_at_pct
from inspections.timber.working_hours import Observation, share_from_normals, share_from_observations
from yard.refusals import Refused

FINE_DAY: dict[str, Any] = {
    "coating": Coating.VARNISH,
    "air_temperature_c": 18,
    "relative_humidity_pct": 60,
    "surface_temperature_c": 18,
    "wood_moisture_pct": 12,
}


def test_the_dew_point_is_the_air_s_own_temperature_when_it_is_saturated() -> None:
    assert dew_point_c(temperature_c=12, relative_humidity_pct=100) == pytest.approx(12)


@settings(max_examples=50, deadline=None)
@given(temperature=st.floats(-40, 50), humidity=st.floats(2, 99), damper=st.floats(0, 1))
def test_damper_air_never_has_a_lower_dew_point(temperature: float, humidity: float, damper: float) -> None:
    before = dew_point_c(temperature_c=temperature, relative_humidity_pct=humidity)
    after = dew_point_c(temperature_c=temperature, relative_humidity_pct=humidity + damper)
    assert before <= after <= temperature
    assert humidity_at_pct(temperature_c=temperature, dew_point_c=before) == pytest.approx(humidity)


def test_on_a_fine_day_nothing_stands_in_the_way() -> None:
    check = coat_now(**FINE_DAY)
    assert check.possible
    assert check.hindrances == ()
    assert check.assumptions == ()


@pytest.mark.parametrize(
    ("changed", "word", "would_do"),
    [
        ({"raining": True}, "Rain", "cover"),
        ({"salt_washed_off": False}, "salt", "Wash"),
        ({"air_temperature_c": 9.5}, "at least 10", "Heat"),
        ({"surface_temperature_c": 34}, "at most 30", "Shade"),
        ({"relative_humidity_pct": 88, "surface_temperature_c": 22}, "humidity", "drier air"),
        ({"surface_temperature_c": 12.5}, "dew point", "13.1 °C"),
        ({"wood_moisture_pct": 19}, "moisture", "dry first"),
    ],
)
def test_one_thing_in_the_way_is_named_with_what_would_do(
    changed: dict[str, Any], word: str, would_do: str
) -> None:
    check = coat_now(**{**FINE_DAY, **changed})
    assert not check.possible
    (hindrance,) = check.hindrances
    assert word in hindrance.what
    assert would_do in hindrance.would_do


def test_everything_in_the_way_is_named_at_once() -> None:
    check = coat_now(
        coating=Coating.EPOXY,
        air_temperature_c=4,
        relative_humidity_pct=95,
        surface_temperature_c=3,
        wood_moisture_pct=24,
        raining=True,
        salt_washed_off=False,
    )
    assert len(check.hindrances) == 7


def test_the_april_morning_of_the_method_page() -> None:
    check = coat_now(
        coating=Coating.VARNISH,
        air_temperature_c=12,
        relative_humidity_pct=80,
        surface_temperature_c=11,
        wood_moisture_pct=13,
    )
    assert round(check.dew_point_c, 1) == 8.7
    assert round(check.margin_c, 1) == 2.3
    assert not check.possible
    assert "11.7 °C" in check.hindrances[0].would_do


def test_what_was_not_measured_is_said() -> None:
    check = coat_now(coating=Coating.VARNISH, air_temperature_c=18, relative_humidity_pct=60)
    assert check.possible
    assert check.surface_temperature_c == 18
    assert len(check.assumptions) == 2


@settings(max_examples=50, deadline=None)
@given(
    air=st.floats(-10, 40),
    humidity=st.floats(5, 95),
    damper=st.floats(0, 5),
    moisture=st.floats(6, 40),
    wetter=st.floats(0, 20),
)
def test_damper_air_and_wetter_wood_never_allow_a_coat(
    air: float, humidity: float, damper: float, moisture: float, wetter: float
) -> None:
    for coating in Coating:
        before = coat_now(
            coating=coating, air_temperature_c=air, relative_humidity_pct=humidity, wood_moisture_pct=moisture
        )
        after = coat_now(
            coating=coating,
            air_temperature_c=air,
            relative_humidity_pct=humidity + damper,
            wood_moisture_pct=moisture + wetter,
        )
        assert after.possible <= before.possible


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("relative_humidity_pct", 140),
        ("relative_humidity_pct", 0),
        ("air_temperature_c", 60),
        ("surface_temperature_c", -50),
        ("wood_moisture_pct", -1),
        ("coating", "tar"),
    ],
)
def test_weather_that_can_t_be_is_refused(field: str, value: Any) -> None:
    with pytest.raises(Refused) as refusal:
        coat_now(**{**FINE_DAY, field: value})
    assert refusal.value.remedy
    assert refusal.value.field == field


def test_six_below_zero_gives_an_answer() -> None:
    check = coat_now(coating=Coating.VARNISH, air_temperature_c=-6, relative_humidity_pct=70)
    assert not check.possible
    assert check.dew_point_c < -6


def test_every_set_of_limits_names_its_source() -> None:
    for coating in Coating:
        limits = limits_of(coating=coating)
        assert limits.source
        assert limits.temperature_min_c < limits.temperature_max_c


class TestWorkingHours:
    def test_the_may_of_the_method_page(self) -> None:
        share = share_from_normals(coating=Coating.VARNISH, month=MonthClimate(5, 14, 70, 9))
        assert [round(part, 2) for part in (share.share_low, share.share_likely, share.share_high)] == [
            0.61,
            0.71,
            0.78,
        ]

    @settings(max_examples=30, deadline=None)
    @given(
        temperature=st.floats(-10, 35),
        humidity=st.floats(30, 95),
        damper=st.floats(0, 5),
        rain=st.floats(0, 25),
        more=st.floats(0, 6),
    )
    def test_damper_and_rainier_months_never_allow_more(
        self, temperature: float, humidity: float, damper: float, rain: float, more: float
    ) -> None:
        before = share_from_normals(coating=Coating.VARNISH, month=MonthClimate(4, temperature, humidity, rain))
        after = share_from_normals(
            coating=Coating.VARNISH, month=MonthClimate(4, temperature, humidity + damper, rain + more)
        )
        assert 0 <= before.share_low <= before.share_likely <= before.share_high <= 1
        assert after.share_low <= before.share_low + 1e-12
        assert after.share_likely <= before.share_likely + 1e-12
        assert after.share_high <= before.share_high + 1e-12

    def test_winter_allows_next_to_nothing_and_summer_most(self) -> None:
        winter = share_from_normals(coating=Coating.VARNISH, month=MonthClimate(1, 0, 82, 11))
        summer = share_from_normals(coating=Coating.VARNISH, month=MonthClimate(7, 19, 65, 6))
        assert winter.share_high < 0.05
        assert summer.share_low > 0.6

    def test_epoxy_never_has_more_hours_than_varnish(self) -> None:
        for temperature in range(0, 30, 3):
            month = MonthClimate(4, temperature, 75, 10)
            epoxy = share_from_normals(coating=Coating.EPOXY, month=month)
            varnish = share_from_normals(coating=Coating.VARNISH, month=month)
            assert epoxy.share_likely <= varnish.share_likely

    def test_an_unknown_number_of_rain_days_widens_the_estimate(self) -> None:
        known = share_from_normals(coating=Coating.VARNISH, month=MonthClimate(5, 15, 65, 12))
        unknown = share_from_normals(coating=Coating.VARNISH, month=MonthClimate(5, 15, 65))
        assert unknown.share_high - unknown.share_low > known.share_high - known.share_low

    def test_it_is_called_an_estimate(self) -> None:
        share = share_from_normals(coating=Coating.VARNISH, month=MonthClimate(5, 15, 65, 12))
        assert share.basis == "normals"
        assert share.reasons[0].startswith("An estimate")

    @pytest.mark.parametrize(("from_hour", "to_hour"), [(17, 8), (9, 9), (-1, 5), (8, 25)])
    def test_hours_that_are_no_working_day_are_refused(self, from_hour: int, to_hour: int) -> None:
        with pytest.raises(Refused, match="hour"):
            share_from_normals(
                coating=Coating.VARNISH, month=MonthClimate(5, 15, 65, 5), from_hour=from_hour, to_hour=to_hour
            )

    def test_more_observations_of_the_same_share_narrow_the_interval(self) -> None:
        seen = [Observation(15, 60), Observation(6, 70)]
        few = share_from_observations(coating=Coating.VARNISH, observations=seen)
        many = share_from_observations(coating=Coating.VARNISH, observations=seen * 20)
        assert few.share_likely == many.share_likely == 0.5
        assert many.share_high - many.share_low < few.share_high - few.share_low
        assert 0 <= few.share_low < 0.5 < few.share_high <= 1

    def test_rain_counts_against_an_observed_hour(self) -> None:
        share = share_from_observations(
            coating=Coating.VARNISH, observations=[Observation(15, 60, raining=True), Observation(15, 60)]
        )
        assert share.share_likely == 0.5

    def test_no_observations_are_refused(self) -> None:
        with pytest.raises(Refused, match="observations"):
            share_from_observations(coating=Coating.VARNISH, observations=[])

    def test_a_wrong_observation_is_named_by_its_place(self) -> None:
        with pytest.raises(Refused) as refusal:
            share_from_observations(
                coating=Coating.VARNISH, observations=[Observation(15, 60), Observation(15, 160)]
            )
        assert refusal.value.field == "observations.1.relative_humidity_pct"


class TestCure:
    @settings(max_examples=50, deadline=None)
    @given(hours=st.floats(0.5, 200), reference=st.floats(15, 25), at=st.floats(0, 55), warmer=st.floats(0, 5))
    def test_warmth_never_slows_a_cure(self, hours: float, reference: float, at: float, warmer: float) -> None:
        cool = cure_time(hours_on_data_sheet=hours, reference_temperature_c=reference, temperature_c=at)
        warm = cure_time(hours_on_data_sheet=hours, reference_temperature_c=reference, temperature_c=at + warmer)
        assert cool.hours_early <= cool.hours_likely <= cool.hours_cautious
        assert warm.hours_likely <= cool.hours_likely
        assert warm.hours_cautious <= cool.hours_cautious

    def test_at_the_data_sheet_s_temperature_it_is_the_data_sheet_s_time(self) -> None:
        time = cure_time(hours_on_data_sheet=24, reference_temperature_c=20, temperature_c=20)
        assert (time.hours_early, time.hours_likely, time.hours_cautious) == (24, 24, 24)

    def test_the_film_of_the_method_page(self) -> None:
        time = cure_time(hours_on_data_sheet=24, reference_temperature_c=20, temperature_c=10)
        assert [round(hours) for hours in (time.hours_early, time.hours_likely, time.hours_cautious)] == [
            46,
            50,
            57,
        ]
        assert time.hours_by_doubling == pytest.approx(48)

    def test_the_doubling_rule_lies_within_the_spread_or_near_it(self) -> None:
        for temperature in range(8, 33):
            time = cure_time(hours_on_data_sheet=10, reference_temperature_c=20, temperature_c=temperature)
            assert 0.95 * time.hours_early <= time.hours_by_doubling <= 1.05 * time.hours_cautious

    @pytest.mark.parametrize(
        ("field", "value"),
        [("hours_on_data_sheet", 0), ("hours_on_data_sheet", -2), ("temperature_c", -6), ("temperature_c", 90)],
    )
    def test_a_cure_that_can_t_be_is_refused(self, field: str, value: float) -> None:
        figures = {
            "hours_on_data_sheet": 24.0,
            "reference_temperature_c": 20.0,
            "temperature_c": 15.0,
            field: value,
        }
        with pytest.raises(Refused) as refusal:
            cure_time(**figures)
        assert refusal.value.field == field

    def test_a_slower_reaction_depends_more_on_warmth(self) -> None:
        low, high = (
            cure_time_factor(activation_energy_kj_per_mol=energy, temperature_c=10, reference_temperature_c=20)
            for energy in (45, 70)
        )
        assert 1 < low < high

    def test_the_recoat_window_never_ends_before_it_begins(self) -> None:
        window = recoat_window(
            earliest_hours_on_data_sheet=24,
            latest_hours_on_data_sheet=26,
            reference_temperature_c=20,
            temperature_c=5,
        )
        assert window.until_hours is not None
        assert window.from_hours <= window.until_hours
        assert len(window.reasons) == 2

    def test_a_data_sheet_without_an_end_leaves_the_window_open(self) -> None:
        window = recoat_window(
            earliest_hours_on_data_sheet=24,
            latest_hours_on_data_sheet=None,
            reference_temperature_c=20,
            temperature_c=15,
        )
        assert window.until_hours is None

    def test_a_window_that_ends_before_it_begins_is_refused(self) -> None:
        with pytest.raises(Refused, match="latest_hours_on_data_sheet"):
            recoat_window(
                earliest_hours_on_data_sheet=24,
                latest_hours_on_data_sheet=12,
                reference_temperature_c=20,
                temperature_c=15,
            )
