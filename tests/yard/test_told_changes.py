"""From what to what, in a sentence."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from yard.told_changes import changes_told


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        ({"material": "larch"}, {"material": "larch on oak"}, "material larch to larch on oak"),
        ({"year": None, "loa_mm": 8400}, {"year": 1936, "loa_mm": 8400}, "built in nothing to 1936"),
        ({"amount": Decimal("60.00")}, {"amount": Decimal("62.50")}, "an hour costs 60 to 62.5"),
        ({"amount": Decimal("60.00")}, {"amount": Decimal(60)}, ""),
        ({}, {"launch_on": date(2027, 5, 1)}, "boats go in from 2027-05-01"),
        ({"phone": "1", "name": "A"}, {"phone": "", "name": "B"}, "telephone 1 to nothing; name A to B"),
        (
            {"own_holidays": ["2027-12-24", "2027-12-31"]},
            {"own_holidays": ["2027-12-24", "2028-01-02"]},
            "days closed besides 2028-01-02 added, 2027-12-31 taken out",
        ),
        (
            {"own_holidays": []},
            {"own_holidays": [str(day) for day in range(8)]},
            "days closed besides 0, 1, 2, 3, 4, 5 and 2 more added",
        ),
        ({"for_work": False}, {"for_work": True}, "the yard's work is in it no to yes"),
        ({"material": "x" * 90}, {"material": ""}, f"material {'x' * 59}… to nothing"),
    ],
)
def test_a_change_is_told_from_what_to_what(before: dict[str, Any], after: dict[str, Any], told: str) -> None:
    assert changes_told(before, after) == told
