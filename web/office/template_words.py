"""The words in which the editor of templates explains what can be asked and what it is good for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from inspections.templates.document import AnswerKind, OpeningKind


@dataclass(frozen=True, slots=True)
class Explained:
    """A choice with what it is for."""

    name: str
    use: str


KINDS: Final = {
    AnswerKind.SIGNS: Explained(
        "Sound, or signs",
        "The technician looks, feels and knocks, and says sound or taps what is seen: a crack, a gap, a soft "
        "place. Right for nearly every place.",
    ),
    AnswerKind.READING: Explained(
        "A reading",
        "A figure by an instrument: the meter, a feeler, a watch. The tablet takes no sound without it, and signs "
        "can be tapped as well. Right where a figure that grows tells more than an eye.",
    ),
}
OPENINGS: Final = {
    OpeningKind.TAKE_OFF: Explained(
        "Take off", "Something comes off or is lifted: a lining, a sole board, bungs, the mast."
    ),
    OpeningKind.CLEAN: Explained(
        "Clean", "Something is washed or scraped first, so that a crack can be seen at all."
    ),
}
# Of steps and checks alike.
FIELDS: Final = {
    "text": "What to do",
    "kind": "Take off or clean",
    "shares": "Done once with",
    "prompt": "Question",
    "answer_kind": "Answer",
    "reading": "Reading",
    "usual_signs": "Usual signs",
    "contact": "What meets there",
    "after": "Comes after",
    "both_sides": "From both sides",
    "photo_wanted": "Photo wanted",
    "look_for": "Look for",
}

__all__ = ["FIELDS", "KINDS", "OPENINGS", "Explained"]
