"""Decimals of currencies against ISO 4217.

Sources: planning/iso4217_minor_units.csv, list one of ISO 4217 on which the library `iso4217` 1.16 and CLDR agree.
The three without decimals in CLDR but with some in list one are from the same library; CLDR's side is Babel's own.
"""

import csv
from pathlib import Path

import pytest
from babel.numbers import get_currency_name, get_currency_precision

from yard.currencies import ISO_4217_DIFFERS, minor_units

TABLE = Path(__file__).parent / "planning" / "iso4217_minor_units.csv"
ROWS = list(csv.DictReader(TABLE.read_text().splitlines()))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["code"])
def test_minor_unit_is_that_of_iso_4217(row: dict[str, str]) -> None:
    assert minor_units(row["code"]) == int(row["minor_unit_iso4217"])
    assert get_currency_precision(row["code"]) == int(row["digits_cldr"])


@pytest.mark.parametrize(("code", "decimals"), [("RSD", 2), ("ALL", 2), ("IQD", 3)])
def test_iso_4217_wins_where_cldr_leaves_decimals_out(code: str, decimals: int) -> None:
    assert minor_units(code) == decimals
    assert get_currency_precision(code) == 0


@pytest.mark.parametrize("code", ISO_4217_DIFFERS)
def test_every_exception_is_still_needed(code: str) -> None:
    assert get_currency_name(code, locale="en") != code
    assert get_currency_precision(code) != ISO_4217_DIFFERS[code]
