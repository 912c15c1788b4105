"""In which language a page without a log-in speaks: the reader's, unless its address asks for another.

The wish stands in the address alone (`?lang=de`), so it holds for this link, needs no script, and leaves nothing on
the phone that could tell of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from zoneinfo import ZoneInfo

from django.http import HttpRequest
from django.utils.http import urlencode
from django.utils.translation.trans_real import parse_accept_lang_header

from yard.languages import FIRST, LANGUAGES, NAMES, Language, figures_locale, language_named, language_of
from yard.models import Member, Owner, Yard

WISH: Final = "lang"


@dataclass(frozen=True, slots=True)
class Reader:
    """Who reads: the language of the words, the locale of the figures, and the yard's clock and currency.

    Args:
        asked: the language that the address asks for; None where the reader's own is spoken.
    """

    language: Language
    locale: str
    zone: ZoneInfo
    currency: str
    asked: Language | None

    @property
    def tag(self) -> str:
        """For `lang`: de-AT."""
        return self.locale.replace("_", "-")

    @property
    def wish(self) -> str:
        """What an address must end in for the page to go on in this language; empty for the reader's own."""
        return f"?{urlencode({WISH: self.asked})}" if self.asked else ""

    @property
    def others(self) -> tuple[tuple[Language, str], ...]:
        """The other languages, each by the name its readers know."""
        return tuple((each, NAMES[each]) for each in LANGUAGES if each != self.language)


def reader_of(request: HttpRequest, person: Owner | Member | None, yard: Yard) -> Reader:
    """Who reads a page of a yard: the holder of a link, or a member who looks the page over."""
    own = person.locale if isinstance(person, Owner) else yard.locale
    asked = language_named(request.GET.get(WISH, ""))
    language = asked or language_of(own)
    return Reader(
        language=language,
        locale=figures_locale(own, language),
        zone=yard.zone,
        currency=yard.currency,
        asked=asked if asked != language_of(own) else None,
    )


def office_reader(yard: Yard) -> Reader:
    """Somebody at the yard's own pages, which are in English."""
    return Reader(FIRST, figures_locale(yard.locale, FIRST), yard.zone, yard.currency, None)


def language_of_stranger(request: HttpRequest) -> Language:
    """For pages that know nobody: what the browser asks for."""
    wished = [request.GET.get(WISH, ""), *(tag for tag, _ in parse_accept_lang_header(_accepted(request)))]
    known = (language_named(tag.partition("-")[0].lower()) for tag in wished)
    return next((language for language in known if language is not None), FIRST)


def _accepted(request: HttpRequest) -> str:
    return request.headers.get("Accept-Language", "")


__all__ = ["WISH", "Reader", "language_of_stranger", "office_reader", "reader_of"]
