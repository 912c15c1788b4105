"""Screws against published equations, computed rows and one published example.

Sources: fastener_withdrawal_checks.csv, computed from the inch forms of Wood Handbook (FPL-GTR-190, 2010) ch. 8 and
one published example of 1262 lbf, to 0.5 %; fastener_equations.csv, the same equations, to 0.2 %;
fastener_lead_holes.csv, Wood Handbook ch. 8 and National Design Specification, percentages from memory, so they are
bounds; screw_gauge_diameters.csv, 0.060 in + 0.013 in per number, from memory, to 0.01 mm.
"""

import csv
from pathlib import Path

import pytest

from inspections.timber.fastening import (
    END_OVER_SIDE_GRAIN,
    ROOT_OVER_SHANK,
    Fastener,
    WoodType,
    lag_screw_withdrawal_n,
    lead_hole,
    screw_gauge_diameter_mm,
    wood_screw_withdrawal_n,
)
from inspections.timber.fittings import SPECIFICATION_FACTOR

HERE = Path(__file__).parent
N_PER_LBF = 4.4482216152605


def _rows(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader((HERE / name).read_text(encoding="utf-8").splitlines()))


PULLED = {"wood screw": wood_screw_withdrawal_n, "lag screw": lag_screw_withdrawal_n}
WITHDRAWALS = [row for row in _rows("fastener_withdrawal_checks.csv") if row["fastener"] in PULLED]
EQUATIONS = {row["fastener"].removesuffix(" side grain"): row for row in _rows("fastener_equations.csv")}
FACTORS = {row["quantity"]: float(row["value_low"]) for row in _rows("fastener_factors.csv")}
LEAD_HOLES = _rows("fastener_lead_holes.csv")


@pytest.mark.parametrize("row", WITHDRAWALS, ids=lambda row: row["case"])
def test_a_screw_draws_at_the_published_load(row: dict[str, str]) -> None:
    pulled = PULLED[row["fastener"]](
        specific_gravity=float(row["specific_gravity_12pct"]),
        diameter_mm=float(row["diameter_mm"]),
        penetration_mm=float(row["thread_or_shank_penetration_mm"]),
    )
    assert pulled == pytest.approx(float(row["ultimate_withdrawal_n"]), rel=0.005)
    assert pulled / N_PER_LBF == pytest.approx(float(row["ultimate_withdrawal_lbf"]), rel=0.005)


def test_there_are_wood_screws_and_lag_screws_among_the_rows() -> None:
    assert sorted(row["fastener"] for row in WITHDRAWALS) == ["lag screw"] * 2 + ["wood screw"] * 16


@pytest.mark.parametrize("name", PULLED)
def test_the_metric_form_is_the_inch_form(name: str) -> None:
    row = EQUATIONS[name]
    gravity, diameter_in, length_in = 0.55, 0.25, 1.5
    pounds = (
        float(row["coefficient_inch_lbf"])
        * gravity ** float(row["exponent_specific_gravity"])
        * diameter_in ** float(row["exponent_diameter"])
        * length_in ** float(row["exponent_length"])
    )
    newtons = PULLED[name](
        specific_gravity=gravity, diameter_mm=25.4 * diameter_in, penetration_mm=25.4 * length_in
    )
    assert newtons == pytest.approx(pounds * N_PER_LBF, rel=0.002)


def test_the_factors_are_those_of_the_table() -> None:
    assert FACTORS["wood screw root diameter over shank diameter"] == ROOT_OVER_SHANK
    assert FACTORS["wood screw end grain over side grain withdrawal (average)"] == END_OVER_SIDE_GRAIN
    assert FACTORS["lag screw end grain over side grain withdrawal"] == END_OVER_SIDE_GRAIN
    computed = FACTORS["ultimate over allowable coefficient (15700 over 2850)"]
    assert pytest.approx(computed, abs=0.01) == SPECIFICATION_FACTOR


@pytest.mark.parametrize("row", _rows("screw_gauge_diameters.csv"), ids=lambda row: row["gauge_number"])
def test_a_gauge_number_has_its_diameter(row: dict[str, str]) -> None:
    diameter = screw_gauge_diameter_mm(gauge_number=int(row["gauge_number"]))
    assert diameter == pytest.approx(float(row["shank_diameter_mm"]), abs=0.01)


@pytest.mark.parametrize("row", LEAD_HOLES, ids=lambda row: f"{row['fastener']}, {row['part']}, {row['wood']}")
def test_the_lead_hole_takes_in_every_bound_of_the_table(row: dict[str, str]) -> None:
    lag = row["fastener"] == "lag screw"
    light, dense = float(row["specific_gravity_min"] or 0.3), float(row["specific_gravity_max"] or 0.9)
    kinds = [WoodType(row["wood"])] if row["wood"] in set(WoodType) else list(WoodType)
    for wood_type in kinds:
        hole = lead_hole(
            fastener=Fastener.LAG_SCREW if lag else Fastener.WOOD_SCREW,
            diameter_mm=10,
            specific_gravity=(light + dense) / 2,
            wood_type=wood_type,
        )
        if row["part"] == "shank":
            assert hole.shank_hole_mm == 10
            continue
        reference_mm = 10 if row["reference_diameter"] == "shank" else 10 * ROOT_OVER_SHANK
        assert hole.thread_hole_min_mm <= float(row["lead_hole_min_pct"]) / 100 * reference_mm + 1e-9
        assert hole.thread_hole_max_mm >= float(row["lead_hole_max_pct"]) / 100 * reference_mm - 1e-9
        if lag:
            assert hole.thread_hole_min_mm == pytest.approx(float(row["lead_hole_min_pct"]) / 10)
            assert hole.thread_hole_max_mm == pytest.approx(float(row["lead_hole_max_pct"]) / 10)
