"""What happens if nothing is done, in the owner's words. Common practice, no source; how grave it is comes from
the severity categories of MIL-STD-882E, Table I, in words of our own."""

from typing import Final

from inspections.judgement.vocabulary import Condition

RUNS_ON: Final = {
    Condition.FINISH_ONLY: "What is only on the surface now wears on, and bare wood begins to take up water.",
    Condition.WATER_WAY_OPEN: "Water goes on getting in. What can be sealed now turns to wet wood and then to rot.",
    Condition.WATER_IN: "Wood that stays wet rots from the inside, and sealing it is then no longer enough.",
    Condition.DECAY: "Rot does not stop while it is damp. It runs on along the grain, and more has to be cut out.",
    Condition.JOINT_MOVES: "A joint that moves works its glue and fastenings loose and lets water in.",
    Condition.SPLIT_IN_LOAD_PATH: "Every pull opens the split further, until it lets go, most likely under load.",
    Condition.METAL_WASTING: "The metal thins unseen, swells, splits the wood and may let go unannounced.",
    Condition.UNSEEN: "Nobody knows how it is. Whatever may be going on there goes on.",
    Condition.GONE: "The part is missing, and nothing does its work.",
}

COMES_TO: Final = {
    1: "If it fails at sea, lives and the boat are at stake.",
    2: "If it fails, somebody may be badly hurt or the boat badly damaged.",
    3: "If it fails, the harm is limited, but it will cost more than now.",
    4: "Nobody's safety hangs on it; it is a matter of upkeep.",
}


def if_left(condition: str, severity: int) -> str:
    """Two sentences for an owner.

    Args:
        condition: code of the vocabulary.
        severity: 1 (gravest) to 4.

    Raises:
        ValueError: an unknown condition.
        KeyError: an unknown severity.
    """
    return f"{RUNS_ON[Condition(condition)]} {COMES_TO[severity]}"


__all__ = ["COMES_TO", "RUNS_ON", "if_left"]
