from __future__ import annotations

from decimal import Decimal
from typing import Final
from zoneinfo import ZoneInfo

from django.db import models
from django.db.models import F, Q

from yard.models.fields import between
from yard.models.scoping import YardOwned

# One person for an hour, to a thousand people for a week.
LEAST_HOURS_PER_WEEK: Final = Decimal(1)
MOST_HOURS_PER_WEEK: Final = Decimal(50_000)


def monday_to_friday() -> list[int]:
    return [0, 1, 2, 3, 4]


class Yard(models.Model):
    """The tenant: a boatyard or charter operator. Nothing is visible across yards."""

    name = models.CharField(max_length=120)
    time_zone = models.CharField(max_length=64, default="UTC", help_text="IANA name, for example Europe/Lisbon")
    currency = models.CharField(max_length=3, default="EUR", help_text="ISO 4217")
    vat_rate_pct = models.DecimalField(
        max_digits=5, decimal_places=2, default=0, help_text="on its work, until a VAT class for work has a rate"
    )
    locale = models.CharField(max_length=16, default="en_GB")
    working_weekdays = models.JSONField(default=monday_to_friday, help_text="0 is Monday")
    holiday_country = models.CharField(max_length=2, blank=True, help_text="ISO 3166, empty for none")
    holiday_subdivision = models.CharField(max_length=6, blank=True)
    own_holidays = models.JSONField(default=list, blank=True, help_text="ISO dates the yard is closed besides")
    latitude = models.DecimalField(max_digits=8, decimal_places=5, null=True, blank=True)
    longitude = models.DecimalField(max_digits=8, decimal_places=5, null=True, blank=True)
    mail_from = models.EmailField(blank=True)
    quote_valid_days = models.PositiveSmallIntegerField(default=21)
    hours_per_week = models.DecimalField(
        max_digits=6,
        decimal_places=1,
        null=True,
        blank=True,
        help_text="hours of work on boats that its people do in a week without holidays; empty: not stated",
    )

    class Meta:
        constraints = [
            between("vat_rate_pct", 0, 100, name="yard_vat_rate_is_a_percentage"),
            between("latitude", -90, 90, name="yard_latitude_on_the_globe"),
            between("longitude", -180, 180, name="yard_longitude_on_the_globe"),
            between("quote_valid_days", 1, 365, name="yard_quote_validity_within_a_year"),
            between(
                "hours_per_week", LEAST_HOURS_PER_WEEK, MOST_HOURS_PER_WEEK, name="yard_hours_per_week_plausible"
            ),
            models.CheckConstraint(
                condition=Q(currency__regex=r"^[A-Z]{3}$"), name="yard_currency_is_three_letters"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.time_zone)


class HourlyRate(YardOwned):
    """What an hour of a trade costs the owner, net."""

    trade = models.CharField(max_length=40, default="shipwright")
    amount = models.DecimalField(max_digits=10, decimal_places=2)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["yard", "trade"], name="one_rate_per_trade"),
            models.CheckConstraint(condition=Q(amount__gte=0), name="hourly_rate_not_negative"),
        ]

    def __str__(self) -> str:
        return f"{self.trade} {self.amount}"


class Season(YardOwned):
    """One spring to autumn: when the boats go in, when they come out."""

    year = models.PositiveSmallIntegerField()
    launch_on = models.DateField()
    layup_on = models.DateField()

    class Meta:
        ordering = ["year"]
        constraints = [
            models.UniqueConstraint(fields=["yard", "year"], name="one_season_per_year"),
            models.CheckConstraint(condition=Q(layup_on__gt=F("launch_on")), name="layup_after_launch"),
        ]

    def __str__(self) -> str:
        return str(self.year)


class ClimateNormal(YardOwned):
    """What one month is like at the yard, on average."""

    month = models.PositiveSmallIntegerField()
    air_temperature_c = models.DecimalField(max_digits=4, decimal_places=1)
    relative_humidity_pct = models.DecimalField(max_digits=4, decimal_places=1)
    rain_days = models.DecimalField(max_digits=3, decimal_places=1)

    class Meta:
        ordering = ["month"]
        constraints = [
            models.UniqueConstraint(fields=["yard", "month"], name="one_normal_per_month"),
            between("month", 1, 12, name="climate_month_in_the_year"),
            between("air_temperature_c", -60, 60, name="climate_temperature_on_earth"),
            between("relative_humidity_pct", 0, 100, name="climate_humidity_is_a_percentage"),
            between("rain_days", 0, 31, name="climate_rain_days_in_a_month"),
        ]

    def __str__(self) -> str:
        return f"{self.month:02d}"


__all__: list[str] = ["ClimateNormal", "HourlyRate", "Season", "Yard"]
