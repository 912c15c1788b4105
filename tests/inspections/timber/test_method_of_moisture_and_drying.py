"""The worked examples of the method's page: the page must hold each figure, and the code must find it."""

import re
from datetime import date
from typing import Any

import pytest

from inspections.timber import species
from inspections.timber.climate import MonthClimate, scheffer_index
from inspections.timber.drying import ShedAir, sealing_dates
from inspections.timber.moisture import (
    WEATHER_SLACK_POINTS,
    contrast,
    equilibrium_moisture_content_pct,
    reading_against_climate,
)

PAGE = species.TABLE.with_name("METHOD.md").read_text(encoding="utf-8")


def example(heading: str) -> str:
    """The worked example under a heading, its lines joined by one space where they are prose."""
    section = PAGE.split(f"## {heading}\n", 1)[1].split("\n## ", 1)[0]
    return section.split("**A worked example.**", 1)[1].split("**What is uncertain.**", 1)[0]


def prose(heading: str) -> str:
    return " ".join(example(heading).split())


def table_row(heading: str, name: str) -> list[float]:
    found = re.search(rf"^\| {re.escape(name)} \|(.*)\|$", example(heading), re.MULTILINE)
    assert found is not None, name
    return [float(cell) for cell in found.group(1).split("|")]


def yard_on_the_page() -> list[MonthClimate]:
    rows = zip(
        map(int, table_row("Drying", "month")),
        table_row("Drying", "°C"),
        table_row("Drying", "% humidity"),
        table_row("Drying", "rain days"),
        strict=True,
    )
    return [MonthClimate(*row) for row in rows]


def test_the_durability_of_the_woods_on_the_page() -> None:
    text = prose("Woods")
    for said, wood, expected in (
        ("Teak is class 1", "teak", 1),
        ('"oak" class 3', "oak", 3),
        ('"oak and mahogany" class 3', "oak and mahogany", 3),
        ('"mahogany and spruce" class 5', "mahogany and spruce", 5),
        ("red oak class 4", "red oak", 4),
        ('"Plywood" has no class', "Plywood", None),
    ):
        assert said in text
        assert species.durability_class(species=wood) == expected


def test_the_reading_on_the_page() -> None:
    text = prose("Moisture")
    air: dict[str, Any] = {"air_temperature_c": 8, "relative_humidity_pct": 75}
    found = reading_against_climate(reading_pct=24, wood_temperature_c=8, species="mahogany", **air)
    assert found.moisture.high_pct is not None
    for figure in (
        f"an April of 8 °C and 75 % the air brings wood to {found.equilibrium_pct:.1f} %",
        f"makes {found.moisture.likely_pct:.1f} % of the 24 %",
        f"between {found.moisture.low_pct:.1f} and {found.moisture.high_pct:.1f} %",
        f"explains up to {found.equilibrium_pct + WEATHER_SLACK_POINTS:.1f} %",
    ):
        assert figure in text
    assert "wet for a reason, and surely" in text
    assert (str(found.verdict), found.sure) == ("wet_for_a_reason", True)
    beside = contrast(spot_pct=24, beside_pct=16)
    assert f"The spot is {beside.likely_points:g} points wetter" in text
    assert str(beside.verdict) == "clear"


def test_the_coaming_on_the_page() -> None:
    text = prose("Drying")
    assert (
        "mahogany coaming, 20 mm thick and open on one face, has 24 % on 1 April 2027 and shall have 15 %" in text
    )
    coaming: dict[str, Any] = {
        "start_on": date(2027, 4, 1),
        "start_pct": 24,
        "target_pct": 15,
        "thickness_mm": 20,
        "faces_open": 1,
        "species": "mahogany",
    }
    outside = sealing_dates(**coaming, months=yard_on_the_page())
    inside = sealing_dates(**coaming, shed=ShedAir(20, 50))
    salty = sealing_dates(**coaming, shed=ShedAir(20, 50), salt_recorded=True)
    assert (
        f"sealed from {outside.earliest_on} at the earliest, likely from {outside.likely_on}, "
        f"with caution from {outside.cautious_on}" in text
    )
    assert f"20 °C and 50 % from {inside.earliest_on}, {inside.likely_on} or {inside.cautious_on}" in text
    assert f"with salt left in it the last becomes {salty.cautious_on}" in text
    assert f"the closed face still holds {inside.middle_pct:.1f} %" in text


def test_the_air_of_the_page_never_brings_wood_to_13_pct() -> None:
    """So that the example's target is one that the yard can reach, and a drier one would not be."""
    levels = [
        equilibrium_moisture_content_pct(
            temperature_c=month.temperature_c, relative_humidity_pct=month.relative_humidity_pct
        )
        for month in yard_on_the_page()
    ]
    assert 13 < min(levels) < 15


def test_the_index_of_the_yard_on_the_page() -> None:
    months = yard_on_the_page()
    found = scheffer_index(
        temperatures_c=[month.temperature_c for month in months],
        rain_days=[month.rain_days for month in months if month.rain_days is not None],
    )
    assert f"index of {found.index:.1f}: {found.zone}" in prose("Climate")


@pytest.mark.parametrize("heading", ["Woods", "Moisture", "Drying", "Climate"])
def test_each_section_promises_explains_works_out_and_doubts(heading: str) -> None:
    section = PAGE.split(f"## {heading}\n", 1)[1].split("\n## ", 1)[0]
    places = [
        section.index(words)
        for words in (
            "**What you are promised.**",
            "**The steps.**",
            "**A worked example.**",
            "**What is uncertain.**",
        )
    ]
    assert places == sorted(places)
