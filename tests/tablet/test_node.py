"""The tablet's modules are tested where they run: by node's own runner."""

from __future__ import annotations

import json
import random
import shutil
import subprocess
from pathlib import Path

from yard.tag_codes import ALPHABET, tag_new

HERE = Path(__file__).parent


def test_the_modules_hold_by_themselves() -> None:
    node = shutil.which("node") or shutil.which("nodejs")
    assert node, "node is not installed; please install: nodejs (18 or newer)"
    files = sorted(str(path) for path in HERE.glob("*.test.js"))
    assert files
    told = subprocess.run(
        [node, "--test", *files], cwd=HERE.parents[1], capture_output=True, text=True, timeout=120, check=False
    )
    assert told.returncode == 0, told.stdout + told.stderr


def test_the_tags_it_is_held_against_are_the_yards() -> None:
    tags = json.loads((HERE / "tags.json").read_text())
    assert tags["alphabet"] == ALPHABET
    assert tags["tags"] == [tag_new(random.Random(seed)) for seed in range(40)]
