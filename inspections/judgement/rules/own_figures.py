"""The figures of the rules one by one, and a yard's own of them laid over the rest. Pure."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from copy import deepcopy
from functools import lru_cache
from typing import Any, Final

from inspections.judgement.rules import DEFAULT_RULES

Overrides = Mapping[str, Any]
Path = tuple[str, ...]

DOT: Final = "."


@lru_cache(maxsize=1)
def _stock() -> dict[str, Any]:
    read: dict[str, Any] = json.loads(DEFAULT_RULES.read_text(encoding="utf-8"))
    return read


def stock_figures() -> dict[str, float]:
    """Every figure of the stock rules by its name with dots, like `moisture.wet_pct`, in the order of the file."""
    return {DOT.join(path): value for path, value in _figures(_stock(), ())}


def own_figures(overrides: Overrides) -> dict[str, float]:
    """The figures among a yard's own overrides, by the same names."""
    return {DOT.join(path): value for path, value in _figures(overrides, ())}


def source_of(name: str) -> str:
    """What the rule file says of a figure: the source that stands nearest to it; empty where it says nothing."""
    path = name.split(DOT)
    table: Any = _stock()
    told = ""
    for step, key in enumerate(path):
        told = table.get("source", told)
        words = key.split("_")
        near = (f"{'_'.join(words[:count])}_source" for count in range(len(words), 0, -1))
        told = next((table[each] for each in near if each in table), told)
        if step < len(path) - 1:
            table = table.get(key, {})
            if not isinstance(table, dict):
                break
    return str(told)


def with_figures(overrides: Overrides, figures: Mapping[str, float]) -> dict[str, Any]:
    """These figures in the place of those before, without the stock ones; what else a yard has of its own stays.

    Args:
        overrides: what the yard has now.
        figures: all of its figures, by their names with dots.
    """
    laid = _without_figures(overrides)
    stock = stock_figures()
    for name, value in figures.items():
        if stock.get(name) == value:
            continue
        *tables, key = name.split(DOT)
        inner = laid
        for table in tables:
            inner = inner.setdefault(table, {})
        inner[key] = int(value) if float(value).is_integer() else float(value)
    return laid


def figures_moved(before: Overrides, after: Overrides) -> list[tuple[str, float | None, float | None]]:
    """Each figure that two sets of own ones give otherwise, with both; None where there is no stock one either."""
    stock, was, now = stock_figures(), own_figures(before), own_figures(after)
    moved = [(name, was.get(name, stock.get(name)), now.get(name, stock.get(name))) for name in {**was, **now}]
    return [each for each in moved if each[1] != each[2]]


def _figures(data: Mapping[str, Any], where: Path) -> Iterator[tuple[Path, float]]:
    for key, value in data.items():
        if isinstance(value, Mapping):
            yield from _figures(value, (*where, key))
        elif isinstance(value, (int, float)) and not isinstance(value, bool):
            yield (*where, key), value


def _without_figures(overrides: Overrides) -> dict[str, Any]:
    kept: dict[str, Any] = {}
    for key, value in overrides.items():
        if isinstance(value, Mapping):
            inner = _without_figures(value)
            if inner:
                kept[key] = inner
        elif isinstance(value, bool) or not isinstance(value, (int, float)):
            kept[key] = deepcopy(value)
    return kept


__all__ = ["figures_moved", "own_figures", "source_of", "stock_figures", "with_figures"]
