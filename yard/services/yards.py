"""A yard and what surrounds it: seasons, climate, rates."""

from __future__ import annotations

from calendar import month_abbr
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import partial

from django.db import transaction

from yard.currencies import currency_check, minor_units
from yard.locale_format import locale_check
from yard.models import ClimateNormal, DeedKind, HourlyRate, Member, Season, Yard
from yard.refusals import Refused
from yard.services.checks import (
    Sheet,
    dates_check,
    decimal_check,
    email_check,
    hours_per_week_check,
    integer_check,
    text_check,
    time_zone_check,
    weekdays_check,
)
from yard.services.deeds import change_note, deed_note
from yard.told_changes import value_told
from yard.working_days import WorkingCalendar

LONGEST_SEASON_DAYS = 365
MOST_EXPENSIVE_HOUR = Decimal("99999999.99")


@dataclass(frozen=True, slots=True)
class MonthNormal:
    """What one month is like on average: air [°C], relative humidity [%], days with rain."""

    month: int
    air_temperature_c: Decimal
    relative_humidity_pct: Decimal
    rain_days: Decimal


def yard_create(
    *,
    name: str,
    time_zone: str,
    currency: str,
    vat_rate_pct: Decimal = Decimal(0),
    locale: str = "en_GB",
    working_weekdays: Sequence[int] = (0, 1, 2, 3, 4),
    holiday_country: str = "",
    holiday_subdivision: str = "",
    own_holidays: Iterable[date | str] = (),
    latitude: Decimal | None = None,
    longitude: Decimal | None = None,
    mail_from: str = "",
    quote_valid_days: int = 21,
    hours_per_week: Decimal | None = None,
) -> Yard:
    """Open a yard. Its catalogue, people, seasons and climate are filled in by their own services."""
    sheet = Sheet()
    yard = Yard(
        name=sheet.read(lambda: text_check(name, field="name", longest=120), ""),
        time_zone=sheet.read(lambda: time_zone_check(time_zone), "UTC"),
        currency=sheet.read(lambda: currency_check(currency), "EUR"),
        vat_rate_pct=sheet.read(lambda: _percentage(vat_rate_pct, "vat_rate_pct"), Decimal(0)),
        locale=sheet.read(lambda: str(locale_check(locale)), "en_GB"),
        working_weekdays=sheet.read(lambda: weekdays_check(working_weekdays), [0]),
        holiday_country=holiday_country,
        holiday_subdivision=holiday_subdivision,
        own_holidays=sheet.read(partial(dates_check, own_holidays, field="own_holidays"), list[str]()),
        latitude=sheet.read(lambda: _degrees(latitude, "latitude", 90), None),
        longitude=sheet.read(lambda: _degrees(longitude, "longitude", 180), None),
        mail_from=sheet.read(lambda: email_check(mail_from, field="mail_from", blank=True), ""),
        quote_valid_days=sheet.read(
            lambda: integer_check(quote_valid_days, field="quote_valid_days", low=1, high=365, unit="days"), 21
        ),
        hours_per_week=sheet.read(lambda: hours_per_week_check(hours_per_week), None),
    )
    # The calendar itself knows which countries and parts of them have holidays it can keep.
    sheet.read(
        lambda: WorkingCalendar(holiday_country=holiday_country, holiday_subdivision=holiday_subdivision), None
    )
    sheet.hold(
        (latitude is None) == (longitude is None),
        Refused("longitude" if longitude is None else "latitude", "is missing", "give both or neither"),
    )
    sheet.close()
    yard.save()
    return yard


@transaction.atomic
def season_set(
    *, yard: Yard, year: int, launch_on: date, layup_on: date, at: datetime, by: Member | None = None
) -> Season:
    """Enter a season, or change the one of that year."""
    sheet = Sheet()
    sheet.read(lambda: integer_check(year, field="year", low=1900, high=2200), 0)
    sheet.hold(
        launch_on.year == year,
        Refused("launch_on", f"lies in {launch_on.year}", f"give a day of {year}, or another year"),
    )
    sheet.hold(
        0 < (layup_on - launch_on).days <= LONGEST_SEASON_DAYS,
        Refused(
            "layup_on",
            f"is not within the year after the launch on {launch_on.isoformat()}",
            f"give a day after the launch, at most {LONGEST_SEASON_DAYS} days later",
        ),
    )
    sheet.close()
    Yard.objects.select_for_update(no_key=True).get(pk=yard.pk)  # two seasons at once could overlap unseen
    for other in Season.objects.of_yard(yard).exclude(year=year):
        if launch_on <= other.layup_on and other.launch_on <= layup_on:
            raise Refused(
                "launch_on" if other.year < year else "layup_on",
                f"overlaps the season of {other.year} ({other.launch_on} to {other.layup_on})",
                "let a season begin after the one before has ended",
            )
    days = {"launch_on": launch_on, "layup_on": layup_on}
    before = Season.objects.of_yard(yard).filter(year=year).values(*days).first() or {}
    season: Season
    season, _ = Season.objects.update_or_create(yard=yard, year=year, defaults=days)
    kind = DeedKind.SETTINGS_CHANGED
    change_note(row=season, kind=kind, what=f"season {year}", before=before, after=days, by=by, at=at)
    return season


