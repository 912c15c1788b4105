"""The hours until the launches as a drawing: what has to be done by each week against what the yard has until then.

Places across are per cent, so that the drawing follows the width of the page and its letters stay as large as they
are; heights are pixels.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from math import ceil
from typing import Final

from workshop.planning.launch_hours import HoursPlan

HEIGHT: Final = 220
TOP: Final = 26  # room for a word above the highest bar
FLOOR: Final = 180
LEFT_PCT: Final = 9.0  # room for the figures of the scale
WIDEST_PCT: Final = 7.0  # of a bar, where there are few weeks
STEPS: Final = 4
# So many weeks have room for a label each on a phone; of more, every second or third is labelled there.
LABELS_ON_A_PHONE: Final = 7


@dataclass(frozen=True, slots=True)
class Bar:
    """One week.

    Attributes:
        x, width, middle, left, right: per cent of the drawing's width; from left to right is the week's share.
        due_y, due_height: of what is due by the launch.
        later_y, later_height: of what can wait past the launch; it stands on the other.
        there_y: what the yard has until then; None where it is not stated.
        label, labelled: the week's number, and whether it is shown on a phone.
        short: what is missing, in whole hours; 0 where nothing is.
    """

    x: float
    width: float
    middle: float
    left: float
    right: float
    due_y: float
    due_height: float
    later_y: float
    later_height: float
    there_y: float | None
    before_y: float | None
    label: str
    labelled: bool
    short: int
    short_y: float


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the scale."""

    y: float
    hours: int


@dataclass(frozen=True, slots=True)
class Picture:
    height: int
    floor: int
    left: float
    label_y: int
    bars: tuple[Bar, ...]
    scale: tuple[Line, ...]


def picture_of(plan: HoursPlan) -> Picture | None:
    """The drawing; None where there is nothing to draw."""
    most = max((max(week.needed, week.there or Decimal(0)) for week in plan.weeks), default=Decimal(0))
    if not any(week.needed for week in plan.weeks):
        return None
    step = _step(most)
    top = step * ceil(most / step)

    def y(hours: Decimal | int) -> float:
        return round(FLOOR - (FLOOR - TOP) * float(hours) / top, 1)

    share = (100 - LEFT_PCT) / len(plan.weeks)
    width = min(share * 0.6, WIDEST_PCT)
    every = ceil(len(plan.weeks) / LABELS_ON_A_PHONE)
    bars: list[Bar] = []
    for number, week in enumerate(plan.weeks):
        left = LEFT_PCT + share * number
        bars.append(
            Bar(
                x=round(left + (share - width) / 2, 2),
                width=round(width, 2),
                middle=round(left + share / 2, 2),
                left=round(left, 2),
                right=round(left + share, 2),
                due_y=y(week.needed_by_launch),
                due_height=round(FLOOR - y(week.needed_by_launch), 1),
                later_y=y(week.needed),
                later_height=round(y(week.needed_by_launch) - y(week.needed), 1),
                there_y=None if week.there is None else y(week.there),
                before_y=bars[-1].there_y if bars else None,
                label=str(week.week.number),
                labelled=number % every == 0,
                short=ceil(week.short),
                short_y=round(y(week.needed) - 6, 1),
            )
        )
    scale = tuple(Line(y(hours), hours) for hours in range(0, top + 1, step))
    return Picture(HEIGHT, FLOOR, LEFT_PCT, FLOOR + 18, tuple(bars), scale)


def _step(most: Decimal) -> int:
    """A round number of hours that divides the scale into some four parts."""
    rough = max(1.0, float(most) / STEPS)
    size = 1
    while True:
        for factor in (1, 2, 5):
            if factor * size >= rough:
                return factor * size
        size *= 10


__all__ = ["Bar", "Picture", "picture_of"]
