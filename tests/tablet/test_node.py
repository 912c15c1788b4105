"""The tablet's modules are tested where they run: by node's own runner."""

from __future__ import annotations

import gzip
import json
import random
import shutil
import subprocess
from pathlib import Path

from yard.tag_codes import ALPHABET, tag_new

HERE = Path(__file__).parent
PAGE = HERE.parents[1] / "web/static/web/tablet"
LARGEST_COMPRESSED_BYTES = 150_000


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


def test_script_words_and_style_are_small_enough_for_a_harbour_network() -> None:
    files = [path for path in PAGE.rglob("*") if path.suffix in {".js", ".json", ".css"}]
    assert sum(len(gzip.compress(path.read_bytes())) for path in files) < LARGEST_COMPRESSED_BYTES
