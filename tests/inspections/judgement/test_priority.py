"""When: by risk, and then by what drives it on and what would be gained."""

from datetime import date
from typing import Any

import pytest

from inspections.judgement.facts import EarlierLook
from inspections.judgement.vocabulary import Condition
from tests.inspections.judgement.builders import a_finding, judged, moisture, stock_signs

C = Condition
STILL = {"size_mm": 60, "earlier": (EarlierLook(date(2026, 4, 1), 60),), "trend": "unchanged"}

SEALED = {"seal": "intact", "water": "rain", "trend": "unchanged"}

PRIORITY: dict[str, tuple[Condition, dict[str, Any], str]] = {
    "serious and loaded": (
        C.JOINT_MOVES,
        {"load": "cyclic", "in_load_path": True, "moves": "yes"},
        "before_launch",
    ),
    "serious and nothing hangs on it": (
        C.JOINT_MOVES,
        {"safety_role": "watertightness", "moves": "yes", "trend": "grown"},
        "this_season",
    ),
    "serious and somebody's safety": (
        C.JOINT_MOVES,
        {"safety_role": "personal_safety", "moves": "yes"},
        "before_launch",
    ),
    "low, water drives it": (C.WATER_WAY_OPEN, {"seal": "open", "water": "rain"}, "this_season"),
    "low, water drives it but it stood still": (
        C.WATER_WAY_OPEN,
        {"seal": "open", "water": "rain", "trend": "unchanged"},
        "next_layup",
    ),
    "low, no water comes": (C.WATER_WAY_OPEN, {"seal": "open"}, "next_layup"),
    "low, no water comes and measured still": (C.WATER_WAY_OPEN, {"seal": "open", **STILL}, "watch"),
    "measured still but rain comes": (C.WATER_WAY_OPEN, {"seal": "open", "water": "rain", **STILL}, "next_layup"),
    "no water comes but it grows": (C.WATER_WAY_OPEN, {"seal": "open", "trend": "grown"}, "this_season"),
    "sealed, unchanged and nobody's safety": (C.METAL_WASTING, SEALED, "watch"),
    "sealed and unchanged, but somebody's safety": (
        C.METAL_WASTING,
        {**SEALED, "safety_role": "anchoring"},
        "next_layup",
    ),
    "sealed and unchanged, but soft": (C.DECAY, SEALED, "next_layup"),
    "whole film in the rain": (C.FINISH_ONLY, {"water": "rain"}, "watch"),
    "film nobody tried in the rain": (C.FINISH_ONLY, {"water": "rain", "seal": ""}, "next_layup"),
    "broken film in the rain": (C.FINISH_ONLY, {"water": "rain", "seal": "film_broken"}, "this_season"),
    "broken film under cover": (C.FINISH_ONLY, {"water": "shielded", "seal": "film_broken"}, "watch"),
}


@pytest.mark.parametrize("case", PRIORITY)
def test_priority(case: str) -> None:
    condition, told, priority = PRIORITY[case]
    judgement = judged(a_finding(condition, **told))
    assert judgement.priority == priority, judgement.trace


LEFT_ALONE: dict[str, tuple[dict[str, Any], bool]] = {
    "a mark": ({}, True),
    "a mark in the rain under a whole film": ({"water": "rain"}, True),
    "a broken film": ({"seal": "film_broken"}, False),
    "a mark that grows": ({"trend": "grown"}, False),
    "a mark on a part that may move": ({"moves": "suspected"}, False),
    "a mark with a wet reading": ({"readings": moisture(27, 27)}, False),
    "a mark where something is at stake": ({"safety_role": "anchoring"}, False),
}


@pytest.mark.parametrize(
    ("told", "left"),
    [
        ({}, True),
        ({"load": "static"}, False),
        ({"water": "rain"}, False),
        ({"safety_role": "watertightness"}, False),
        ({"earlier": ()}, False),
    ],
    ids=["dry, unloaded, measured still", "loaded", "wet", "something at stake", "measured once"],
)
def test_an_old_split_that_nothing_works_on_is_left(told: dict[str, Any], left: bool) -> None:
    judgement = judged(a_finding(signs=(stock_signs()["CRACK_BOTH_SIDES"],), seal="open", **{**STILL, **told}))
    assert (judgement.treatments == ()) is left


def test_a_broken_film_is_left_where_a_deeper_one_would_be() -> None:
    film, seam = (judged(a_finding(C.FINISH_ONLY, **{**STILL, "seal": seal})) for seal in ("film_broken", "open"))
    assert film.treatments == seam.treatments == ()
    sheltered = judged(a_finding(C.FINISH_ONLY, **{**STILL, "seal": "open", "water": "shielded"}))
    assert sheltered.treatments == ("WATCH",)


@pytest.mark.parametrize("case", LEFT_ALONE)
def test_only_a_mark_is_left_alone(case: str) -> None:
    told, left = LEFT_ALONE[case]
    judgement = judged(a_finding(C.FINISH_ONLY, **told))
    assert (judgement.treatments == ()) is left
    assert any("a mark is no defect" in reason for reason in judgement.reasons) is left
    if left:
        assert judgement.due_back_on == date(2028, 3, 31)
        assert (judgement.do_not, judgement.hold) == ((), None)
