"""Humid air against PsychroLib and published Magnus sets; coating limits and cure against their tables.

Sources: dew_point_checks.csv, PsychroLib 2.5.0 (ASHRAE Handbook 2017) and three Magnus sets, to 0.03 °C; PsychroLib
itself, run here over the whole range above freezing; magnus_coefficients.csv; coating_conditions.csv,
practice under ISO 8502-4 and ISO 12944-7; cure_time_factor.csv and cure_doubling_activation_energy.csv, Arrhenius's
equation, to 0.001 and 0.1 kJ/mol.
"""

import csv
from math import log
from pathlib import Path

import psychrolib
import pytest

from inspections.timber.coating import DEW_POINT_MARGIN_C, LIMITS
from inspections.timber.cure import GAS_CONSTANT_J_PER_MOL_K, ZERO_C_IN_K, cure_time, cure_time_factor
from inspections.timber.humid_air import MAGNUS_A, MAGNUS_B_C, dew_point_c, humidity_at_pct

HERE = Path(__file__).parent
TOLERANCE_C = 0.03


def _rows(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader((HERE / name).read_text(encoding="utf-8").splitlines()))


@pytest.fixture(autouse=True)
def _metric_units() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize(
    "row",
    _rows("dew_point_checks.csv"),
    ids=lambda row: f"{row['air_temperature_c']} °C, {row['relative_humidity_pct']} %",
)
def test_the_dew_point_is_the_table_s(row: dict[str, str]) -> None:
    dew_point = dew_point_c(
        temperature_c=float(row["air_temperature_c"]), relative_humidity_pct=float(row["relative_humidity_pct"])
    )
    assert dew_point == pytest.approx(float(row["dew_point_psychrolib_c"]), abs=TOLERANCE_C)
    assert dew_point == pytest.approx(float(row["dew_point_magnus_alduchov_eskridge_c"]), abs=0.001)
    coldest = float(row["minimum_surface_temperature_for_coating_c"])
    assert dew_point + DEW_POINT_MARGIN_C == pytest.approx(coldest, abs=TOLERANCE_C)


def test_the_dew_point_is_psychrolib_s_wherever_it_is_above_freezing() -> None:
    compared = 0
    for temperature_c in range(2, 41, 2):
        for humidity_pct in range(20, 101, 5):
            published = float(psychrolib.GetTDewPointFromRelHum(temperature_c, humidity_pct / 100))
            if published <= 0:
                continue
            compared += 1
            dew_point = dew_point_c(temperature_c=temperature_c, relative_humidity_pct=humidity_pct)
            assert dew_point == pytest.approx(published, abs=TOLERANCE_C)
    assert compared > 200


def test_the_humidity_of_warmed_air_is_psychrolib_s() -> None:
    for temperature_c in range(5, 36, 5):
        for dew_point in range(1, temperature_c + 1, 2):
            published = 100 * float(psychrolib.GetRelHumFromTDewPoint(temperature_c, dew_point))
            warmed = humidity_at_pct(temperature_c=temperature_c, dew_point_c=dew_point)
            assert warmed == pytest.approx(published, abs=0.2)


def test_the_magnus_set_is_the_published_one() -> None:
    sets = {row["set"]: row for row in _rows("magnus_coefficients.csv")}
    published = sets["Alduchov and Eskridge 1996"]
    assert (float(published["a"]), float(published["b_c"])) == (MAGNUS_A, MAGNUS_B_C)


def test_the_limits_are_those_of_common_practice() -> None:
    practice = {(row["quantity"], row["unit"]): float(row["value"]) for row in _rows("coating_conditions.csv")}
    assert practice["surface temperature above dew point minimum", "degC"] == DEW_POINT_MARGIN_C
    highest = practice["relative humidity maximum usual", "pct RH"]
    assert all(limits.relative_humidity_max_pct <= highest for limits in LIMITS.values())


@pytest.mark.parametrize(
    "row",
    _rows("cure_time_factor.csv"),
    ids=lambda row: f"{row['activation_energy_kj_per_mol']} kJ/mol, {row['temperature_c']} °C",
)
def test_the_cure_factor_is_the_table_s(row: dict[str, str]) -> None:
    temperature_c, reference_c = float(row["temperature_c"]), float(row["reference_temperature_c"])
    factor = cure_time_factor(
        activation_energy_kj_per_mol=float(row["activation_energy_kj_per_mol"]),
        temperature_c=temperature_c,
        reference_temperature_c=reference_c,
    )
    assert factor == pytest.approx(float(row["cure_time_factor_arrhenius"]), abs=0.001)
    time = cure_time(hours_on_data_sheet=1, reference_temperature_c=reference_c, temperature_c=temperature_c)
    assert time.hours_by_doubling == pytest.approx(float(row["cure_time_factor_halving_per_10c"]), abs=0.001)


@pytest.mark.parametrize(
    "row", _rows("cure_doubling_activation_energy.csv"), ids=lambda row: row["temperature_low_c"]
)
def test_doubling_for_ten_degrees_needs_the_published_energy(row: dict[str, str]) -> None:
    low_c, high_c = float(row["temperature_low_c"]), float(row["temperature_high_c"])
    energy = float(row["activation_energy_for_doubling_kj_per_mol"])
    factor = cure_time_factor(
        activation_energy_kj_per_mol=energy, temperature_c=low_c, reference_temperature_c=high_c
    )
    per_kj = 1000 / GAS_CONSTANT_J_PER_MOL_K * (1 / (low_c + ZERO_C_IN_K) - 1 / (high_c + ZERO_C_IN_K))
    assert abs(log(factor) - log(2)) <= 0.05 * per_kj + 1e-9
