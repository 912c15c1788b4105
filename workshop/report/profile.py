"""The boat from the side, under the plan: sheer, waterline, stem, keel and transom, from length and beam. No mast.

It is drawn, not measured, as the plan is: depth and freeboard are shares of the beam, a choice of our own. How high
a place lies is not recorded; a place on the hull or inside is shown by a line at its length, at no height. Pure.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from workshop.report.plan import Mark

# Shares of a depth that is half the beam: a shape of our own; no boat's lines.
FREEBOARD_FORWARD: Final = 0.78
FREEBOARD_MIDSHIPS: Final = 0.48
FREEBOARD_AFT: Final = 0.58
DRAUGHT: Final = 0.62
# Numbers closer than this at the foot stand in the next row, of this many.
NUMBER_PITCH: Final = 5.0
ROW_HEIGHT: Final = 3.6
MOST_ROWS: Final = 4


@dataclass(frozen=True, slots=True)
class Tick:
    """A place at its length: a line across the hull, and its number at the foot."""

    x: float
    number: int
    y: float


@dataclass(frozen=True, slots=True)
class Profile:
    """Everything the SVG needs; lengths in units of the sheet."""

    width: float
    height: float
    aft: float
    forward: float
    top: float
    bottom: float
    waterline: float
    hull: str
    ticks: tuple[Tick, ...]
    label: str


def profile_drawing(
    *, loa_mm: int, beam_mm: int, marks: Sequence[Mark], label: str, width: float = 180.0
) -> Profile:
    """Draw her from the side, bow to the right, as long as on the plan.

    Args:
        loa_mm: length over all [mm], more than the beam.
        beam_mm: greatest beam [mm].
        marks: places on the hull and inside.
        label: what a reader who can't see it is told.
        width: of the sheet.
    """
    side = width * 0.055
    length = width - 2 * side
    depth = min(length * beam_mm / loa_mm, length * 0.3) / 2
    aft, forward, top = side, side + length, 1.0
    water = top + FREEBOARD_FORWARD * depth
    keel = water + DRAUGHT * depth
    ticks = _ticks(marks, aft, length, keel)
    height = max([keel + 1.0, *(tick.y + 1.0 for tick in ticks)])
    return Profile(
        width=round(width, 2),
        height=round(height, 2),
        aft=round(aft, 2),
        forward=round(forward, 2),
        top=top,
        bottom=round(keel, 2),
        waterline=round(water, 2),
        hull=_hull(aft, length, water, depth),
        ticks=ticks,
        label=label,
    )


def _hull(aft: float, length: float, water: float, depth: float) -> str:
    """Sheer from the transom forward, down the stem, aft along the keel, up the transom."""

    def at(share: float, above: float) -> str:
        return f"{aft + share * length:.2f},{water - above * depth:.2f}"

    # The control point makes the sheer pass midships at its lowest freeboard.
    lowest = 2 * FREEBOARD_MIDSHIPS - (FREEBOARD_AFT + FREEBOARD_FORWARD) / 2
    return (
        f"M{at(0, FREEBOARD_AFT)}Q{at(0.5, lowest)} {at(1, FREEBOARD_FORWARD)}"
        f"C{at(0.97, 0.2)} {at(0.93, -0.25)} {at(0.8, -0.75 * DRAUGHT)}"
        f"L{at(0.16, -DRAUGHT)}L{at(0.06, -0.1)}Z"
    )


def _ticks(marks: Sequence[Mark], aft: float, length: float, keel: float) -> tuple[Tick, ...]:
    """Places from aft forward; numbers that would touch stand in rows, as far as there are rows."""
    ends = [float("-inf")] * MOST_ROWS
    ticks = []
    for mark in sorted(marks, key=lambda mark: (-mark.x, mark.number)):
        x = aft + (1 - min(max(mark.x / 1000, 0.0), 1.0)) * length
        row = next((row for row, end in enumerate(ends) if x - end >= NUMBER_PITCH), None)
        if row is None:
            continue  # no room is left here; the plan above shows it
        ends[row] = x
        ticks.append(Tick(round(x, 2), mark.number, round(keel + 3.6 + row * ROW_HEIGHT, 2)))
    return tuple(ticks)


__all__ = ["Profile", "Tick", "profile_drawing"]
