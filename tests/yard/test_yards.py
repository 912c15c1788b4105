"""Opening a yard: what is nonsense is refused, with the field and a remedy; the rest is kept as it was sent."""

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import pytest

from tests.conftest import SPRING
from tests.factories import YardFactory
from yard.models import ClimateNormal, ComponentClass, HourlyRate, Season, Yard
from yard.refusals import Refused, RefusedMany
from yard.selectors import season_of, today_at, working_calendar_of
from yard.services.catalogue import component_classes_load
from yard.services.yards import MonthNormal, climate_set, hourly_rate_set, season_set, yard_create

pytestmark = pytest.mark.django_db

GOOD: dict[str, Any] = {
    "name": "Skerry Reach",
    "time_zone": "Europe/Lisbon",
    "currency": "eur",
    "vat_rate_pct": Decimal(23),
    "locale": "pt-PT",
    "working_weekdays": [5, 0, 1, 2, 3],
    "holiday_country": "PT",
    "own_holidays": ["2027-12-24", date(2027, 8, 15)],
    "latitude": Decimal("38.69"),
    "longitude": Decimal("-9.42"),
    "mail_from": "office@skerry.example",
    "quote_valid_days": 14,
    "hours_per_week": Decimal("152.5"),
}


def test_a_yard_is_kept_as_it_was_entered() -> None:
    yard = yard_create(**GOOD)
    yard.refresh_from_db()
    assert (yard.currency, yard.locale, yard.vat_rate_pct) == ("EUR", "pt_PT", Decimal("23.00"))
    assert yard.working_weekdays == [0, 1, 2, 3, 5]
    assert yard.own_holidays == ["2027-08-15", "2027-12-24"]
    yard.full_clean()


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", "  "),
        ("name", "x" * 121),
        ("name", "two\nlines"),
        ("name", "nul\0"),
        ("time_zone", "Europe/Nowhere"),
        ("time_zone", "EST"),  # says nothing of summer time
        ("time_zone", "../../etc/passwd"),
        ("currency", "EURO"),
        ("currency", "XAU"),  # gold is no money to pay with
        ("vat_rate_pct", Decimal(-1)),
        ("vat_rate_pct", Decimal("100.01")),
        ("vat_rate_pct", Decimal("7.125")),
        ("vat_rate_pct", Decimal("NaN")),
        ("vat_rate_pct", 19.0),  # a float has lost its figures already
        ("locale", "xx-Klingon"),
        ("working_weekdays", []),
        ("working_weekdays", [0, 7]),
        ("working_weekdays", [0, 0]),
        ("working_weekdays", ["Monday"]),
        ("working_weekdays", [True, 2]),
        ("working_weekdays", "01234"),
        ("holiday_country", "ZZ"),
        ("own_holidays", ["24.12.2027"]),
        ("own_holidays", "2027-12-24"),
        ("latitude", Decimal("90.1")),
        ("longitude", Decimal("-180.00001")),
        ("longitude", None),
        ("latitude", None),
        ("mail_from", "office"),
        ("quote_valid_days", 0),
        ("quote_valid_days", 366),
        ("quote_valid_days", "14"),
        ("hours_per_week", Decimal(0)),
        ("hours_per_week", "160"),
    ],
)
def test_nonsense_about_a_yard_is_refused_and_names_the_field(field: str, value: object) -> None:
    with pytest.raises(Refused) as refusal:
        yard_create(**{**GOOD, field: value})
    assert [single.field for single in refusal.value.refusals] == [field]
    assert refusal.value.remedy
    assert not Yard.objects.exists()


def test_everything_that_is_wrong_is_said_at_once() -> None:
    with pytest.raises(RefusedMany) as refusal:
        yard_create(**{**GOOD, "name": "", "currency": "?", "vat_rate_pct": Decimal(101)})
    assert [single.field for single in refusal.value.refusals] == ["name", "currency", "vat_rate_pct"]


# --- seasons -------------------------------------------------------------------------------------------


def test_a_season_is_entered_and_changed() -> None:
    yard = yard_create(**GOOD)
    season_set(yard=yard, year=2027, launch_on=date(2027, 5, 1), layup_on=date(2027, 10, 15), at=SPRING)
    season_set(yard=yard, year=2027, launch_on=date(2027, 4, 20), layup_on=date(2027, 10, 15), at=SPRING)
    assert Season.objects.get().launch_on == date(2027, 4, 20)


@pytest.mark.parametrize(
    ("field", "year", "launch_on", "layup_on"),
    [
        ("layup_on", 2027, date(2027, 5, 1), date(2027, 5, 1)),
        ("layup_on", 2027, date(2027, 5, 1), date(2028, 5, 1)),
        ("launch_on", 2027, date(2026, 10, 1), date(2027, 4, 1)),
        ("year", 1066, date(1066, 5, 1), date(1066, 10, 14)),
        ("launch_on", 2028, date(2028, 1, 5), date(2028, 10, 1)),  # 2027 ends on 10 January 2028
        ("layup_on", 2026, date(2026, 10, 1), date(2027, 9, 1)),  # 2027 begins on 1 September
    ],
)
def test_a_season_that_can_not_be_is_refused(field: str, year: int, launch_on: date, layup_on: date) -> None:
    yard = yard_create(**GOOD)
    season_set(yard=yard, year=2027, launch_on=date(2027, 9, 1), layup_on=date(2028, 1, 10), at=SPRING)
    if year == 2027:
        Season.objects.all().delete()
    with pytest.raises(Refused) as refusal:
        season_set(yard=yard, year=year, launch_on=launch_on, layup_on=layup_on, at=SPRING)
    assert refusal.value.field == field


