"""Forms of the yard's settings."""

from __future__ import annotations

import re
from calendar import day_name, month_abbr
from collections.abc import Mapping, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any, Final

import holidays
from django import forms

from web.base.forms import DayField, YardForm
from web.base.overtaken import KeyedForm
from web.office.job_forms import DecimalField
from yard.models import ClimateNormal, Yard
from yard.models.vat import VatCategory
from yard.refusals import Refused
from yard.services.yards import MonthNormal

MONTHS: Final = range(1, 13)
CLIMATE: Final = ("air_temperature_c", "relative_humidity_pct", "rain_days")


class YardSettings(YardForm):
    """What the yard is called, where it is, and what stands in its letters."""

    remembers_shown = True
    one_thing = (frozenset({"latitude", "longitude"}),)

    name = forms.CharField(label="Name of the yard", max_length=120, required=False)
    locale = forms.CharField(
        label="Language and country", help_text="Like en-GB or nb-NO: how days and figures look."
    )
    mail_from = forms.CharField(
        label="Mails come from", required=False, help_text="Empty: the address of whoever runs the service."
    )
    quote_valid_days = forms.IntegerField(label="A quote holds for, days")
    hours_per_week = DecimalField(
        label="Hours of work in a week",
        required=False,
        help_text="Of all who work on boats, in a week without holidays. Empty: the season page leaves them out.",
    )
    time_zone = forms.CharField(label="Time zone", help_text="Like Europe/Oslo.")
    latitude = DecimalField(label="Latitude, °", required=False, help_text="North is positive.")
    longitude = DecimalField(label="Longitude, °", required=False, help_text="East is positive.")

    @property
    def changes(self) -> dict[str, Any]:
        return self.changed

    @classmethod
    def of(cls, yard: Yard) -> dict[str, Any]:
        return {name: getattr(yard, name) for name in cls.base_fields}


class DaysField(forms.CharField):
    """Days, one in a line: however the lines end, and in which order, they are the same days."""

    def has_changed(self, initial: object, data: object) -> bool:
        return set(str(initial or "").split()) != set(str(data or "").split())


