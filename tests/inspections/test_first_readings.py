"""The tablet's table and the yard's judgement are one: what the table says of an entry, the yard judges of it once
stored. Where they could differ the table says nothing."""

from __future__ import annotations

import random
from datetime import timedelta
from typing import Any

import pytest
import time_machine

from api.rooms.package_parts import told
from inspections.models import Assessment, Finding, Inspection, Sign
from inspections.selectors.package import package_of
from inspections.services.assessments import rejudge_entries
from tests.conftest import SPRING
from tests.factories import ComponentClassFactory, ComponentFactory
from tests.inspections.first_look_up import looked_up
from tests.inspections.scenes import Scene, scene

pytestmark = pytest.mark.django_db

SIGNS = (
    ("VARN_MATTE", ("finish_only",)),
    ("VARN_LIFT", ("water_way_open", "water_in", "finish_only")),
    ("CRACK_WOOD", ("split_in_load_path", "water_way_open")),
    ("SOFT_PROBE", ("decay", "water_in")),
    ("RUST_BLEED", ("metal_wasting", "water_in")),
    ("GLUE_OPEN", ("joint_moves", "water_way_open")),
    ("CRACK_BOTH_SIDES", ("split_in_load_path",)),
    ("SALT_CRUST", ("water_in", "metal_wasting")),
    ("NOT_SEEN", ("unseen",)),
)
SAMPLES = 320


def laid() -> Scene:
    """A boat with one loaded part in the wet and one that carries nothing, and all kinds of signs."""
    ours = scene(SPRING)
    Sign.objects.of_yard(ours.yard).delete()
    Sign.objects.bulk_create(
        Sign(yard=ours.yard, code=code, name=code.lower(), conditions=list(conditions))
        for code, conditions in SIGNS
    )
    for code, load, water, contact, role in (
        ("CHAINPLATE", ["cyclic", "shock"], ["splash", "rain"], ["metal_to_wood"], "rig"),
        ("TRIM", ["none"], ["interior"], ["wood_to_wood"], "none"),
    ):
        kind = ComponentClassFactory.create(
            yard=ours.yard, code=code, load=load, water=water, contact=contact, safety_role=role
        )
        ComponentFactory.create(boat=ours.boat, component_class=kind, name=code.lower(), species="pine")
    return ours


def an_answer(draw: random.Random, waters: list[str]) -> dict[str, Any]:
    """What somebody may record of a finding; the more seldom a question is asked, the more often it is silent."""
    codes = [code for code, _ in SIGNS[: 6 if draw.random() < 0.7 else None]]
    said: dict[str, Any] = {"signs": draw.sample(codes, k=draw.choice([1, 1, 2, 3]))}
    said["water"] = draw.choice(["", "", "unknown", "immersed", *waters, *waters])
    said["seal"] = draw.choice(["", "intact", "film_broken", "partly", "reopened", "open", "unknown"])
    said["moves"] = draw.choice(["", "no", "suspected", "yes", "unknown"])
    said["sides"] = draw.choice(["", "one", "both", "none"])
    said["readings"] = []
    if draw.random() < 0.5:
        said["in_load_path"] = draw.choice([None, True, False])
        said["trend"] = draw.choice(["", "new", "unchanged", "grown", "reopened", "unknown"])
    else:
        here = draw.choice(["9.0", "14.5", "17.0", "19.9", "20.0", "24.0", "28.0", "35.0"])
        wood_c = draw.choice([None, 4, 12, 20])
        said["readings"].append(
            {"quantity": "moisture", "value": here, "unit": "pct", "wood_temperature_c": wood_c}
        )
        if draw.random() < 0.5:
            beside = f"{max(float(here) - draw.choice([0, 2, 3, 4, 9]), 0):.1f}"
            said["readings"].append({"quantity": "moisture_beside", "value": beside, "unit": "pct"})
    return said


def test_what_the_table_says_the_yard_judges_of_the_same_entry(db: None) -> None:
    ours = laid()
    held = Inspection.objects.select_related("yard", "boat").get(pk=ours.inspection.pk)
    table = told(package_of(held, SPRING))["first_reading"]
    draw = random.Random(7)
    parts = [*(str(part.pk) for part in ours.boat.components.exclude(pk=ours.component.pk)), "elsewhere"]
    waters = {str(part.pk): part.component_class.water for part in ours.boat.components.all()}
    looks = [SPRING - timedelta(days=3), SPRING, SPRING + timedelta(days=8)]
    sheets, expected = [], {}
    for _ in range(SAMPLES):
        part, at = draw.choice(parts), draw.choice(looks)
        said = an_answer(draw, waters.get(part, []))
        sheet = {"id": ours.new_id(), "answer": "finding", "observed_at": at.isoformat(), **said}
        sheet |= (
            {"elsewhere": "in the bilge"}
            if part == "elsewhere"
            else {
                "component": int(part),
                "spot": {"id": ours.new_id(), "name": "here"},
            }
        )
        sheets.append(sheet)
        expected[sheet["id"]] = looked_up(table, part, sheet)
    now = SPRING + timedelta(days=9)
    with time_machine.travel(now):
        for start in range(0, len(sheets), 80):
            assert {result.outcome for result in ours.submit(*sheets[start : start + 80], at=now)} == {"stored"}
        rejudge_entries(yard=ours.yard, entry_ids=[finding.entry_id for finding in Finding.objects.all()], at=now)
    judged = dict(Assessment.objects.values_list("entry_id", "priority"))
    assert len(judged) == SAMPLES
    wrong = [
        (sheet, value["priority"], judged[entry_id])
        for entry_id, value, sheet in (
            (
                finding.entry_id,
                expected[str(finding.entry_id)],
                next(s for s in sheets if s["id"] == str(finding.pk)),
            )
            for finding in Finding.objects.all()
        )
        if value is not None and value["priority"] != judged[entry_id]
    ]
    assert wrong == []
    answered = [value for value in expected.values() if value is not None]
    assert len(answered) > SAMPLES / 3
    assert {value["priority"] for value in answered} == {"before_launch", "this_season", "next_layup", "watch"}
    assert (table["from"], table["until"], table["rules"]) == ("2027-03-29", "2027-04-11", "2")
    later = told(package_of(held, SPRING + timedelta(days=3)))["first_reading"]
    assert later == table, "the same all week, so that the package is not sent anew"
    _says_how_to_make_sure(table, str(ours.boat.components.get(name="chainplate").pk))


def _says_how_to_make_sure(table: dict[str, Any], part: str) -> None:
    crack = {"signs": ["CRACK_WOOD"], "in_load_path": True, "readings": [], "observed_at": SPRING.isoformat()}
    value = looked_up(table, part, crack)
    assert value is not None
    assert value["words"]["one"] == "likely before launch: confirm from the other side"
    assert value["words"]["both"] == "likely before launch"
    assert looked_up(table, part, {**crack, "load": "shock"}) is None
    assert looked_up(table, part, {**crack, "signs": ["NOT_SEEN"]}) is None
    assert looked_up(table, part, {**crack, "signs": ["CRACK_BOTH_SIDES", "SOFT_PROBE"]}) is None
