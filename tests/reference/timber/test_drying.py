"""Drying against Crank's tabled series and against the diffusion equation solved numerically.

Sources: Crank, The Mathematics of Diffusion, 1975, plane sheet, summed apart with 4000 terms (`diffusion_*.csv`);
the diffusion equation itself, by the method of lines: the sheet is cut into cells, whose exchange is integrated
with a stiff solver of a general scientific library. Nothing of the series is in that.
"""

import csv
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from inspections.timber.climate import MonthClimate
from inspections.timber.diffusion import Spell, diffusion_coefficient, sheet_in_weather
from inspections.timber.drying import drying_time, fraction_lost, sealing_dates
from inspections.timber.moisture import equilibrium_moisture_content_pct
from inspections.timber.plane_sheet import middle_fraction_remaining, time_to_fraction
from inspections.timber.species import DiffusionGroup

TIMBER = Path(__file__).parent
CELLS = 120
SECONDS_PER_DAY = 86_400


def rows(name: str) -> list[dict[str, str]]:
    with (TIMBER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def sheet_after(
    moisture_pct: np.ndarray, *, coefficient: float, thickness_m: float, air_pct: Sequence[float], days: float
) -> np.ndarray:
    """The cells of a sheet after some days; `air_pct` is the air at its open faces: one of them, or both."""
    step = thickness_m / CELLS

    def change(_: float, cells: np.ndarray) -> np.ndarray:
        flow = np.zeros(CELLS + 1)
        flow[1:-1] = coefficient * np.diff(cells) / step
        flow[0] = coefficient * (cells[0] - air_pct[0]) / (step / 2)
        if len(air_pct) == 2:
            flow[-1] = coefficient * (air_pct[1] - cells[-1]) / (step / 2)
        return np.diff(flow) / step

    tied = np.eye(CELLS) + np.eye(CELLS, k=1) + np.eye(CELLS, k=-1)
    solved = solve_ivp(
        change, (0, days * SECONDS_PER_DAY), moisture_pct, method="BDF", rtol=1e-7, atol=1e-9, jac_sparsity=tied
    )
    assert solved.success
    return np.asarray(solved.y[:, -1])


@pytest.mark.parametrize(
    "row", rows("diffusion_plane_sheet"), ids=lambda row: row["dt_over_full_thickness_squared"]
)
def test_the_series_agree_with_the_table(row: dict[str, str]) -> None:
    x = float(row["dt_over_full_thickness_squared"])
    lost = fraction_lost(dt_over_thickness_squared=x)
    middle = middle_fraction_remaining(dt_over_thickness_squared=x)
    assert lost == pytest.approx(float(row["fraction_total_uptake_or_loss"]), abs=1e-5)
    assert middle == pytest.approx(float(row["mid_plane_fraction_remaining"]), abs=1e-5)


@pytest.mark.parametrize("row", rows("diffusion_fraction_times"), ids=lambda row: row["fraction"])
def test_times_to_a_fraction_agree_with_the_table(row: dict[str, str]) -> None:
    found = time_to_fraction(fraction=float(row["fraction"]))
    assert found == pytest.approx(float(row["dt_over_full_thickness_squared"]), abs=1e-5)


@pytest.mark.parametrize("faces", [2, 1])
def test_fraction_and_middle_agree_with_the_equation_solved_numerically(faces: int) -> None:
    coefficient, thickness_m = 1e-10, 0.025
    wet = np.full(CELLS, 24.0)
    for days in (1, 5, 20, 60):
        cells = sheet_after(
            wet, coefficient=coefficient, thickness_m=thickness_m, air_pct=[12.0] * faces, days=days
        )
        path_m = thickness_m if faces == 2 else 2 * thickness_m
        x = coefficient * days * SECONDS_PER_DAY / path_m**2
        middle = cells[CELLS // 2 - 1 : CELLS // 2 + 1].mean() if faces == 2 else cells[-1]
        assert fraction_lost(dt_over_thickness_squared=x) == pytest.approx((24 - cells.mean()) / 12, abs=5e-4)
        assert middle_fraction_remaining(dt_over_thickness_squared=x) == pytest.approx((middle - 12) / 12, abs=1e-3)


@pytest.mark.parametrize(
    "row", rows("diffusion_days"), ids=lambda row: f"{row['thickness_mm']}-{row['coefficient_m2_per_s']}"
)
def test_days_to_half_and_nine_tenths_agree_with_the_table(row: dict[str, str]) -> None:
    """At 20 °C the softwood spread is the table's three coefficients."""
    spread = diffusion_coefficient(group=DiffusionGroup.SOFTWOOD, temperature_c=20)
    pace = {
        spread.high_m2_per_s: "earliest_days",
        spread.likely_m2_per_s: "likely_days",
        spread.low_m2_per_s: "cautious_days",
    }[float(row["coefficient_m2_per_s"])]
    for target, part in ((15.0, "half"), (11.0, "90pct")):
        for faces, words in ((2, "two_faces"), (1, "one_face")):
            found = drying_time(
                start_pct=20,
                target_pct=target,
                thickness_mm=float(row["thickness_mm"]),
                faces_open=faces,
                equilibrium_pct=10,
                temperature_c=20,
                species="Sitka spruce",
            )
            assert getattr(found, pace) == pytest.approx(float(row[f"days_to_{part}_{words}"]), rel=0.01, abs=0.06)


def test_the_spread_at_20_c_lies_within_the_published_orders_of_magnitude() -> None:
    ranges = {row["material"]: row for row in rows("diffusion_coefficients")}
    ratios = {row["quantity"]: (float(row["low"]), float(row["high"])) for row in rows("diffusion_ratios")}
    softwood = diffusion_coefficient(group=DiffusionGroup.SOFTWOOD, temperature_c=20)
    hardwood = diffusion_coefficient(group=DiffusionGroup.HARDWOOD, temperature_c=20)
    for found, name in ((softwood, "softwood working range"), (hardwood, "hardwood working range")):
        assert found.likely_m2_per_s == float(ranges[name]["coefficient_m2_per_s"])
        assert found.low_m2_per_s >= float(ranges[name]["low_m2_per_s"])
        assert found.high_m2_per_s <= float(ranges[name]["high_m2_per_s"])
    low, high = ratios["spruce over beech coefficient"]
    assert low <= softwood.likely_m2_per_s / hardwood.likely_m2_per_s <= high


def test_a_year_of_changing_air_agrees_with_the_equation_solved_numerically() -> None:
    """Twelve months, each with its own air and its own speed, against the cells of a sheet taken through them."""
    thickness_m, start = 0.032, 26.0
    air = [19.0, 18.0, 16.5, 15.0, 14.0, 13.5, 13.0, 13.5, 15.0, 17.0, 18.5, 19.5]
    speed = [0.4e-11 * (1 + month) for month in (0, 1, 3, 5, 7, 9, 10, 9, 7, 4, 2, 1)]
    cells = np.full(CELLS, start)
    means, middles = [], []
    for level, coefficient in zip(air, speed, strict=True):
        cells = sheet_after(cells, coefficient=coefficient, thickness_m=thickness_m, air_pct=[level] * 2, days=30)
        means.append(cells.mean())
        middles.append(cells[CELLS // 2 - 1 : CELLS // 2 + 1].mean())
    spells = [
        Spell(30, level, coefficient * SECONDS_PER_DAY / thickness_m**2)
        for level, coefficient in zip(air, speed, strict=True)
    ]
    for month in (2, 4, 6):
        # A hair above the mean that the numerical solution has at the month's end, which is the lowest so far.
        assert means[month] == min(means[: month + 1])
        reached = sheet_in_weather(start_pct=start, target_pct=means[month] + 0.01, spells=spells)
        assert reached is not None
        assert abs(reached.days - 30 * (month + 1)) <= 1
        assert reached.middle_pct == pytest.approx(middles[month], abs=0.1)


def test_sealing_dates_agree_with_the_equation_solved_through_the_yards_months() -> None:
    normals = [
        MonthClimate(month, temperature_c, humidity)
        for month, temperature_c, humidity in zip(
            range(1, 13),
            (1, 2, 5, 9, 13, 16, 18, 18, 14, 10, 5, 2),
            (85, 82, 75, 68, 65, 66, 68, 70, 76, 80, 84, 86),
            strict=True,
        )
    ]
    found = sealing_dates(
        start_on=date(2027, 3, 11),
        start_pct=24,
        target_pct=15,
        thickness_mm=30,
        faces_open=1,
        months=normals,
        species="spruce",
    )
    assert found.likely_on is not None
    cells, day, means = np.full(CELLS, 24.0), date(2027, 3, 11), [24.0]
    while day <= found.likely_on:
        month = normals[day.month - 1]
        cells = sheet_after(
            cells,
            coefficient=diffusion_coefficient(
                group=DiffusionGroup.SOFTWOOD, temperature_c=month.temperature_c
            ).likely_m2_per_s,
            thickness_m=0.03,
            air_pct=[
                equilibrium_moisture_content_pct(
                    temperature_c=month.temperature_c, relative_humidity_pct=month.relative_humidity_pct
                )
            ],
            days=1,
        )
        day += timedelta(days=1)
        means.append(float(cells.mean()))
    crossed = next(days for days, mean in enumerate(means) if mean <= 15.0)
    assert abs((found.likely_on - date(2027, 3, 11)).days - crossed) <= 1
    assert found.middle_pct == pytest.approx(float(cells[-1]), abs=0.15)
