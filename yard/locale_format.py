"""Money, dates and hours as a reader writes them, by CLDR through Babel.

The language of the words is for the page or the mail to choose; here are only the figures. Nothing is rounded
on the way to the reader: what can't be shown exactly is refused, so that shown figures always add up.
"""

import unicodedata
from datetime import date, datetime, tzinfo
from decimal import Decimal
from functools import lru_cache
from typing import Final, Literal

from babel import Locale, UnknownLocaleError
from babel.dates import format_date, format_datetime
from babel.numbers import NumberPattern, format_decimal, get_currency_symbol, parse_pattern

from yard.currencies import currency_check, minor_units
from yard.languages import figures_locale
from yard.refusals import Refused

Length = Literal["full", "long", "medium", "short"]

_FRACTIONS: Final = {Decimal("0.25"): "¼", Decimal("0.5"): "½", Decimal("0.75"): "¾"}
HOURS_PATTERN: Final = "about {likely}; we ask again before {ceiling}"


def locale_check(tag: str, *, field: str = "locale") -> Locale:
    """Read a language tag, like en-GB or nb.

    Raises:
        Refused: no tag, or a language that CLDR doesn't know.
    """
    try:
        return _locale(tag.strip().replace("_", "-"))
    except (UnknownLocaleError, ValueError, TypeError, AttributeError) as error:
        raise Refused(field, f"is not a known language: {tag!r}", "Use a tag like en-GB, nb or de-AT.") from error


@lru_cache(maxsize=256)
def _locale(tag: str) -> Locale:
    return Locale.parse(tag, sep="-")


def money_text(amount: Decimal, currency: str, locale: str) -> str:
    """Show an amount with its currency: 1234.5, NOK, en-GB gives NOK 1,234.50 (with a space that doesn't break).

    Args:
        amount: no more decimals than the currency has by ISO 4217.
        currency: ISO 4217.
        locale: language tag.

    Raises:
        Refused: an unknown currency or language, or an amount that would have to be rounded to be shown.
    """
    code = currency_check(currency)
    decimals = minor_units(code)
    if not amount.is_finite() or amount != round(amount, decimals):
        raise Refused("amount", f"can't be shown in {code}: {amount}", f"Round it to {decimals} decimals first.")
    known = locale_check(locale)
    # A copy of the language's pattern with the decimals of ISO 4217; Babel's own would be CLDR's.
    pattern: NumberPattern = parse_pattern(_spaced(known.currency_formats["standard"].pattern, code, known))
    pattern.frac_prec = (decimals, decimals)
    return str(pattern.apply(amount, known, currency=code, currency_digits=False))


def date_text(day: date, locale: str, length: Length = "long") -> str:
    """Show a day: 3 April 2027 in en-GB, 3. april 2027 in nb.

    Raises:
        Refused: an unknown language.
    """
    return format_date(day, format=length, locale=locale_check(locale))


def day_told(day: date, locale: str) -> str:
    """A day among English words, for a reader of any language: 3 April 2027 for en-GB, and for de too."""
    return date_text(day, figures_locale(locale, "en"))


def moment_text(moment: datetime, time_zone: tzinfo, locale: str, length: Length = "long") -> str:
    """Show a moment as the yard's clock has it, with the zone's name in the long form.

    Args:
        moment: with a time zone.
        time_zone: the yard's.
        locale: language tag.
        length: how much of it is written out.

    Raises:
        Refused: a moment without a time zone, or an unknown language.
    """
    if moment.tzinfo is None:
        raise Refused("moment", "has no time zone", "Use moments with a time zone, best UTC.")
    # Taken into the zone here: Babel would trust the caller's.
    return format_datetime(
        moment.astimezone(time_zone), format=length, tzinfo=time_zone, locale=locale_check(locale)
    )


def hours_text(hours: Decimal, locale: str = "en-GB") -> str:
    """Show hours: 6.5 gives 6½ h, 0.25 gives ¼ h, 12 gives 12 h, 6.3 gives 6.3 h (6,3 h in nb).

    The letter h is the symbol of the hour in every language (SI brochure, table 8).

    Args:
        hours: [h], 0 or more; quarters are shown as fractions.
        locale: language tag.

    Raises:
        Refused: no decimal number, a negative one, or an unknown language.
    """
    if not _is_hours(hours):
        raise Refused("hours", f"is not a number of hours: {hours!r}", "Give 0 or more hours as a decimal number.")
    return _hours_text(str(hours), locale)


@lru_cache(maxsize=4096)
def _hours_text(figures_said: str, locale: str) -> str:
    """By the figures as they were said: 6.3 and 6.30 are the same number, and are shown differently."""
    hours = Decimal(figures_said)
    known = locale_check(locale)
    whole, part = divmod(hours, 1)
    if part == 0:
        return f"{format_decimal(whole, format='#,##0', locale=known)} h"
    if part in _FRACTIONS:
        figures = format_decimal(whole, format="#,##0", locale=known) if whole else ""
        return f"{figures}{_FRACTIONS[part]} h"
    return f"{format_decimal(hours, locale=known, decimal_quantization=False)} h"


def hours_phrase(likely: Decimal, ceiling: Decimal, locale: str = "en-GB", pattern: str = HOURS_PATTERN) -> str:
    """Tell an estimate the way a yard does: about 6½ h; we ask again before 9 h.

    Args:
        likely: median [h], rounded as it is to be shown.
        ceiling: 80 % figure [h], rounded up.
        locale: language tag, for the figures.
        pattern: the sentence in the reader's language, with {likely} and {ceiling}.

    Raises:
        Refused: a figure is no number of hours, the ceiling is below the likely hours, or an unknown language.
    """
    if ceiling < likely:
        raise Refused("ceiling", f"{ceiling} h is less than likely ({likely} h)", "Give likely ≤ ceiling.")
    return pattern.format(likely=hours_text(likely, locale), ceiling=hours_text(ceiling, locale))


def _spaced(pattern: str, currency: str, locale: Locale) -> str:
    """Part a currency of letters from the figures, as Unicode's UTS #35 (part 3, currency spacing) asks."""
    symbol = get_currency_symbol(currency, locale)
    if not unicodedata.category(symbol[-1]).startswith("S"):
        pattern = pattern.replace("¤#", "¤\u00a0#")
    if not unicodedata.category(symbol[0]).startswith("S"):
        pattern = pattern.replace("0¤", "0\u00a0¤")
    return pattern


def _is_hours(value: object) -> bool:
    return isinstance(value, Decimal) and value.is_finite() and value >= 0
