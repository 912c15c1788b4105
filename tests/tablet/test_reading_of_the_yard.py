"""What the tablet's page looks up in a boat's package is what a plain reading of the contract finds there.

That such a reading is what the yard judges is held in tests/inspections/test_first_readings.py.
"""

from __future__ import annotations

import json
import random
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from api.rooms.package_parts import told
from inspections.models import Inspection
from inspections.selectors.package import package_of
from tests.conftest import SPRING
from tests.inspections.first_look_up import looked_up
from tests.inspections.test_first_readings import an_answer, laid

HERE = Path(__file__).parent
SAMPLES = 2000

pytestmark = pytest.mark.django_db


def as_the_page_asks(component: str, answer: dict[str, Any]) -> dict[str, Any]:
    read = {row["quantity"]: row for row in answer["readings"]}
    warm = read.get("moisture", {}).get("wood_temperature_c")
    return {
        **{name: answer.get(name, "") for name in ("water", "seal", "moves", "sides", "trend")},
        "component": None if component == "elsewhere" else int(component),
        "signs": answer["signs"],
        "in_load_path": answer.get("in_load_path"),
        "moisture": read.get("moisture", {}).get("value", ""),
        "moistureBeside": read.get("moisture_beside", {}).get("value", ""),
        "woodTemperature": "" if warm is None else str(warm),
        "day": SPRING.date().isoformat(),
    }


def test_the_page_reads_the_table_as_the_contract_says() -> None:
    ours = laid()
    held = Inspection.objects.select_related("yard", "boat").get(pk=ours.inspection.pk)
    table = json.loads(json.dumps(told(package_of(held, SPRING))["first_reading"]))
    draw = random.Random(11)
    waters = {str(part.pk): part.component_class.water for part in ours.boat.components.all()} | {"elsewhere": []}
    asked, expected = [], []
    for _ in range(SAMPLES):
        part = draw.choice(list(waters))
        answer = {**an_answer(draw, waters[part]), "observed_at": SPRING.isoformat()}
        value = looked_up(table, part, answer)
        asked.append(as_the_page_asks(part, answer))
        expected.append(value and [value["priority"], value["words"][answer["sides"]]])
    node = shutil.which("node") or shutil.which("nodejs")
    assert node, "node is not installed; please install: nodejs (18 or newer)"
    found = subprocess.run(
        [node, str(HERE / "look_up.js")],
        input=json.dumps({"table": table, "asked": asked}),
        cwd=HERE.parents[1],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    assert json.loads(found.stdout) == expected
    assert sum(one is not None for one in expected) > SAMPLES / 4
