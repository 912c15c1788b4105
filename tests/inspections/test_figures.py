"""What is no number is refused with its field, wherever a figure comes in."""

import math
from decimal import Decimal
from typing import Any

import pytest

from inspections.figures import between, number
from inspections.timber.moisture import equilibrium_moisture_content_pct
from yard.refusals import Refused


@pytest.mark.parametrize("value", [None, "long", [], math.nan, math.inf, 10**400])
def test_what_is_no_number_is_refused_with_its_field_and_what_would_do(value: Any) -> None:
    with pytest.raises(Refused) as refusal:
        number("size_mm", value)
    assert (refusal.value.field, refusal.value.remedy) == ("size_mm", "give a number")


@pytest.mark.parametrize("value", [12, 12.0, Decimal(12), "12"])
def test_a_number_is_one_in_whatever_dress(value: Any) -> None:
    assert number("size_mm", value) == 12


def test_both_ends_of_a_range_belong_to_it() -> None:
    assert [between("moisture", end, 0, 120, "%") for end in (0, 120)] == [0, 120]
    with pytest.raises(Refused, match="140 % can't be"):
        between("moisture", 140, 0, 120, "%")


def test_a_timber_figure_that_was_left_empty_is_refused_like_any_other() -> None:
    empty: Any = None
    with pytest.raises(Refused, match="temperature_c"):
        equilibrium_moisture_content_pct(temperature_c=empty, relative_humidity_pct=50)
