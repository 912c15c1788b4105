"""Which classes of the catalogue a boat of a build is offered first."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import pytest

from yard.models import Build
from yard.stock_parts import GROUPS, SKINS, WOODEN_BUILDS, stock_list

CATALOGUE = json.loads(Path("fixtures/catalogue/component_classes.json").read_text())["items"]


@dataclass(frozen=True)
class Part:
    code: str
    fits: list[str]
    group: str = "hull"


STOCK = [Part(item["code"], item["fits"], item["group"]) for item in CATALOGUE]


def usual(build: str) -> set[str]:
    return {part.code for part in stock_list(STOCK, build)[0]}


@pytest.mark.parametrize("build", Build.values)
def test_every_class_is_offered_once_and_a_hull_has_one_skin_at_most(build: str) -> None:
    first, others = stock_list(STOCK, build)
    assert sorted(part.code for part in (*first, *others)) == sorted(part.code for part in STOCK)
    assert len(usual(build) & set(SKINS)) == (1 if build in WOODEN_BUILDS else 0)


def test_a_hull_of_another_material_has_no_planks_and_still_a_rig() -> None:
    assert {"RUDDER", "MAST_STEP", "HATCH"} <= usual("glassfibre")
    assert not {"FRAME", "STEM", "KEEL_BOLTS", "PLK_CARVEL"} & usual("glassfibre")
    assert {"FRAME", "STEM", "KEEL_BOLTS", "PLK_CARVEL"} <= usual("carvel")


def test_a_class_of_the_yards_own_is_known_by_what_it_fits() -> None:
    own = Part("OUR_DAGGERBOARD", ["wooden_hull"])
    assert stock_list([own], "clinker") == ([own], [])
    assert stock_list([own], "metal") == ([], [own])
    assert stock_list([Part("NOWHERE", [])], "clinker")[0] == []


def test_groups_follow_the_way_over_the_boat_and_the_yards_own_come_last() -> None:
    assert {item["group"] for item in CATALOGUE} == set(GROUPS)
    own = Part("OUR_SAUNA", ["any_hull"], "comfort")
    groups = [part.group for part in stock_list([own, *reversed(STOCK)], "carvel")[0]]
    assert groups == sorted(groups, key=[*GROUPS, "comfort"].index)


def test_builds_of_wood_are_builds() -> None:
    assert set(Build.values) - {"glassfibre", "metal"} == WOODEN_BUILDS