@transaction.atomic
def climate_set(
    *, yard: Yard, normals: Sequence[MonthNormal], at: datetime, by: Member | None = None
) -> list[ClimateNormal]:
    """Enter the climate of a yard: all twelve months at once, in place of what was there."""
    sheet = Sheet()
    months = sorted(normal.month for normal in normals)
    sheet.hold(
        months == list(range(1, 13)),
        Refused("normals", f"has the months {months}", "give each month from 1 to 12 once"),
    )
    for position, normal in enumerate(normals):
        for name, low, high, unit in (
            ("air_temperature_c", -60, 60, "°C"),
            ("relative_humidity_pct", 0, 100, "%"),
            ("rain_days", 0, 31, "days"),
        ):
            check = partial(
                decimal_check,
                getattr(normal, name),
                field=f"normals.{position}.{name}",
                low=Decimal(low),
                high=Decimal(high),
                places=1,
                unit=unit,
            )
            sheet.read(check, Decimal(0))
    sheet.close()
    there = ClimateNormal.objects.of_yard(yard).order_by("month")
    before: dict[int, str] = {row.month: month_told(row) for row in there}
    there.delete()
    rows: list[ClimateNormal] = ClimateNormal.objects.bulk_create(
        ClimateNormal(
            yard=yard,
            month=normal.month,
            air_temperature_c=normal.air_temperature_c,
            relative_humidity_pct=normal.relative_humidity_pct,
            rain_days=normal.rain_days,
        )
        for normal in sorted(normals, key=lambda normal: normal.month)
    )
    moved = [
        f"{month_abbr[row.month]} {before.get(row.month, 'nothing')} to {month_told(row)}"
        for row in rows
        if before.get(row.month) != month_told(row)
    ]
    if moved:
        told = f"climate, as °C, humidity % and days of rain: {'; '.join(moved)}"
        deed_note(yard=yard, kind=DeedKind.SETTINGS_CHANGED, by=by, told=told, thing=climate_thing(yard), at=at)
    return rows


def month_told(row: ClimateNormal | MonthNormal) -> str:
    """A month's normals in one word: 4.5/81/15."""
    figures = (row.air_temperature_c, row.relative_humidity_pct, row.rain_days)
    return "/".join(value_told(Decimal(figure)) for figure in figures)


def climate_thing(yard: Yard) -> str:
    """How the deeds name a yard's climate, whose rows are made anew each time."""
    return f"climate:{yard.pk}"


@transaction.atomic
def hourly_rate_set(
    *, yard: Yard, amount: Decimal, at: datetime, by: Member | None = None, trade: str = "shipwright"
) -> HourlyRate:
    """Say what an hour of a trade costs, net, in the yard's currency."""
    sheet = Sheet()
    name = sheet.read(lambda: text_check(trade, field="trade", longest=40), "")
    checked = sheet.read(
        lambda: decimal_check(
            amount,
            field="amount",
            low=Decimal(0),
            high=MOST_EXPENSIVE_HOUR,
            places=min(2, minor_units(yard.currency)),
            unit=yard.currency,
        ),
        Decimal(0),
    )
    sheet.close()
    there: HourlyRate | None = HourlyRate.objects.of_yard(yard).select_for_update().filter(trade=name).first()
    before = {} if there is None else {"amount": there.amount}
    rate: HourlyRate
    rate, _ = HourlyRate.objects.update_or_create(yard=yard, trade=name, defaults={"amount": checked})
    kind, what = DeedKind.SETTINGS_CHANGED, f"rate of {name}, in {yard.currency}"
    change_note(row=rate, kind=kind, what=what, before=before, after={"amount": checked}, by=by, at=at)
    return rate


def _percentage(value: object, field: str) -> Decimal:
    return decimal_check(value, field=field, low=Decimal(0), high=Decimal(100), places=2, unit="%")


def _degrees(value: object, field: str, limit: int) -> Decimal | None:
    if value is None:
        return None
    return decimal_check(value, field=field, low=Decimal(-limit), high=Decimal(limit), places=5, unit="°")
