"""Two managers at the settings: what the other has set since the page was opened is told, and not written over."""

from __future__ import annotations

from calendar import month_abbr

from web.base.overtaken import REMEDY, KeyedForm
from web.office.settings_forms import ClimateForm
from yard.models import ClimateNormal, HourlyRate, Season, VatClass, Yard
from yard.refusals import Refused
from yard.selectors import who_changed
from yard.services.deeds import thing_of
from yard.services.yards import climate_thing, month_told
from yard.told_changes import value_told

Row = HourlyRate | VatClass | Season
ALL_MONTHS = "all"


def values_of(row: Row) -> list[object]:
    """What a row says, as the page shows it."""
    if isinstance(row, HourlyRate):
        return [value_told(row.amount)]
    if isinstance(row, Season):
        return [row.launch_on.isoformat(), row.layup_on.isoformat()]
    rates = sorted((rate.valid_from.isoformat(), value_told(rate.rate_pct)) for rate in row.rates.all())
    return [row.name, str(row.category), row.for_work, rates]


def refuse_row_overtaken(form: KeyedForm, row: Row | None, field: str) -> None:
    """Hold the row of a key, read under the yard's lock, against the one that the page showed.

    Raises:
        Refused: somebody else has set it since, at `field`. Sent again, the form is taken.
    """
    if row is None or not form.overtaken(_key_of(row), values_of(row)):
        return
    who = who_changed(row.yard, thing_of(row)) or "somebody else"
    key = "" if isinstance(row, HourlyRate) else f"{_key_of(row)} "
    raise Refused(field, f"{key}was set to {_told(row)} by {who} since this page was opened", REMEDY)


def refuse_climate_overtaken(form: ClimateForm, yard: Yard) -> None:
    """The same for the climate, whose twelve months are set together.

    Raises:
        Refused: somebody else has set it since; the months that differ from what was typed are told.
    """
    # Read first: what makes no sense is refused by itself, and has not seen theirs yet.
    typed = {normal.month: month_told(normal) for normal in form.normals}
    rows = list(ClimateNormal.objects.of_yard(yard).order_by("month"))
    other = [row for row in rows if typed.get(row.month) != month_told(row)]
    if not form.overtaken(ALL_MONTHS, climate_values(rows)) or not other:
        return
    theirs = [f"{month_abbr[row.month]} {month_told(row)}" for row in other]
    who = who_changed(yard, climate_thing(yard)) or "somebody else"
    problem = f"was set by {who} since this page was opened, and differs from yours: {value_told(theirs)}"
    raise Refused("climate", problem, REMEDY)


def climate_values(rows: list[ClimateNormal]) -> list[str] | None:
    """The twelve months as they were shown; None where there are none."""
    return [f"{row.month} {month_told(row)}" for row in rows] or None


def _key_of(row: Row) -> object:
    if isinstance(row, HourlyRate):
        return row.trade
    return row.year if isinstance(row, Season) else row.code


def _told(row: Row) -> str:
    if isinstance(row, HourlyRate):
        return f"{value_told(row.amount)} {row.yard.currency}"
    if isinstance(row, Season):
        return f"{row.launch_on.isoformat()} to {row.layup_on.isoformat()}"
    rates = [f"{value_told(rate.rate_pct)} % from {rate.valid_from.isoformat()}" for rate in row.rates.all()]
    works = ["the yard's work"] if row.for_work else []
    return ", ".join([row.name, row.get_category_display(), *rates, *works])


__all__ = ["climate_values", "refuse_climate_overtaken", "refuse_row_overtaken", "values_of"]
