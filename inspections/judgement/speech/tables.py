"""What every language of judgement must have."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from inspections.judgement.facts import SignFacts
from inspections.judgement.vocabulary import (
    Because,
    Condition,
    DueBackKind,
    Priority,
    RiskLevel,
    SafetyRole,
    Trend,
)
from yard.languages import Language
from yard.vocabulary import Labelled


@dataclass(frozen=True, slots=True)
class Words:
    """The same words in each language."""

    en: str
    de: str

    def inside(self, language: Language) -> str:
        return self.de if language == "de" else self.en


@dataclass(frozen=True, slots=True)
class Speech:
    """One language.

    Args:
        sentences: whole sentences by key, with places in braces.
        what_it_is, split_but_unloaded: begin a sentence that may go on after a colon.
        if_it_fails, how_likely, risk, when, because, trend: parts of sentences, as the places of `sentences` ask.
        to_do_by, to_do_now: whole sentences.
        label: the words for a code of a vocabulary.
        sign: a sign's name as it stands in a list within a sentence.
        listed: names as people list them.
        because_of: what speaks for or against something, after a colon.
        day, number, odds, months: figures as they are read; `odds` of a probability above 0.
    """

    language: Language
    sentences: Mapping[str, str]
    what_it_is: Mapping[Condition, str]
    split_but_unloaded: str
    if_it_fails: Mapping[SafetyRole, str]
    how_likely: Mapping[str, str]
    risk: Mapping[RiskLevel, str]
    when: Mapping[Priority, str]
    because: Mapping[Because, str]
    to_do_by: Mapping[DueBackKind, str]
    to_do_now: Mapping[DueBackKind, str]
    trend: Mapping[Trend, str]
    label: Callable[[Labelled], str]
    sign: Callable[[SignFacts], str]
    listed: Callable[[Sequence[str]], str]
    because_of: Callable[[Sequence[str]], str]
    day: Callable[[date], str]
    number: Callable[[float], str]
    odds: Callable[[float], str]
    months: Callable[[float], str]

    def say(self, key: str, **told: object) -> str:
        """A sentence with its places filled."""
        return self.sentences[key].format(**told)


__all__ = ["Speech", "Words"]
