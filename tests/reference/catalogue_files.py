"""The stock catalogue and the trade tables, as plain Python."""

import csv
import json
import re
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

CATALOGUE: Final = Path(__file__).parents[2] / "fixtures" / "catalogue"
TABLES: Final = Path(__file__).parent / "trade"

Item = dict[str, Any]

FILES: Final = ("component_classes", "signs", "treatments", "cautions", "materials", "templates")


def stock(name: str) -> list[Item]:
    """The items of one file of the catalogue, in its order."""
    document = json.loads((CATALOGUE / f"{name}.json").read_text(encoding="utf-8"))
    items: list[Item] = document["items"]
    return items


def table(name: str) -> list[dict[str, str]]:
    """The rows of one trade table, in its order."""
    with (TABLES / f"{name}.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def by_code(name: str, column: str = "code") -> dict[str, Item]:
    """The items of one file by their code."""
    return {item[column]: item for item in stock(name)}


def beside_its_row(name: str, column: str) -> list[tuple[Item, dict[str, str]]]:
    """Each item with the table's row of the same code."""
    items = by_code(name)
    return [(items[row[column]], row) for row in table(name)]


def texts(value: object) -> Iterator[str]:
    """Every piece of text in an item, however deep."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from texts(inner)


def first_whole_number(cell: str) -> int | None:
    """'10 (if glued)' is 10; 'n/a' is nothing."""
    found = re.match(r"\d+", cell)
    return int(found.group()) if found else None


HOURS_IN: Final = {"h": 1, "d": 24, "week": 168, "weeks": 168}


def spans_in_hours(cell: str) -> list[tuple[Decimal, Decimal]]:
    """Every duration a cell of waits names, as (low, high) in hours; a single figure is both.

    '48 h or more (supplier page: 5-7 d)' holds 48 to 48 and 120 to 168; '2-3 mm a day' is no duration.
    """
    pattern = re.compile(r"(\d+(?:\.\d+)?)(?:-(\d+(?:\.\d+)?))?\s*(h|d|weeks?)\b")
    spans = []
    for low, high, unit in pattern.findall(cell):
        spans.append((Decimal(low) * HOURS_IN[unit], Decimal(high or low) * HOURS_IN[unit]))
    return spans


def triples(cell: str) -> list[tuple[Decimal, Decimal, Decimal]]:
    """Every 'low-likely-high' of a cell of materials; kilograms and litres of varnish stay as they are written."""
    figure = r"(\d+(?:\.\d+)?)"
    return [
        (Decimal(low), Decimal(likely), Decimal(high))
        for low, likely, high in re.findall(rf"(?<![\d.-]){figure}-{figure}-{figure}(?![\d-])", cell)
    ]
