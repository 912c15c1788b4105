"""How figures look to a reader. Expected texts follow CLDR 47, as Babel 2.18 carries it."""

from datetime import UTC, date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yard.locale_format import date_text, hours_phrase, hours_text, locale_check, moment_text, money_text
from yard.refusals import Refused

OSLO = ZoneInfo("Europe/Oslo")
NOON = datetime(2027, 4, 3, 12, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("amount", "currency", "locale", "text"),
    [
        ("1234.5", "NOK", "en-GB", "NOK\u00a01,234.50"),
        ("1234.5", "NOK", "nb", "1\u00a0234,50\u00a0kr"),
        ("1234.5", "GBP", "en-GB", "£1,234.50"),
        ("-3.50", "EUR", "de", "-3,50\u00a0€"),
        ("1234", "JPY", "en-GB", "JP¥1,234"),
        ("1.234", "KWD", "en-GB", "KWD\u00a01.234"),
        ("12.5", "RSD", "sr", "12,50\u00a0RSD"),
        ("0", "EUR", "en-GB", "€0.00"),
    ],
)
def test_money_is_written_with_the_decimals_of_its_currency(
    amount: str, currency: str, locale: str, text: str
) -> None:
    assert money_text(Decimal(amount), currency, locale) == text


@pytest.mark.parametrize(
    ("amount", "currency"), [("0.005", "EUR"), ("0.5", "JPY"), ("NaN", "EUR"), ("Infinity", "EUR")]
)
def test_money_is_never_rounded_on_its_way_to_the_reader(amount: str, currency: str) -> None:
    with pytest.raises(Refused) as refusal:
        money_text(Decimal(amount), currency, "en-GB")
    assert refusal.value.field == "amount"


@given(st.integers(-(10**11), 10**11), st.sampled_from(["EUR", "NOK", "JPY", "KWD", "RSD"]))
@settings(deadline=None)
def test_shown_money_reads_back_to_the_last_minor_unit(minor: int, currency: str) -> None:
    decimals = {"EUR": 2, "NOK": 2, "JPY": 0, "KWD": 3, "RSD": 2}[currency]
    amount = Decimal(minor).scaleb(-decimals)
    shown = money_text(amount, currency, "en-GB")
    assert Decimal("".join(character for character in shown if character in "-.0123456789")) == amount


def test_days_are_written_as_the_language_does() -> None:
    assert date_text(date(2027, 4, 3), "en-GB") == "3 April 2027"
    assert date_text(date(2027, 4, 3), "nb") == "3. april 2027"
    assert date_text(date(2027, 4, 3), "en-GB", "short") == "03/04/2027"


def test_moments_are_told_by_the_yards_clock() -> None:
    assert moment_text(NOON, OSLO, "en-GB") == "3 April 2027, 14:00:00 CEST"
    assert moment_text(NOON, OSLO, "nb", "short") == "03.04.2027, 14:00"
    assert moment_text(NOON.astimezone(ZoneInfo("Asia/Tokyo")), OSLO, "nb", "short") == "03.04.2027, 14:00"


def test_a_moment_without_a_zone_is_refused() -> None:
    with pytest.raises(Refused, match="no time zone"):
        moment_text(NOON.replace(tzinfo=None), OSLO, "nb")


@pytest.mark.parametrize(
    ("hours", "locale", "text"),
    [
        ("6.5", "en-GB", "6½ h"),
        ("6.50", "nb", "6½ h"),
        ("0.25", "en-GB", "¼ h"),
        ("2.75", "en-GB", "2¾ h"),
        ("12", "en-GB", "12 h"),
        ("1E+1", "en-GB", "10 h"),
        ("0", "en-GB", "0 h"),
        ("6.3", "en-GB", "6.3 h"),
        ("6.3", "nb", "6,3 h"),
        ("0.125", "en-GB", "0.125 h"),
        ("1234.5", "en-GB", "1,234½ h"),
    ],
)
def test_hours_are_told_in_halves_and_quarters_where_they_are_such(hours: str, locale: str, text: str) -> None:
    assert hours_text(Decimal(hours), locale) == text


@pytest.mark.parametrize("hours", [Decimal(-1), Decimal("NaN"), Decimal("Infinity"), 6.5, "six"])
def test_what_is_no_number_of_hours_is_refused(hours: Decimal) -> None:
    with pytest.raises(Refused) as refusal:
        hours_text(hours)
    assert refusal.value.field == "hours"


def test_an_estimate_is_told_the_way_a_yard_does() -> None:
    assert hours_phrase(Decimal("6.5"), Decimal(9)) == "about 6½ h; we ask again before 9 h"


def test_an_estimate_is_told_in_the_readers_language() -> None:
    told = hours_phrase(Decimal("6.3"), Decimal(9), "nb", "omtrent {likely}; vi spør igjen før {ceiling}")
    assert told == "omtrent 6,3 h; vi spør igjen før 9 h"


def test_a_ceiling_below_the_likely_hours_is_refused() -> None:
    with pytest.raises(Refused) as refusal:
        hours_phrase(Decimal("6.5"), Decimal(6))
    assert refusal.value.field == "ceiling"


@pytest.mark.parametrize("tag", ["", "xx", "english", "en GB", None])
def test_an_unknown_language_is_refused(tag: str) -> None:
    with pytest.raises(Refused) as refusal:
        locale_check(tag, field="language")
    assert refusal.value.field == "language"


@pytest.mark.parametrize("tag", ["en-GB", "en_GB", " nb ", "de-AT"])
def test_a_language_tag_is_read_in_both_spellings(tag: str) -> None:
    assert str(locale_check(tag)) == tag.strip().replace("-", "_")
