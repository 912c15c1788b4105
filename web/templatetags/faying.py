"""How pages tell days, moments, money and codes. Figures follow the yard's language and clock."""

from __future__ import annotations

from datetime import date, datetime
from decimal import ROUND_CEILING, Decimal
from typing import Any, Protocol
from zoneinfo import ZoneInfo

from babel.dates import format_date, format_time
from babel.numbers import format_decimal
from django import template
from django.forms import BoundField
from django.utils.html import format_html
from django.utils.safestring import SafeString

from inspections.judgement.vocabulary import (
    Answer,
    Condition,
    DueBackKind,
    Moves,
    RiskLevel,
    Seal,
    Sides,
    Trend,
)
from inspections.models import Reading
from web.base import marks
from workshop.report.context import reading_name, tag_text, unit_text
from workshop.report.words import unit_of_work
from yard.locale_format import date_text, hours_text, locale_check, money_text
from yard.vocabulary import Labelled, Load, Water

register = template.Library()


class Clock(Protocol):
    """Whose figures and whose clock: the yard's, or those of a reader without a log-in."""

    @property
    def locale(self) -> str: ...
    @property
    def zone(self) -> ZoneInfo: ...
    @property
    def currency(self) -> str: ...


VOCABULARIES: dict[str, type[Labelled]] = {
    "answer": Answer,
    "condition": Condition,
    "due_back": DueBackKind,
    "risk": RiskLevel,
    "seal": Seal,
    "moves": Moves,
    "sides": Sides,
    "trend": Trend,
    "water": Water,
    "load": Load,
}

register.simple_tag(marks.priority, name="priority")
register.simple_tag(marks.shape, name="shape")


@register.filter
def language_name(tag: str) -> str:
    """A language tag in words: de_DE, German (Germany)."""
    return str(locale_check(tag).get_display_name("en"))


@register.filter
def day(value: date | None, yard: Clock) -> str:
    """3 April 2027."""
    return "" if value is None else date_text(_on(value, yard), yard.locale, "long")


@register.filter
def brief_day(value: date | None, yard: Clock) -> str:
    """3 Apr 2027: for narrow columns."""
    return "" if value is None else date_text(_on(value, yard), yard.locale, "medium")


@register.filter
def short_day(value: date | None, yard: Clock) -> str:
    """Sat 3 Apr: for tables whose year is plain."""
    if value is None:
        return ""
    return format_date(_on(value, yard), "EEE d MMM", locale=locale_check(yard.locale))


@register.filter
def month_name(value: date, yard: Clock) -> str:
    """April 2027."""
    return format_date(value, "LLLL y", locale=locale_check(yard.locale))


@register.filter
def moment(value: datetime | None, yard: Clock) -> str:
    """3 Apr 2027, 09:12, by the yard's clock."""
    if value is None:
        return ""
    here = value.astimezone(yard.zone)
    hour = format_time(here, "short", tzinfo=yard.zone, locale=locale_check(yard.locale))
    return f"{date_text(here.date(), yard.locale, 'medium')}, {hour}"


@register.filter
def clock(value: datetime, yard: Clock) -> str:
    """09:12, by the yard's clock."""
    return format_time(value.astimezone(yard.zone), "short", tzinfo=yard.zone, locale=locale_check(yard.locale))


@register.filter
def money(value: Decimal | None, yard: Clock) -> str:
    """In the yard's currency."""
    return "" if value is None else money_text(value, yard.currency, yard.locale)


@register.simple_tag
def amount(value: Decimal, currency: str, yard: Clock) -> str:
    """In a currency of its own: what was quoted stays in that of its day."""
    return money_text(value, currency, yard.locale)


@register.filter
def hours(value: Decimal, yard: Clock) -> str:
    """6½ h."""
    return hours_text(value, yard.locale)


@register.filter
def rough_hours(value: Decimal, yard: Clock) -> str:
    """126 h: for sums that are no more exact than that. What is more than nothing is told as an hour at least."""
    return hours_text(value.quantize(Decimal(1), rounding=ROUND_CEILING), yard.locale)


@register.filter
def number(value: Decimal | int | None, yard: Clock) -> str:
    """A figure without zeros that say nothing."""
    if value is None:
        return ""
    plain = Decimal(value).normalize()
    return format_decimal(plain, locale=locale_check(yard.locale), decimal_quantization=False)


@register.filter
def metres(value_mm: int, yard: Clock) -> str:
    """8.40 m."""
    return f"{format_decimal(Decimal(value_mm) / 1000, format='0.00', locale=locale_check(yard.locale))} m"


@register.filter
def area(value_m2: Decimal, yard: Clock) -> str:
    """6.5 m²."""
    return f"{number(value_m2, yard)} m²"


@register.filter
def code_word(value: object, vocabulary: str) -> str:
    """The words for a code of a vocabulary; a code it does not know is shown as it is."""
    try:
        return str(VOCABULARIES[vocabulary](str(value)).label)
    except ValueError:
        return str(value)


register.filter("tag_text", tag_text)


register.filter("unit", unit_text)
register.filter("unit_of_work", unit_of_work)


@register.filter
def bought_by(unit: str) -> str:
    """The unit of a price list as it is written: piece, m²."""
    return {"pcs": "piece", "m2": "m²"}.get(unit, unit)


@register.filter
def measured(reading: Reading) -> str:
    """What a reading measured."""
    return reading_name(reading.quantity, reading.unit)


@register.filter
def words(value: str) -> str:
    """A code made readable where no vocabulary has words for it: not_seen_reason."""
    return str(value).replace("_", " ")


@register.inclusion_tag("web/base/field.html")
def field(bound: BoundField) -> dict[str, Any]:
    """A field with its label, its hint and what was refused about it; the ids are those that Django points to."""
    return {"field": bound}


@register.simple_tag
def shown(bound: BoundField) -> SafeString:
    """What a field showed first, carried along unseen: for one that is drawn box by box."""
    return bound.as_hidden(only_initial=True)


@register.simple_tag
def bar(part: int, whole: int) -> SafeString:
    """How much of it is done, drawn; the figures stand beside it."""
    length = 0 if whole == 0 else round(100 * part / whole, 1)
    return format_html(
        '<svg class="bar" viewBox="0 0 100 6" preserveAspectRatio="none" aria-hidden="true" focusable="false">'
        '<rect class="part" width="{}" height="6"/><rect class="whole" width="100" height="6"/></svg>',
        length,
    )


def _on(value: date, yard: Clock) -> date:
    return value.astimezone(yard.zone).date() if isinstance(value, datetime) else value
