"""How judgement speaks: for each language its words, its sentences, and how it writes days, figures and lists.

Every language has the same tables with the same keys, and each sentence the same places in braces; what is said is
chosen in `inspections.judgement.reasons`, which knows no language. Sentences are whole: nothing is glued that the
grammar of another language would not bear.
"""

from __future__ import annotations

from inspections.judgement.speech.english import ENGLISH
from inspections.judgement.speech.german import GERMAN
from inspections.judgement.speech.tables import Speech
from yard.languages import Language
from yard.vocabulary import Labelled

SPEECHES: dict[Language, Speech] = {"en": ENGLISH, "de": GERMAN}


def label_in(member: Labelled, language: Language) -> str:
    """The words for a code in a language."""
    return SPEECHES[language].label(member)


__all__ = ["ENGLISH", "GERMAN", "SPEECHES", "Speech", "label_in"]
