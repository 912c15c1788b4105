"""Working days of Norway in 2027 against a general library and the law.

Sources: `planning/working_days_no_2027.csv` was computed with numpy 2.4 (`busday_offset`, `busday_count`, week
Monday to Friday) and agrees with a plain count day by day; `planning/holidays_no_2027.csv` lists the public
holidays of the library `holidays` 0.109, which agree with the date of Easter, 28 March 2027. Both are exact.
"""

import csv
from datetime import date
from pathlib import Path
from typing import Literal

import pytest

from yard.working_days import WorkingCalendar

PLANNING = Path(__file__).parent / "planning"
NORWAY = WorkingCalendar(holiday_country="NO")
# the same days without the library, as a yard would enter them
with (PLANNING / "holidays_no_2027.csv").open(encoding="utf-8") as listed:
    LISTED = WorkingCalendar(
        own_holidays=frozenset(date.fromisoformat(row["date"]) for row in csv.DictReader(listed))
    )


def rows(operation: str) -> list[dict[str, str]]:
    with (PLANNING / "working_days_no_2027.csv").open(encoding="utf-8") as file:
        return [row for row in csv.DictReader(file) if row["operation"] == operation]


def told(row: dict[str, str]) -> str:
    return f"{row['start']}-{row['n_or_end']}-{row['roll']}"


def test_the_public_holidays_are_the_published_ones() -> None:
    assert NORWAY.holidays_in([2027]) == LISTED.holidays_in([2027])
    assert len(NORWAY.holidays_in([2027])) == 11


@pytest.mark.parametrize("calendar", [NORWAY, LISTED], ids=["by country", "by list"])
@pytest.mark.parametrize("row", rows("busday_offset"), ids=told)
def test_offsets_agree(row: dict[str, str], calendar: WorkingCalendar) -> None:
    roll: Literal["forward", "backward"] = "forward" if row["roll"] == "forward" else "backward"
    moved = calendar.add_working_days(date.fromisoformat(row["start"]), int(row["n_or_end"]), roll=roll)
    assert moved == date.fromisoformat(row["result"])


@pytest.mark.parametrize("row", rows("busday_count_half_open"), ids=told)
def test_counts_agree(row: dict[str, str]) -> None:
    start, end = date.fromisoformat(row["start"]), date.fromisoformat(row["n_or_end"])
    assert LISTED.working_days_between(start, end) == int(row["result"])


@pytest.mark.parametrize("row", rows("elapsed_wait_then_next_workday"), ids=told)
def test_waits_end_on_the_next_working_day(row: dict[str, str]) -> None:
    ready = NORWAY.elapsed_wait_then_next_workday(date.fromisoformat(row["start"]), int(row["n_or_end"]))
    assert ready == date.fromisoformat(row["result"])


def test_every_row_of_the_table_is_used() -> None:
    used = ("busday_offset", "busday_count_half_open", "elapsed_wait_then_next_workday")
    assert [len(rows(operation)) for operation in used] == [20, 7, 5]
