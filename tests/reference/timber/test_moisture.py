"""Equilibrium moisture and meter readings against the published table, the equation and the makers' rules.

Sources and tolerances: `timber/README.md`. The equation is held to the handbook's table within 0.06 points; a
maker's rule, rounded to whole points, must lie within the range that a corrected reading gives.
"""

import csv
from pathlib import Path

import pytest

from inspections.timber.drying_piece import FIBRE_SATURATION_PCT
from inspections.timber.moisture import (
    SAFE_PCT,
    SALT_DRAWS_FROM_RH_PCT,
    VAPOUR_TOP_PCT,
    corrected_reading,
    equilibrium_moisture_content_pct,
)
from inspections.timber.species import species_named

TIMBER = Path(__file__).parent


def rows(name: str) -> list[dict[str, str]]:
    with (TIMBER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_whole_equilibrium_table_agrees() -> None:
    table = rows("emc_table")
    assert len(table) > 150
    for row in table:
        found = equilibrium_moisture_content_pct(
            temperature_c=float(row["temperature_c"]), relative_humidity_pct=float(row["relative_humidity_pct"])
        )
        assert found == pytest.approx(float(row["emc_table_pct"]), abs=0.06), row
        assert found == pytest.approx(float(row["emc_equation_pct"]), abs=0.001), row


@pytest.mark.parametrize("row", rows("emc_equation_checks"), ids=lambda row: row["temperature_c"])
def test_the_equation_agrees_with_checks_worked_out_apart(row: dict[str, str]) -> None:
    found = equilibrium_moisture_content_pct(
        temperature_c=float(row["temperature_c"]), relative_humidity_pct=float(row["relative_humidity_pct"])
    )
    assert found == pytest.approx(float(row["emc_equation_pct"]), abs=0.01)


def test_the_metric_form_agrees_with_the_handbooks_inch_form() -> None:
    inch = {
        row["quantity"]: tuple(float(row[part]) for part in ("c0", "c1_per_degree", "c2_per_degree_squared"))
        for row in rows("emc_coefficients")
        if row["temperature_unit_set"] == "inch_f"
    }
    for celsius in (0, 10, 20, 35):
        fahrenheit = celsius * 9 / 5 + 32
        w, k, k1, k2 = (
            c0 + c1 * fahrenheit + c2 * fahrenheit**2
            for c0, c1, c2 in (inch[name] for name in ("W", "K", "K1", "K2"))
        )
        for humidity in (20, 50, 80, 95):
            kh = k * humidity / 100
            wet = k1 * kh + 2 * k1 * k2 * kh * kh
            expected = 1800 / w * (kh / (1 - kh) + wet / (1 + k1 * kh + k1 * k2 * kh * kh))
            found = equilibrium_moisture_content_pct(temperature_c=celsius, relative_humidity_pct=humidity)
            assert found == pytest.approx(expected, abs=0.06)


def test_corrected_readings_take_in_the_published_formula() -> None:
    for row in rows("meter_temperature_formula_points"):
        shown = float(row["meter_reading_pct"])
        estimate = corrected_reading(reading_pct=shown, wood_temperature_c=float(row["wood_temperature_c"]))
        formula = shown + float(row["formula_relative_to_20c_pct_points"])
        assert estimate.high_pct is not None
        assert estimate.low_pct <= formula <= estimate.high_pct, row
        # Half way between the formula and one maker's 0.1 point per °C.
        maker = shown + 0.1 * (20 - float(row["wood_temperature_c"]))
        assert estimate.likely_pct == pytest.approx((formula + maker) / 2, abs=0.01), row


def test_corrected_readings_take_in_every_makers_rule() -> None:
    checked = 0
    for row in rows("meter_temperature_rules"):
        shown = 15.0 if row["reading_pct"] == "any" else float(row["reading_pct"])
        at = {"5 below reference": 15.0, "5 above reference": 25.0}.get(row["wood_temperature_c"])
        wood_c = float(row["wood_temperature_c"]) if at is None else at
        estimate = corrected_reading(reading_pct=shown, wood_temperature_c=wood_c)
        assert estimate.high_pct is not None
        assert estimate.low_pct <= shown + float(row["correction_pct_points"]) <= estimate.high_pct, row
        checked += 1
    assert checked == 8


@pytest.mark.parametrize("row", rows("meter_species_examples"), ids=lambda row: row["species"])
def test_corrected_readings_take_in_the_species_corrections_that_were_seen(row: dict[str, str]) -> None:
    assert species_named(row["species"]) is not None
    estimate = corrected_reading(
        reading_pct=float(row["reading_pct"]),
        wood_temperature_c=float(row["wood_temperature_c"]),
        species=row["species"],
    )
    assert estimate.high_pct is not None
    assert estimate.low_pct <= float(row["corrected_pct"]) <= estimate.high_pct


def test_a_meter_is_trusted_within_its_published_limits_only() -> None:
    limits = {row["quantity"]: float(row["value"]) for row in rows("meter_limits")}
    lower = limits["useful lower limit of resistance meters"]
    upper = limits["useful upper limit of resistance meters"]
    reach = [
        str(corrected_reading(reading_pct=shown, wood_temperature_c=20).reach)
        for shown in (lower - 0.1, lower, upper, upper + 0.1)
    ]
    assert reach == ["below", "within", "within", "above"]
    for with_species, name in ((True, "with species curves"), (False, "in use")):
        estimate = corrected_reading(
            reading_pct=16, wood_temperature_c=20, species="white oak", meter_set_to_species=with_species
        )
        assert estimate.likely_pct - estimate.low_pct == pytest.approx(limits[f"typical uncertainty {name}"])


def test_the_limits_of_the_verdict_are_the_published_ones() -> None:
    facts = {row["quantity"]: float(row["value"]) for row in rows("decay_facts")}
    assert facts["safe upper moisture content against decay"] == SAFE_PCT
    assert facts["fibre saturation point average"] == FIBRE_SATURATION_PCT
    lowest = facts["fibre saturation point range most species low"]
    assert lowest < VAPOUR_TOP_PCT < facts["serious decay needs moisture above"]
    drinks_from = facts["sodium chloride deliquescence relative humidity at 20 C"]
    assert drinks_from - 1 < SALT_DRAWS_FROM_RH_PCT <= drinks_from
