"""The steps of an operation as the catalogue keeps them, read into values with units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from math import isfinite
from typing import Final

from yard.refusals import Refused

DRYING: Final = "drying"
# What a coat, a glue or a stain needs before the next step; without a word it is a wait like any other.
WAITS_FOR: Final = (DRYING, "cure", "recoat", "stain", "")

LONGEST_WAIT_H: Final = 10_000.0
# Ten times slower for 10 °C is beyond what any glue or varnish does.
SLOWEST_COLD_FACTOR: Final = 10.0


@dataclass(frozen=True, slots=True)
class Wait:
    """What a step leaves behind that must be waited for, in calendar hours at 20 °C.

    Args:
        what: one of `WAITS_FOR`; no unit.
        hours_low, hours_likely, hours_high: in h at 20 °C, above 0 to 10 000, in this order.
        cold_factor: how many times longer at 10 °C, no unit, 1 (whatever the weather) to 10.
        since_step: from the end of which step it counts: its own place among the steps, or an earlier one, from 1.

    Raises:
        Refused: a figure outside its range or out of order, or an unknown word.
    """

    what: str
    hours_low: float
    hours_likely: float
    hours_high: float
    cold_factor: float
    since_step: int

    def __post_init__(self) -> None:
        if self.what not in WAITS_FOR:
            raise Refused("wait.for", f"{self.what!r} is not known", f"give one of: {', '.join(WAITS_FOR[:-1])}")
        if not 0 < self.hours_low <= self.hours_likely <= self.hours_high <= LONGEST_WAIT_H:
            raise Refused(
                "wait.hours_likely",
                f"{self.hours_low:g}, {self.hours_likely:g} and {self.hours_high:g} h are out of order or range",
                f"give three figures above 0 to {LONGEST_WAIT_H:g} h, the lowest first",
            )
        if not 1 <= self.cold_factor <= SLOWEST_COLD_FACTOR:
            raise Refused(
                "wait.cold_factor", f"is {self.cold_factor:g}", f"give 1 to {SLOWEST_COLD_FACTOR:g}, without unit"
            )


@dataclass(frozen=True, slots=True)
class Step:
    """One step of an operation, and what is waited for after it."""

    text: str
    wait: Wait | None = None


def steps_of(documents: Sequence[Mapping[str, object]]) -> tuple[Step, ...]:
    """Read the steps of an operation from the catalogue's JSON.

    Args:
        documents: each with `text` and `wait`: null, or `for`, three `hours_…` in h at 20 °C, `cold_factor` without
            unit, `since_step` counted from 1.

    Raises:
        Refused: words where a figure is used, a figure outside its range, a wait that counts from a later step.

    Source: the form is the catalogue's own, no source.

    >>> wait = {"for": "recoat", "hours_low": "16", "hours_likely": "20", "hours_high": "24", "cold_factor": "2.6",
    ...         "since_step": 1}
    >>> steps_of([{"text": "Coat 1 of 6.", "wait": wait}])[0].wait.hours_likely
    20.0
    """
    return tuple(_step(number, document) for number, document in enumerate(documents, start=1))


def _step(number: int, document: Mapping[str, object]) -> Step:
    text, wait = str(document.get("text", "")), document.get("wait")
    place = f"steps[{number - 1}]"
    if wait is None:
        return Step(text)
    if not isinstance(wait, Mapping):
        raise Refused(f"{place}.wait", "is no object", "give null, or hours, cold_factor and since_step")
    since = wait.get("since_step", number)
    if isinstance(since, bool) or not isinstance(since, int) or not 1 <= since <= number:
        raise Refused(f"{place}.wait.since_step", f"is {since!r}", f"give a whole number from 1 to {number}")
    try:
        return Step(
            text,
            Wait(
                what=str(wait.get("for") or ""),
                hours_low=_figure(wait, "hours_low"),
                hours_likely=_figure(wait, "hours_likely"),
                hours_high=_figure(wait, "hours_high"),
                cold_factor=_figure(wait, "cold_factor"),
                since_step=since,
            ),
        )
    except Refused as refusal:
        raise refusal.under(place) from refusal


def _figure(wait: Mapping[str, object], name: str) -> float:
    try:
        figure = float(Decimal(str(wait.get(name))))
    except InvalidOperation:
        figure = float("nan")
    if not isfinite(figure):
        raise Refused(f"wait.{name}", f"is no figure: {wait.get(name)!r}", "give a decimal number, like 16 or 2.5")
    return figure


__all__ = ["DRYING", "LONGEST_WAIT_H", "SLOWEST_COLD_FACTOR", "WAITS_FOR", "Step", "Wait", "steps_of"]
