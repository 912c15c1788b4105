"""When what was recorded does not settle it."""

import pytest

from inspections.judgement.rules import load_rules
from inspections.judgement.second_look import why_look_again
from inspections.judgement.vocabulary import Condition, Sides

WEAKENS = [Condition.DECAY, Condition.JOINT_MOVES, Condition.SPLIT_IN_LOAD_PATH, Condition.METAL_WASTING]


def why(condition: Condition, sides: Sides | None, *, confirm: bool = False) -> str:
    return why_look_again(confirm=confirm, condition=condition, sides=sides, rules=load_rules())


@pytest.mark.parametrize("condition", list(Condition))
@pytest.mark.parametrize("sides", [None, *Sides])
def test_a_contradiction_always_asks_for_it(condition: Condition, sides: Sides | None) -> None:
    assert why(condition, sides, confirm=True) == "what was recorded contradicts itself"


@pytest.mark.parametrize("condition", WEAKENS)
def test_damage_that_weakens_is_seen_from_both_faces(condition: Condition) -> None:
    assert why(condition, Sides.ONE) == "only one face of it was seen"
    assert why(condition, Sides.NONE) == "no face of it was seen"
    assert why(condition, Sides.BOTH) == ""
    assert why(condition, None) == ""  # nobody said that a face was left out


@pytest.mark.parametrize("condition", [one for one in Condition if one not in WEAKENS])
@pytest.mark.parametrize("sides", [None, *Sides])
def test_one_face_is_enough_for_all_else(condition: Condition, sides: Sides | None) -> None:
    assert why(condition, sides) == ""
