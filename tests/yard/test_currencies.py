import pytest

from yard.currencies import NOT_MONEY, currency_check, minor_units
from yard.refusals import Refused


@pytest.mark.parametrize("written", ["NOK", "nok", " Nok "])
def test_a_currency_is_read_in_capitals(written: str) -> None:
    assert currency_check(written) == "NOK"


@pytest.mark.parametrize("code", ["", "EURO", "kr", "€", "QQQ", "ÅÄÖ", None, 978, *sorted(NOT_MONEY)])
def test_what_nobody_pays_with_is_refused(code: object) -> None:
    with pytest.raises(Refused, match="ISO 4217") as refusal:
        currency_check(code, field="yard_currency")
    assert refusal.value.field == "yard_currency"


def test_an_unknown_currency_has_no_minor_unit() -> None:
    with pytest.raises(Refused):
        minor_units("QQQ")
