"""How a mail to a decider is written: in the language of the quote it speaks of, with the figures of its reader.

Text and HTML are two templates of one name, which say the same.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TypedDict

from django.template.loader import render_to_string
from django.utils.translation import override

from workshop.quoting.document import QuoteDocument
from workshop.report.context import hours_told
from yard.languages import Language, figures_locale, language_of
from yard.locale_format import date_text, money_text
from yard.models import Member, Owner

# The longest name that leaves room for the rest of the 200 characters that a subject may have.
LONGEST_NAME = 100


class Parts(TypedDict):
    """The two parts of a mail."""

    text: str
    html: str


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter about a quote to somebody."""

    language: Language
    locale: str
    currency: str

    def money(self, amount: Decimal) -> str:
        return money_text(amount, self.currency, self.locale)

    def day(self, day: date) -> str:
        return date_text(day, self.locale)

    def hours(self, likely: Decimal, ceiling: Decimal) -> str:
        """An estimate: about 6½ h; we ask again before 9 h."""
        with self.written_in():
            return hours_told(likely, ceiling, self.locale)

    def written_in(self) -> override:
        """The language of the letter, for as long as it is being written."""
        return override(self.language)

    def parts(self, name: str, context: Mapping[str, object]) -> Parts:
        """Text and HTML part, as `mail_write` takes them."""
        told = {**context, "tag": self.locale.replace("_", "-")}
        with self.written_in():
            return {
                "text": render_to_string(f"workshop/mail/{name}.txt", told),
                "html": render_to_string(f"workshop/mail/{name}.html", told),
            }


def letter_to(reader: Owner | Member, document: QuoteDocument) -> Letter:
    """A letter about a quote. A member of the yard reads the figures as the yard does."""
    own = reader.locale if isinstance(reader, Owner) else reader.yard.locale
    language = language_of(document.language)
    return Letter(language, figures_locale(own, language), document.currency)


def short_name(boat: str) -> str:
    """A boat's name as it begins a subject: what follows it is cut on a phone, but not at the server."""
    return boat if len(boat) <= LONGEST_NAME else f"{boat[: LONGEST_NAME - 1]}…"


__all__ = ["Letter", "letter_to", "short_name"]
