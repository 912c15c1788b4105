"""How much a climate favours decay, and what is no climate."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.timber.climate import DecayZone, MonthClimate, decay_zone, scheffer_index
from yard.refusals import Refused

temperatures = st.lists(st.floats(-60, 60), min_size=12, max_size=12)
wet_days = st.lists(st.floats(0, 31), min_size=12, max_size=12)
unhurried = settings(deadline=None, max_examples=50)


@unhurried
@given(temperatures, wet_days, st.integers(0, 11), st.floats(0, 31), st.booleans())
def test_more_wet_days_in_a_month_that_is_warm_enough_never_lower_the_index(
    warm: list[float], days: list[float], month: int, more: float, counted: bool
) -> None:
    warm[month] = max(abs(warm[month]), 2.0)
    wetter = [min(31.0, day + more) if position == month else day for position, day in enumerate(days)]
    before = scheffer_index(temperatures_c=warm, rain_days=days, negative_months_count=counted)
    after = scheffer_index(temperatures_c=warm, rain_days=wetter, negative_months_count=counted)
    assert after.index >= before.index - 1e-9


@unhurried
@given(temperatures, wet_days)
def test_counting_negative_months_never_raises_the_index(warm: list[float], days: list[float]) -> None:
    zeroed = scheffer_index(temperatures_c=warm, rain_days=days)
    kept = scheffer_index(temperatures_c=warm, rain_days=days, negative_months_count=True)
    assert 0 <= kept.index <= zeroed.index + 1e-9
    assert zeroed.zone is decay_zone(index=zeroed.index)


def test_a_frozen_drought_favours_no_decay() -> None:
    for counted in (False, True):
        found = scheffer_index(temperatures_c=[-20] * 12, rain_days=[0] * 12, negative_months_count=counted)
        assert found.index == 0
        assert found.zone is DecayZone.LOW


def test_one_dry_month_is_nothing_or_is_subtracted() -> None:
    warm, days = [12.0] * 12, [10.0] * 11 + [1.0]
    zeroed = scheffer_index(temperatures_c=warm, rain_days=days)
    kept = scheffer_index(temperatures_c=warm, rain_days=days, negative_months_count=True)
    assert zeroed.index == pytest.approx(11 * 10 * 7 / 16.7)
    assert zeroed.index - kept.index == pytest.approx(10 * 2 / 16.7)


@pytest.mark.parametrize(
    ("warm", "days", "field"),
    [
        ([10.0] * 11, [5.0] * 12, "temperatures_c"),
        ([10.0] * 12, [5.0] * 13, "rain_days"),
        ([10.0] * 11 + [99.0], [5.0] * 12, "temperatures_c.11"),
        ([10.0] * 12, [5.0, 32.0] + [5.0] * 10, "rain_days.1"),
        ([float("nan")] * 12, [5.0] * 12, "temperatures_c.0"),
    ],
)
def test_what_is_no_climate_is_refused_with_its_field(warm: list[float], days: list[float], field: str) -> None:
    with pytest.raises(Refused) as refused:
        scheffer_index(temperatures_c=warm, rain_days=days)
    assert refused.value.field == field
    assert refused.value.remedy


@pytest.mark.parametrize(
    ("figures", "field"),
    [
        ((13, 10, 70), "month"),
        ((1, 70, 70), "temperature_c"),
        ((1, 10, 101), "relative_humidity_pct"),
        ((1, 10, 70, -1), "rain_days"),
    ],
)
def test_a_month_that_cannot_be_is_refused(figures: tuple[int, ...], field: str) -> None:
    with pytest.raises(Refused) as refused:
        MonthClimate(*figures)
    assert refused.value.field == field


def test_a_negative_index_is_refused() -> None:
    with pytest.raises(Refused):
        decay_zone(index=-1)
