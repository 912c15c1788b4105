"""What the cycle of a finish says, in each language. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from inspections.judgement.speech import SPEECHES
from yard.languages import Language

MONTHS_IN_A_YEAR: Final = 12

SENTENCES: Final[Mapping[Language, Mapping[str, str]]] = {
    "en": {
        "patched_too_much": "Patches make up {limit} % of it or more.",
        "too_old": "So exposed, this finish has had its time after {years} years.",
        "never_stripped": "This finish is not stripped by the calendar.",
        "strip_was_due": "Stripping to bare wood was due by {day}.",
        "strip_due": "Stripping to bare wood is due by {day}.",
        "not_yet": "That is not before the next lay-up, so nothing is asked for now.",
        "no_record": "Nothing is on record. Enter when it was last stripped and coated.",
        "no_strip": "No strip is on record; its finish is at least {age} old.",
        "stripped": "It was last stripped on {day}, {age} ago.",
        "patches": "Patches since then: {patched} m² of {area} m², {share} %.",
        "patches_overlap": "Where patches lie upon each other, that is too much.",
        "strip_from": "From {limit} % on it is stripped.",
        "bare": "No coat is on record since the strip: the wood is bare.",
        "coated": "The last full coat was on {day}.",
        "no_coat": "No full coat is on record.",
        "coat_was_due": "A maintenance coat was due by {day}, {months} months on.",
        "coat_due": "A maintenance coat is due by {day}, {months} months on.",
        "next_coat": "The next maintenance coat is due by {day}, {months} months on.",
    },
    "de": {
        "patched_too_much": "Ausbesserungen machen {limit} % davon oder mehr aus.",
        "too_old": "So bewittert hat dieser Anstrich nach {years} Jahren seine Zeit gehabt.",
        "never_stripped": "Dieser Anstrich wird nicht nach dem Kalender abgezogen.",
        "strip_was_due": "Das Abziehen bis aufs Holz war bis zum {day} fällig.",
        "strip_due": "Das Abziehen bis aufs Holz ist bis zum {day} fällig.",
        "not_yet": "Das ist nicht vor dem nächsten Winterlager, also ist jetzt nichts zu tun.",
        "no_record": "Nichts ist vermerkt. Tragen Sie ein, wann zuletzt abgezogen und gestrichen wurde.",
        "no_strip": "Kein Abziehen ist vermerkt; das Alter des Anstrichs beträgt mindestens {age}.",
        "stripped": "Zuletzt abgezogen am {day}; seither vergangen: {age}.",
        "patches": "Ausbesserungen seither: {patched} m² von {area} m², {share} %.",
        "patches_overlap": "Wo Ausbesserungen übereinanderliegen, ist das zu viel gerechnet.",
        "strip_from": "Ab {limit} % wird abgezogen.",
        "bare": "Seit dem Abziehen ist kein Anstrich vermerkt: Das Holz liegt blank.",
        "coated": "Der letzte volle Anstrich war am {day}.",
        "no_coat": "Kein voller Anstrich ist vermerkt.",
        "coat_was_due": "Ein Pflegeanstrich war bis zum {day} fällig, nach {months} Monaten.",
        "coat_due": "Ein Pflegeanstrich ist bis zum {day} fällig, nach {months} Monaten.",
        "next_coat": "Der nächste Pflegeanstrich ist bis zum {day} fällig, nach {months} Monaten.",
    },
}
# One and several years, one and several months, and what joins them.
AGES: Final[Mapping[Language, tuple[tuple[str, str], tuple[str, str], str]]] = {
    "en": (("1 year", "{} years"), ("1 month", "{} months"), " and "),
    "de": (("1 Jahr", "{} Jahre"), ("1 Monat", "{} Monate"), " und "),
}


@dataclass(frozen=True, slots=True)
class Age:
    """A time in whole months."""

    months: int

    def inside(self, language: Language) -> str:
        """Three years and one month, as it is told."""
        (year, years), (month, months), joined = AGES[language]
        whole, rest = divmod(self.months, MONTHS_IN_A_YEAR)
        in_months = month if rest == 1 else months.format(rest)
        if whole == 0:
            return in_months
        in_years = year if whole == 1 else years.format(whole)
        return in_years if rest == 0 else f"{in_years}{joined}{in_months}"


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence of the cycle, with what stands at its places."""

    key: str
    told: Mapping[str, date | Decimal | Age | int]

    def inside(self, language: Language) -> str:
        """In words of a language."""
        words = {name: _written(value, language) for name, value in self.told.items()}
        return SENTENCES[language][self.key].format(**words)


def sentence(key: str, **told: date | Decimal | Age | int) -> Sentence:
    """The sentence of that key."""
    return Sentence(key, told)


def _written(value: date | Decimal | Age | int, language: Language) -> str:
    if isinstance(value, Age):
        return value.inside(language)
    if isinstance(value, date):
        return SPEECHES[language].day(value)
    if isinstance(value, Decimal):
        figure = f"{value.normalize():f}"
        return figure.replace(".", ",") if language == "de" else figure
    return str(value)


__all__ = ["AGES", "SENTENCES", "Age", "Sentence", "sentence"]
