"""From signs to conditions: what speaks for and against, and what holds in doubt."""

from typing import Any

import pytest

from inspections.judgement.vocabulary import Condition
from tests.inspections.judgement.builders import (
    a_component,
    a_finding,
    a_sign,
    holding,
    judged,
    moisture,
    one_condition,
    stock_signs,
)

C = Condition

# the first meaning of a sign holds unless something speaks against it and nothing for it
FIRST_MEANING: dict[str, tuple[Condition, dict[str, Any], bool]] = {
    "way in, seal open": (C.WATER_WAY_OPEN, {"seal": "open"}, True),
    "way in, seal untried": (C.WATER_WAY_OPEN, {"seal": ""}, True),
    "way in, seal whole": (C.WATER_WAY_OPEN, {"seal": "intact"}, False),
    "water in, no reading": (C.WATER_IN, {}, True),
    "water in, wetter than beside": (C.WATER_IN, {"readings": moisture(19, 15)}, True),
    "water in, same as beside": (C.WATER_IN, {"readings": moisture(27, 27)}, False),
    "water in, between the two": (C.WATER_IN, {"readings": moisture(18, 15)}, True),
    "water in, wet and nothing beside": (C.WATER_IN, {"readings": moisture(20)}, True),
    "water in, dry and nothing beside": (C.WATER_IN, {"readings": moisture(19.9)}, False),
    "water in, same as beside but grown": (C.WATER_IN, {"readings": moisture(27, 27), "trend": "grown"}, True),
    "decay, dry": (C.DECAY, {"readings": moisture(14)}, False),
    "decay, soaking though same as beside": (C.DECAY, {"readings": moisture(30, 30)}, True),
    "joint, does not move": (C.JOINT_MOVES, {"moves": "no"}, False),
    "joint, may move": (C.JOINT_MOVES, {"moves": "suspected"}, True),
    "joint, nobody tried": (C.JOINT_MOVES, {"moves": ""}, True),
    "split, load runs past": (C.SPLIT_IN_LOAD_PATH, {"load": "cyclic", "in_load_path": False}, False),
    "split, nothing loads it": (C.SPLIT_IN_LOAD_PATH, {"load": "none", "in_load_path": None}, False),
    "split, loaded and path unknown": (C.SPLIT_IN_LOAD_PATH, {"load": "static", "in_load_path": None}, True),
    "metal, new": (C.METAL_WASTING, {}, True),
    "metal, dry and unchanged": (C.METAL_WASTING, {"trend": "unchanged"}, False),
    "metal, wet and unchanged": (C.METAL_WASTING, {"trend": "unchanged", "water": "rain"}, True),
}


@pytest.mark.parametrize("case", FIRST_MEANING)
def test_the_first_meaning_of_a_sign(case: str) -> None:
    condition, told, holds = FIRST_MEANING[case]
    assert (condition in holding(judged(a_finding(condition, **told)))) is holds


# a further meaning holds only where something speaks for it
FURTHER_MEANING: dict[str, tuple[Condition, dict[str, Any], bool]] = {
    "way in, film broken where rain comes": (C.WATER_WAY_OPEN, {"seal": "film_broken", "water": "rain"}, True),
    "way in, film broken under cover": (C.WATER_WAY_OPEN, {"seal": "film_broken", "water": "shielded"}, False),
    "way in, untried where rain comes": (C.WATER_WAY_OPEN, {"seal": "", "water": "rain"}, True),
    "way in, untried under cover": (C.WATER_WAY_OPEN, {"seal": "", "water": "shielded"}, False),
    "water in, no reading": (C.WATER_IN, {}, False),
    "water in, wetter than beside": (C.WATER_IN, {"readings": moisture(19, 15)}, True),
    "joint, untried under a load that comes and goes": (C.JOINT_MOVES, {"moves": "", "load": "cyclic"}, True),
    "joint, untried under a steady load": (C.JOINT_MOVES, {"moves": "", "load": "static"}, False),
    "metal, in wet wood": (C.METAL_WASTING, {"readings": moisture(22, 15)}, True),
    "decay, nothing known": (C.DECAY, {}, False),
}


@pytest.mark.parametrize("case", FURTHER_MEANING)
def test_a_further_meaning_of_a_sign(case: str) -> None:
    condition, told, holds = FURTHER_MEANING[case]
    assert (condition in holding(judged(a_finding(C.FINISH_ONLY, condition, **told)))) is holds


def test_metal_in_wet_wood_needs_metal_in_the_wood() -> None:
    wood_only = a_component(contact=frozenset({"wood_to_wood"}))
    finding = a_finding(C.WATER_IN, C.METAL_WASTING, readings=moisture(22, 15))
    assert C.METAL_WASTING in holding(judged(finding))
    assert C.METAL_WASTING not in holding(judged(finding, wood_only))


@pytest.mark.parametrize(
    ("told", "condition"),
    [
        ({"seal": "open", "water": "rain"}, C.WATER_WAY_OPEN),
        ({"seal": "film_broken", "water": "splash"}, C.WATER_WAY_OPEN),
        ({"moves": "yes"}, C.JOINT_MOVES),
        ({"unseen_months": 25}, C.UNSEEN),
    ],
    ids=["open seal in the rain", "broken film in the spray", "moves", "hidden face past its interval"],
)
def test_some_conditions_follow_whatever_sign_was_named(told: dict[str, Any], condition: Condition) -> None:
    assert condition in holding(judged(a_finding(C.FINISH_ONLY, **told)))
    assert condition not in holding(judged(a_finding(C.FINISH_ONLY)))


def test_where_all_is_refuted_a_mark_is_left_and_what_was_set_aside_is_told() -> None:
    judgement = judged(a_finding(C.SPLIT_IN_LOAD_PATH, C.WATER_WAY_OPEN))
    assert holding(judgement) == {C.FINISH_ONLY}
    assert one_condition(judgement, C.SPLIT_IN_LOAD_PATH).evidence_against == ("no_load", "past_the_load_path")
    assert any("set aside: split where the load runs" in reason for reason in judgement.reasons)


def test_soft_wood_is_decay_however_dry_the_meter_says_it_is_and_that_is_told() -> None:
    soft = a_finding(signs=(stock_signs()["SOFT_PROBE"],), readings=moisture(14, 14))
    judgement = judged(soft)
    assert judgement.condition is C.DECAY
    assert judgement.confirm
    assert any("contradicts itself" in reason for reason in judgement.reasons)


def test_two_signs_that_can_not_both_be_right_call_for_another_look() -> None:
    signs = stock_signs()
    film = a_finding(signs=(signs["VARN_CRACK_ONLY"],), load="static", in_load_path=True)
    both = a_finding(signs=(signs["VARN_CRACK_ONLY"], signs["CRACK_BOTH_SIDES"]), load="static", in_load_path=True)
    assert not judged(film).confirm
    assert judged(both).confirm
    assert judged(both).condition is C.SPLIT_IN_LOAD_PATH


def test_a_sign_of_the_yard_s_own_is_judged_like_any_other() -> None:
    own = a_sign(C.DECAY, C.WATER_IN, code="SMELLS_SWEET", name="a sweet smell")
    judgement = judged(a_finding(signs=(own,)))
    assert judgement.condition is C.DECAY
    assert judgement.reasons[0] == "Seen: a sweet smell."


def test_a_part_that_is_gone_can_not_fail() -> None:
    judgement = judged(a_finding(answer="not_fitted", signs=()))
    assert (judgement.condition, judgement.probability_level, judgement.risk) == (C.GONE, "F", "eliminated")
    assert judgement.priority == "watch"