class WorkingDays(YardForm):
    """On which days the yard works."""

    remembers_shown = True
    one_thing = (frozenset({"holiday_country", "holiday_subdivision"}),)

    working_weekdays = forms.TypedMultipleChoiceField(
        label="Days of the week",
        coerce=int,
        choices=list(enumerate(day_name)),
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    holiday_country = forms.ChoiceField(label="Public holidays of", required=False)
    holiday_subdivision = forms.CharField(
        label="Part of that country",
        required=False,
        help_text="Its ISO 3166-2 letters, like BY; empty for the whole.",
    )
    own_holidays = DaysField(
        label="Closed besides",
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="One day in a line, like 2027-12-24.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = sorted(holidays.list_supported_countries())
        self.fields["holiday_country"].choices = [("", "no country"), *((code, code) for code in known)]  # type: ignore[attr-defined]

    @property
    def changes(self) -> dict[str, Any]:
        changed = self.changed
        if "own_holidays" in changed:
            changed["own_holidays"] = changed["own_holidays"].split()
        return changed

    @staticmethod
    def of(yard: Yard) -> dict[str, Any]:
        return {
            "working_weekdays": yard.working_weekdays,
            "holiday_country": yard.holiday_country,
            "holiday_subdivision": yard.holiday_subdivision,
            "own_holidays": "\n".join(yard.own_holidays),
        }


class RateForm(KeyedForm):
    trade = forms.CharField(label="Trade", max_length=40, help_text="Such as: shipwright, rigger.")
    amount = DecimalField(label="An hour costs, net")


class VatForm(KeyedForm):
    code = forms.CharField(
        label="Code", max_length=40, help_text="Such as: standard. The same code changes the class."
    )
    name = forms.CharField(label="As people read it", max_length=120)
    category = forms.ChoiceField(label="Kind", choices=VatCategory.choices)
    rate_pct = DecimalField(label="Rate, %")
    valid_from = DayField(label="Holds from")
    for_work = forms.BooleanField(label="The yard's work is in this class", required=False)


class SeasonForm(KeyedForm):
    year = forms.IntegerField(label="Year")
    launch_on = DayField(label="Boats go in from")
    layup_on = DayField(label="Boats come out on")


class ClimateForm(KeyedForm):
    """Twelve months by hand, or a table pasted out of a spreadsheet."""

    pasted = forms.CharField(
        label="Or paste a table",
        required=False,
        widget=forms.Textarea(attrs={"rows": 6}),
        help_text="Twelve lines from January on: mean air temperature °C, relative humidity %, days of rain, with "
        "tabs, semicolons or blanks between. A month in front is left out. It takes the place of the fields above.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for month in MONTHS:
            for name, label in zip(CLIMATE, ("°C", "humidity %", "days of rain"), strict=True):
                field = DecimalField(label=f"{month_abbr[month]}: {label}", required=False)
                field.widget.attrs["aria-label"] = field.label  # in a table its column says it
                self.fields[f"{name}_{month}"] = field

    def months(self) -> list[tuple[str, list[Any]]]:
        """For the page: a month with its three fields."""
        return [(month_abbr[month], [self[f"{name}_{month}"] for name in CLIMATE]) for month in MONTHS]

    @property
    def normals(self) -> list[MonthNormal]:
        """What was typed or pasted.

        Raises:
            Refused: a month lacks a figure, or a pasted line has no three.
        """
        if self.cleaned_data["pasted"].strip():
            return pasted_normals(self.cleaned_data["pasted"])
        missing = [
            month_abbr[month]
            for month in MONTHS
            if any(self.cleaned_data[f"{name}_{month}"] is None for name in CLIMATE)
        ]
        if missing:
            raise Refused("normals", f"lack figures for {', '.join(missing)}", "give three figures for every month")
        return [MonthNormal(month, *(self.cleaned_data[f"{name}_{month}"] for name in CLIMATE)) for month in MONTHS]

    @staticmethod
    def of(normals: Sequence[ClimateNormal]) -> Mapping[str, Decimal]:
        return {f"{name}_{normal.month}": getattr(normal, name) for normal in normals for name in CLIMATE}


def pasted_normals(text: str) -> list[MonthNormal]:
    """Twelve lines of three figures, from January on; words and numbers of months in front are left out.

    Raises:
        Refused: there are not twelve lines, or one has no three figures.
    """
    lines = [line for line in text.splitlines() if re.search(r"\d", line)]
    if len(lines) != len(MONTHS):
        raise Refused("pasted", f"has {len(lines)} lines with figures", "paste twelve, from January on")
    return [_pasted(month, line) for month, line in zip(MONTHS, lines, strict=True)]


def _pasted(month: int, line: str) -> MonthNormal:
    cells = [cell for cell in re.split(r"[\t;|]+|\s+", line.strip()) if re.search(r"\d", cell)]
    try:
        figures = [Decimal(cell.replace(",", ".").replace("\u2212", "-")) for cell in cells]
    except InvalidOperation:
        figures = []
    if not all(figure.is_finite() for figure in figures):
        figures = []
    if len(figures) == len(CLIMATE) + 1 and figures[0] == month:
        figures = figures[1:]
    if len(figures) != len(CLIMATE):
        remedy = "give temperature, humidity and days of rain, like 4.5; 81; 15"
        raise Refused("pasted", f"{month_abbr[month]} has no three figures: {line.strip()[:60]}", remedy)
    return MonthNormal(month, *figures)


__all__ = [
    "ClimateForm",
    "RateForm",
    "SeasonForm",
    "VatForm",
    "WorkingDays",
    "YardSettings",
    "pasted_normals",
]