@pytest.mark.parametrize(
    ("on_date", "year"),
    [
        (date(2027, 3, 1), 2027),  # before launch: the spring inspection belongs to the season it prepares
        (date(2027, 10, 15), 2027),  # the day of lay-up itself
        (date(2027, 10, 16), 2028),
        (date(2027, 12, 31), 2028),
    ],
)
def test_a_day_belongs_to_the_season_that_ends_next(on_date: date, year: int) -> None:
    assert season_of(YardFactory.create(), on_date).year == year


def test_a_day_after_the_last_season_is_refused_with_what_to_do() -> None:
    yard = YardFactory.create()
    YardFactory.create()
    Season.objects.of_yard(yard).filter(year__gt=2027).delete()
    with pytest.raises(Refused, match="enter the season"):
        season_of(yard, date(2027, 12, 1))


# --- climate and rates ---------------------------------------------------------------------------------


def normals(**change: Any) -> list[MonthNormal]:
    usual: dict[str, Any] = {
        "air_temperature_c": Decimal("11.5"),
        "relative_humidity_pct": Decimal(80),
        "rain_days": Decimal("12.5"),
    }
    return [MonthNormal(month=month, **(usual | (change if month == 7 else {}))) for month in range(12, 0, -1)]


def test_a_climate_takes_the_place_of_the_one_before() -> None:
    yard = YardFactory.create()
    climate_set(yard=yard, normals=normals(rain_days=Decimal(3)), at=SPRING)
    rows = ClimateNormal.objects.of_yard(yard).order_by("month")
    assert [row.month for row in rows] == list(range(1, 13))
    assert [row.rain_days for row in rows if row.month in (6, 7)] == [Decimal("12.5"), Decimal("3.0")]


@pytest.mark.parametrize(
    ("field", "change"),
    [
        ("normals.5.air_temperature_c", {"air_temperature_c": Decimal(61)}),
        ("normals.5.relative_humidity_pct", {"relative_humidity_pct": Decimal("100.1")}),
        ("normals.5.rain_days", {"rain_days": Decimal(-1)}),
        ("normals.5.rain_days", {"rain_days": 3.5}),
    ],
)
def test_weather_that_can_not_be_is_refused_and_names_the_month(field: str, change: dict[str, object]) -> None:
    yard = YardFactory.create()
    before = ClimateNormal.objects.of_yard(yard).get(month=7).rain_days
    with pytest.raises(Refused) as refusal:
        climate_set(yard=yard, normals=normals(**change), at=SPRING)
    assert refusal.value.field == field
    assert ClimateNormal.objects.of_yard(yard).get(month=7).rain_days == before


def test_a_year_has_twelve_months() -> None:
    with pytest.raises(Refused, match="each month from 1 to 12 once"):
        climate_set(yard=YardFactory.create(), normals=normals()[:11], at=SPRING)


def test_a_rate_is_set_once_a_trade_and_changed() -> None:
    yard = yard_create(**GOOD)
    hourly_rate_set(yard=yard, amount=Decimal(60), at=SPRING)
    hourly_rate_set(yard=yard, amount=Decimal("62.50"), at=SPRING)
    hourly_rate_set(yard=yard, amount=Decimal(70), trade="rigger", at=SPRING)
    rates = HourlyRate.objects.of_yard(yard).values_list("trade", "amount")
    assert set(rates) == {("shipwright", Decimal("62.50")), ("rigger", Decimal("70.00"))}


@pytest.mark.parametrize("amount", [Decimal("-0.01"), Decimal("62.505"), Decimal("1e9"), Decimal("Infinity"), 62.5])
def test_a_rate_that_nobody_could_pay_is_refused(amount: Any) -> None:
    with pytest.raises(Refused) as refusal:
        hourly_rate_set(yard=yard_create(**GOOD), amount=amount, at=SPRING)
    assert refusal.value.field == "amount"


def test_a_rate_has_no_more_decimals_than_its_currency() -> None:
    yard = yard_create(**{**GOOD, "currency": "JPY"})
    with pytest.raises(Refused):
        hourly_rate_set(yard=yard, amount=Decimal("6000.5"), at=SPRING)


# --- the catalogue -------------------------------------------------------------------------------------


def test_the_stock_classes_are_copied_once_and_are_the_yard_s_own_from_then_on() -> None:
    yard, other = YardFactory.create(), YardFactory.create()
    assert len(component_classes_load(yard=yard)) >= 30
    component_classes_load(yard=other)
    ComponentClass.objects.of_yard(yard).filter(code="TILLER").update(recheck_months=6)
    ComponentClass.objects.of_yard(yard).filter(code="STEM").delete()
    assert [added.code for added in component_classes_load(yard=yard)] == ["STEM"]
    assert ComponentClass.objects.of_yard(yard).get(code="TILLER").recheck_months == 6
    assert ComponentClass.objects.of_yard(other).get(code="TILLER").recheck_months != 6


# --- what others ask -----------------------------------------------------------------------------------


def test_the_day_is_that_of_the_yard_s_own_clock() -> None:
    late = datetime(2027, 4, 1, 22, 30, tzinfo=UTC)
    assert today_at(YardFactory.create(time_zone="Europe/Copenhagen"), late) == date(2027, 4, 2)
    assert today_at(YardFactory.create(time_zone="Atlantic/Azores"), late) == date(2027, 4, 1)


def test_the_calendar_knows_weekends_public_holidays_and_closed_days() -> None:
    calendar = working_calendar_of(yard_create(**GOOD))
    assert not calendar.is_working(date(2027, 8, 15))
    assert not calendar.is_working(date(2027, 4, 25))  # Portugal's day of freedom
    assert not calendar.is_working(date(2027, 4, 2))  # a Friday; GOOD works on Saturdays instead
    assert calendar.is_working(date(2027, 4, 3))
