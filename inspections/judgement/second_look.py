"""Where what was recorded does not settle it: somebody should look once more before money is spent."""

from __future__ import annotations

from inspections.judgement.rules.tables import Rules
from inspections.judgement.vocabulary import Condition, Sides


def why_look_again(*, confirm: bool, condition: Condition, sides: Sides | None, rules: Rules) -> str:
    """Why a finding asks for a confirming look.

    Args:
        confirm: the judgement says that the evidence contradicts itself.
        condition: the one that decided.
        sides: which faces were seen; None where nobody said.

    Returns:
        Words that follow "because"; empty where nothing asks for it.

    Source: damage that weakens a part shows on the face that nobody looked at: common practice, no source.
    """
    if confirm:
        return "what was recorded contradicts itself"
    if rules.conditions[condition].structural and condition is not Condition.UNSEEN:
        if sides is Sides.ONE:
            return "only one face of it was seen"
        if sides is Sides.NONE:
            return "no face of it was seen"
    return ""


__all__ = ["why_look_again"]
