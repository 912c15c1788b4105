"""The boat from the side, under the plan: sheer, waterline, stem, keel and transom, from length and beam. No mast.

It is drawn, not measured, as the plan is: depth and freeboard are shares of the beam, a choice of our own. How high
a place lies is not recorded; a place on the hull or inside is shown by a line at its length, at no height: unbroken
on starboard, the side that is seen, and on the centreline, broken on the side behind. Pure.
"""

from __future__ import annotations

import bisect
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from workshop.report.plan import THOUSAND, Mark

# Shares of a depth that is half the beam: a shape of our own; no boat's lines.
FREEBOARD_FORWARD: Final = 0.78
FREEBOARD_MIDSHIPS: Final = 0.48
FREEBOARD_AFT: Final = 0.58
DRAUGHT: Final = 0.62
# The control point that makes the sheer pass midships at its lowest freeboard.
SHEER_PULL: Final = 2 * FREEBOARD_MIDSHIPS - (FREEBOARD_AFT + FREEBOARD_FORWARD) / 2
# Points by share of the length from aft and share of the depth above the waterline.
AFTER_KEEL: Final = ((0.0, FREEBOARD_AFT), (0.06, -0.1), (0.16, -DRAUGHT), (0.8, -0.75 * DRAUGHT))
STEM: Final = ((1.0, FREEBOARD_FORWARD), (0.97, 0.2), (0.93, -0.25), AFTER_KEEL[-1])
EDGE: Final = 1.0
# A share of the depth that her beam gives her.
LEAST_DEPTH: Final = 0.5
# Numbers closer than this at the foot stand in the next row, of this many.
NUMBER_PITCH: Final = 5.0
ROW_HEIGHT: Final = 3.4
MOST_ROWS: Final = 4


@dataclass(frozen=True, slots=True)
class Tick:
    """A place at its length: a line from sheer to keel, and its number at the foot; `far` is the side behind."""

    x: float
    top: float
    bottom: float
    number: int
    y: float
    far: bool


@dataclass(frozen=True, slots=True)
class Profile:
    """Everything the SVG needs; lengths in units of the sheet."""

    width: float
    height: float
    aft: float
    forward: float
    waterline: float
    hull: str
    ticks: tuple[Tick, ...]
    label: str
    sides_text: str


def profile_drawing(
    *,
    loa_mm: int,
    beam_mm: int,
    marks: Sequence[Mark],
    label: str,
    sides_text: str,
    room: float,
    width: float = 180.0,
) -> Profile | None:
    """Draw her from the side, bow to the right, as long as on the plan.

    Args:
        loa_mm: length over all [mm], more than the beam.
        beam_mm: greatest beam [mm].
        marks: places on the hull and inside.
        label: what a reader who can't see it is told.
        sides_text: tells what a broken line means; it stands there only where one is drawn.
        room: the most height that the sheet may have; she is drawn shallower to keep within it.
        width: of the sheet.

    Returns:
        The drawing, or None where she would be too flat to be known for a boat.
    """
    side = width * 0.055
    length = width - 2 * side
    rows = _rows(marks, side, length)
    foot = ROW_HEIGHT * (1 + max(rows.values(), default=-1)) + EDGE
    natural = min(length * beam_mm / loa_mm, length * 0.3) / 2
    depth = min(natural, (room - EDGE - foot) / (FREEBOARD_FORWARD + DRAUGHT))
    if depth < LEAST_DEPTH * natural:
        return None
    hull = _Hull(aft=side, length=length, water=EDGE + FREEBOARD_FORWARD * depth, depth=depth)
    keel = hull.y(-DRAUGHT)
    ticks = _ticks(marks, rows, hull, keel)
    return Profile(
        width=round(width, 2),
        height=round(keel + foot, 2),
        aft=round(side, 2),
        forward=round(side + length, 2),
        waterline=round(hull.water, 2),
        hull=hull.outline(),
        ticks=ticks,
        label=label,
        sides_text=sides_text if any(tick.far for tick in ticks) else "",
    )


@dataclass(frozen=True, slots=True)
class _Hull:
    """Her shape, by shares of the length from aft and of the depth above the waterline."""

    aft: float
    length: float
    water: float
    depth: float

    def x(self, share: float) -> float:
        return self.aft + share * self.length

    def y(self, above: float) -> float:
        return self.water - above * self.depth

    def outline(self) -> str:
        """Sheer from the transom forward, down the stem, aft along the keel, up the transom."""
        stem = " ".join(self._at(*point) for point in STEM[1:])
        keel = "".join(f"L{self._at(*point)}" for point in reversed(AFTER_KEEL[1:-1]))
        return f"M{self._at(*AFTER_KEEL[0])}Q{self._at(0.5, SHEER_PULL)} {self._at(*STEM[0])}C{stem}{keel}Z"

    def sheer(self, share: float) -> float:
        aft, forward = FREEBOARD_AFT * (1 - share) ** 2, FREEBOARD_FORWARD * share**2
        return self.y(aft + 2 * share * (1 - share) * SHEER_PULL + forward)

    def foot(self, share: float) -> float:
        """The lowest point of her shape at a share of the length."""
        position = min(bisect.bisect_right([at for at, _ in UNDERSIDE], share), len(UNDERSIDE) - 1)
        (before, low), (after, high) = UNDERSIDE[position - 1], UNDERSIDE[position]
        return self.y(low + (high - low) * (share - before) / (after - before))

    def _at(self, share: float, above: float) -> str:
        return f"{self.x(share):.2f},{self.y(above):.2f}"


def _rows(marks: Sequence[Mark], aft: float, length: float) -> dict[int, int]:
    """The row at the foot for each number, from aft forward; numbers for which no row has room are left out."""
    ends = [float("-inf")] * MOST_ROWS
    rows = {}
    for mark in sorted(marks, key=lambda mark: (-mark.x, mark.number)):
        x = aft + _share(mark) * length
        row = next((row for row, end in enumerate(ends) if x - end >= NUMBER_PITCH), None)
        if row is not None:  # otherwise the plan above shows it
            ends[row], rows[mark.number] = x, row
    return rows


def _ticks(marks: Sequence[Mark], rows: Mapping[int, int], hull: _Hull, keel: float) -> tuple[Tick, ...]:
    return tuple(
        Tick(
            x=round(hull.x(_share(mark)), 2),
            top=round(hull.sheer(_share(mark)), 2),
            bottom=round(hull.foot(_share(mark)), 2),
            number=mark.number,
            y=round(keel + ROW_HEIGHT * (1 + rows[mark.number]), 2),
            far=mark.y < THOUSAND / 2,
        )
        for mark in sorted(marks, key=lambda mark: (-mark.x, mark.number))
        if mark.number in rows
    )


def _share(mark: Mark) -> float:
    """How far forward a place lies, as a share of the length."""
    return 1 - min(max(mark.x / THOUSAND, 0.0), 1.0)


def _stem(step: float) -> tuple[float, float]:
    """A point of the stem's curve, from its head (0) to where the keel begins (1)."""
    weights = ((1 - step) ** 3, 3 * step * (1 - step) ** 2, 3 * step**2 * (1 - step), step**3)
    return (
        sum(weight * share for weight, (share, _) in zip(weights, STEM, strict=True)),
        sum(weight * above for weight, (_, above) in zip(weights, STEM, strict=True)),
    )


# From aft forward: where her shape ends below.
UNDERSIDE: Final = (*AFTER_KEEL, *(_stem(step / 8) for step in range(7, -1, -1)))


__all__ = ["Profile", "Tick", "profile_drawing"]
