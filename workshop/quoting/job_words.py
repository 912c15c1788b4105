"""What a proposed job is called, what it opens and what happens if it is left, in the reader's language. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from workshop.quoting.if_left import SURFACE_LEFT, if_left
from yard.languages import Language

LONGEST: Final = 200


@dataclass(frozen=True, slots=True)
class JobFacts:
    """What a job is told from, each in the order of work and once.

    Args:
        places: parts of the boat.
        operations: names of the operations.
        openings: what comes off, as the template has it.
        condition: of the worst of its findings, a code.
        severity: of the same, 1 to 4.
    """

    places: Sequence[str]
    operations: Sequence[str]
    openings: Sequence[str]
    condition: str
    severity: int


@dataclass(frozen=True, slots=True)
class JobWords:
    """The three texts of a job."""

    title: str
    opening_up: str
    if_left: str


def job_words(facts: JobFacts, language: Language = "en") -> JobWords:
    """The texts of a job. German names of operations stand as they are, for they may begin with a noun."""
    if language == "de":
        title = f"{' und '.join(facts.places)}: {'; '.join(facts.operations)}"
    else:
        title = f"{' and '.join(facts.places)}: {', '.join(facts.operations).lower()}"
    opening_up = "; ".join(text.rstrip(".") for text in facts.openings)
    left = if_left(facts.condition, facts.severity, language)
    return JobWords(cut(title, LONGEST), cut(opening_up, LONGEST), left)


def surface_words(surface: str, operations: Sequence[str], language: Language = "en") -> JobWords:
    """The texts of a job on a whole surface; nothing has to come off for it."""
    names = "; ".join(operations) if language == "de" else ", ".join(operations).lower()
    return JobWords(cut(f"{surface}: {names}", LONGEST), "", SURFACE_LEFT[language])


def cut(text: str, length: int) -> str:
    """A text that fits, cut at a word with an ellipsis where it is too long."""
    if len(text) <= length:
        return text
    return text[: length - 1].rsplit(" ", 1)[0].rstrip(" ,;:") + "…"


__all__ = ["JobFacts", "JobWords", "cut", "job_words", "surface_words"]
