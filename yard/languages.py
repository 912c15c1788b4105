"""The languages that an owner is written to in, and the kind of figures that go with them. Pure.

Words are English or German. A reader of any other language gets English words, with the figures of his own country
where CLDR knows how English is written there (en_DK: 3 April 2027, 1.234,50), British ones elsewhere: the name of a
month in a third language would stand oddly among the words.
"""

from __future__ import annotations

from typing import Final, Literal

from babel import Locale, UnknownLocaleError

Language = Literal["en", "de"]

LANGUAGES: Final[tuple[Language, ...]] = ("en", "de")
# What everything is written in first; quotes that name no language are in it.
FIRST: Final[Language] = "en"
# Each language by the name that its own readers know.
NAMES: Final = {"en": "English", "de": "Deutsch"}
BRITISH: Final = "en_GB"


def language_of(locale: str) -> Language:
    """The language of the words for a reader: German for de, de-AT and the like, English for everybody else."""
    return "de" if _plain(locale).partition("_")[0].lower() == "de" else "en"


def language_named(code: str) -> Language | None:
    """The language of that code; None where it is none of ours."""
    return next((language for language in LANGUAGES if language == code), None)


def figures_locale(locale: str, language: Language) -> str:
    """The locale of days, money and figures that stand among words of a language.

    Args:
        locale: the reader's own, like en_GB, de-AT or nb_NO.
        language: of the words around them.
    """
    own = _plain(locale)
    if own.partition("_")[0].lower() == language:
        return own
    if language == "de":
        return "de"
    country = own.rpartition("_")[2].upper() if "_" in own else ""
    return f"en_{country}" if country and _known(f"en_{country}") else BRITISH


def _plain(locale: str) -> str:
    return locale.strip().replace("-", "_")


def _known(locale: str) -> bool:
    try:
        Locale.parse(locale)
    except (UnknownLocaleError, ValueError):
        return False
    return True


__all__ = ["FIRST", "LANGUAGES", "NAMES", "Language", "figures_locale", "language_named", "language_of"]
