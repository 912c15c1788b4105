"""Measuring in turns, and telling what came out: ratios that hold on any machine, milliseconds beside them."""

from __future__ import annotations

import json
import os
import platform
import statistics
import time
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.db import connection

PROJECT = Path(__file__).resolve().parents[2]
RESULTS = PROJECT / "var" / "bench"


@dataclass(frozen=True, slots=True)
class Timing:
    """How long one of several things took, in milliseconds, over all rounds."""

    name: str
    rounds: int
    median_ms: float
    quarter_ms: float
    three_quarters_ms: float
    p95_ms: float


@dataclass(frozen=True, slots=True)
class Ratio:
    """What is measured against what, and the bound that the project has set itself; None where there is none.

    Args:
        ratio: of the medians, or of the figures that so many per cent of the rounds did not pass.
        quarter, three_quarters: of the ratios of the single rounds, which share the machine's mood of the moment.
    """

    name: str
    of: str
    to: str
    ratio: float
    quarter: float
    three_quarters: float
    bound: float | None

    @property
    def verdict(self) -> str:
        if self.bound is None:
            return "no bound set"
        return f"at most {self.bound:g}: {'held' if self.ratio <= self.bound else 'EXCEEDED'}"


class Measured(float):
    """Seconds that a thing has measured itself, nearer to what is meant than the time until its answer is here."""


def in_turns(
    things: Mapping[str, Callable[[], Any]], *, rounds: int, warm_up: int, before: Callable[[], Any] | None = None
) -> dict[str, list[float]]:
    """Do every thing once a round, each round beginning with another one, so that all see the same machine.

    Args:
        things: what is measured, by name; one that comes back with `Measured` seconds is believed.
        rounds: those that count, after `warm_up` ones that don't.
        before: called before each thing, and not measured.

    Returns:
        Seconds by name, a figure a round.
    """
    seconds: dict[str, list[float]] = {name: [] for name in things}
    names = list(things)
    for number in range(-warm_up, rounds):
        turn = number % len(names)
        for name in names[turn:] + names[:turn]:
            if before is not None:
                before()
            begun = time.perf_counter()
            own = things[name]()
            taken = own if isinstance(own, Measured) else time.perf_counter() - begun
            if number >= 0:
                seconds[name].append(taken)
    return seconds


def timing(name: str, seconds: list[float]) -> Timing:
    low, middle, high = statistics.quantiles(seconds, n=4, method="inclusive")
    return Timing(name, len(seconds), 1000 * middle, 1000 * low, 1000 * high, 1000 * not_passed(seconds, 95))


def not_passed(seconds: list[float], percent: int) -> float:
    """The figure that so many per cent of them don't pass."""
    return statistics.quantiles(seconds, n=100, method="inclusive")[percent - 1]


def ratio(
    name: str,
    seconds: Mapping[str, list[float]],
    *,
    of: str,
    to: str,
    bound: float | None = None,
    percent: int = 50,
) -> Ratio:
    each = [one / other for one, other in zip(seconds[of], seconds[to], strict=True)]
    low, _, high = statistics.quantiles(each, n=4, method="inclusive")
    mine, theirs = (not_passed(seconds[which], percent) for which in (of, to))
    return Ratio(name, of, to, mine / theirs, low, high, bound)


def report(name: str, seconds: Mapping[str, list[float]], ratios: list[Ratio], *, facts: Mapping[str, Any]) -> None:
    """Print a table, and keep the figures as var/bench/<name>.json."""
    timings = [timing(thing, figures) for thing, figures in seconds.items()]
    where = surroundings()
    width = max(len(one.name) for one in timings)
    lines = ["", f"--- {name} ---", ", ".join(f"{key}: {value}" for key, value in facts.items())]
    lines += [
        f"  {one.name:{width}}  {one.median_ms:10.2f} ms  (middle half {one.quarter_ms:.2f}-"
        f"{one.three_quarters_ms:.2f}, 95 %: {one.p95_ms:.2f}, {one.rounds} rounds)"
        for one in timings
    ]
    lines += [
        f"  {one.name}: {one.ratio:.2f}  (middle half {one.quarter:.2f}-{one.three_quarters:.2f}; {one.verdict})"
        for one in ratios
    ]
    lines.append("  " + ", ".join(f"{key} {value}" for key, value in where.items()))
    print("\n".join(lines), flush=True)  # noqa: T201
    RESULTS.mkdir(parents=True, exist_ok=True)
    kept = {
        "name": name,
        "measured_at": datetime.now(UTC).isoformat(timespec="seconds"),
        "surroundings": where,
        "facts": dict(facts),
        "timings": [asdict(one) for one in timings],
        "ratios": [asdict(one) for one in ratios],
    }
    (RESULTS / f"{name}.json").write_text(json.dumps(kept, indent=2) + "\n", encoding="utf-8")


def surroundings() -> dict[str, str]:
    """What a reader needs to know of the machine; its load says whether the milliseconds mean anything."""
    return {
        "cores": str(os.cpu_count()),
        "load": " ".join(f"{figure:.1f}" for figure in os.getloadavg()),
        "database": connection.vendor,
        "python": platform.python_version(),
    }


__all__ = ["Measured", "Ratio", "Timing", "in_turns", "ratio", "report"]
