"""The Scheffer index against two recorded places.

Source: NOAA monthly normals and daily records; the index of each was computed apart; no published one was found.
"""

import csv
from pathlib import Path

import pytest

from inspections.timber.climate import decay_zone, scheffer_index

TIMBER = Path(__file__).parent


def rows(name: str) -> list[dict[str, str]]:
    with (TIMBER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("place", rows("scheffer_index"), ids=lambda row: row["station"])
def test_the_index_agrees_with_the_place_in_both_conventions(place: dict[str, str]) -> None:
    months = [row for row in rows("scheffer_monthly") if row["station"] == place["station"]]
    temperatures = [float(row["mean_temperature_c"]) for row in months]
    days = [float(row["days_with_0p01in_or_more"]) for row in months]
    zeroed = scheffer_index(temperatures_c=temperatures, rain_days=days)
    kept = scheffer_index(temperatures_c=temperatures, rain_days=days, negative_months_count=True)
    assert zeroed.index == pytest.approx(float(place["index_metric_negative_terms_zero"]), abs=0.1)
    assert kept.index == pytest.approx(float(place["index_metric_negative_terms_kept"]), abs=0.1)
    assert zeroed.index == pytest.approx(float(place["index_inch_negative_terms_zero"]), abs=3)


def test_the_zones_begin_where_the_published_ones_do() -> None:
    limits = {row["zone"]: row["index_min"] for row in rows("scheffer_zones")}
    assert str(decay_zone(index=float(limits["moderate"]))) == "moderate"
    assert str(decay_zone(index=float(limits["moderate"]) - 0.01)) == "low"
    assert str(decay_zone(index=float(limits["high"]))) == "high"
    assert str(decay_zone(index=float(limits["high"]) - 0.01)) == "moderate"


@pytest.mark.parametrize("form", rows("scheffer_formula"), ids=lambda row: row["form"])
def test_the_index_is_the_published_sum_in_both_units(form: dict[str, str]) -> None:
    """The two forms differ by a third of a degree in their offset, so by at most 3 points over a year."""
    celsius, days = 14.0, 12.0
    warmth = celsius if form["temperature_unit"] == "degC" else celsius * 9 / 5 + 32
    published = (
        12
        * (warmth - float(form["temperature_offset"]))
        * (days - float(form["day_offset"]))
        / float(form["divisor"])
    )
    found = scheffer_index(temperatures_c=[celsius] * 12, rain_days=[days] * 12).index
    assert found == pytest.approx(published, abs=1e-9 if form["form"] == "metric" else 3)
