"""The plan of a boat as a drawing office would begin it: deck edge, centreline and stations, from length and beam.

It is drawn, not measured: only length over all and beam are the boat's own. The bow points right, port is on top.
Numbers here are lengths on the sheet; `workshop/report/plan.svg` puts them into SVG. Pure.
"""

from __future__ import annotations

import bisect
from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from typing import Final

# Half breadth of the deck over the length, as a share of the half beam: fine forward, fullest a little aft of
# midships, a transom of two thirds. A shape of our own; no boat's lines.
HALF_BREADTH: Final = (
    (0.00, 0.000), (0.03, 0.145), (0.08, 0.330), (0.15, 0.545), (0.23, 0.725), (0.32, 0.865),
    (0.42, 0.955), (0.52, 0.995), (0.58, 1.000), (0.66, 0.990), (0.75, 0.945), (0.84, 0.865),
    (0.92, 0.765), (1.00, 0.650),
)  # fmt: skip
STATIONS: Final = 10
THOUSAND: Final = 1000

# Labels on each side stand in rows, no two in a row closer than this.
LABEL_PITCH: Final = 21.0
ROW_HEIGHT: Final = 5.2
FIRST_ROW: Final = 6.0
EDGE: Final = 1.0


@dataclass(frozen=True, slots=True)
class Mark:
    """A spot to be shown.

    Attributes:
        x: thousandths of the length from the stem.
        y: thousandths of the beam from port.
        number: of the finding in the report.
        tag: as printed on its sticker, or empty.
        priority: code; it chooses the shape.
    """

    x: int
    y: int
    number: int
    tag: str
    priority: str


@dataclass(frozen=True, slots=True)
class Ground:
    """A drawing of the yard's own that pins are laid on, bow to the right and cut to the boat.

    Attributes:
        address: by which the picture is fetched.
        width: of the picture, more than its height; in any unit.
        height: in the same unit.
    """

    address: str
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Pin:
    """A mark on the sheet, with the place of its label where it has one."""

    x: float
    y: float
    number: int
    tag: str
    priority: str
    label_x: float = 0.0
    label_y: float = 0.0
    leader_y: float = 0.0

    @property
    def tag_x(self) -> float:
        """Where the tag begins, after the number of its label."""
        return round(self.label_x + (2.4 if self.number < 10 else 4.0), 2)


@dataclass(frozen=True, slots=True)
class Station:
    """A cross line of the drawing, with its number."""

    number: int
    x: float
    top: float
    bottom: float
    label_y: float


@dataclass(frozen=True, slots=True)
class Drawing:
    """Everything the SVG needs; lengths in units of the sheet."""

    width: float
    height: float
    outline: str
    inner: str
    aft: float
    forward: float
    centre: float
    top: float
    bottom: float
    stations: tuple[Station, ...]
    pins: tuple[Pin, ...]
    full: bool
    label: str
    length_text: str
    ground: str = ""

    @property
    def length(self) -> float:
        return round(self.forward - self.aft, 2)

    @property
    def breadth(self) -> float:
        return round(self.bottom - self.top, 2)

    @property
    def middle(self) -> float:
        return round((self.aft + self.forward) / 2, 2)

    @property
    def port(self) -> float:
        """Height of the word that names the side, where the bow leaves room for it."""
        return round(self.centre - (self.centre - self.top) * 0.62, 2)

    @property
    def starboard(self) -> float:
        return round(self.centre + (self.bottom - self.centre) * 0.62 + 1.6, 2)

    @property
    def dimension(self) -> float:
        """Height of the line that carries the length."""
        return round(self.height - 2.5, 2)


def plan_drawing(
    *,
    loa_mm: int,
    beam_mm: int,
    marks: Sequence[Mark],
    label: str,
    width: float = 180.0,
    full: bool = True,
    length_text: str = "",
    ground: Ground | None = None,
) -> Drawing:
    """Draw the plan with pins.

    Args:
        loa_mm: length over all [mm], more than the beam.
        beam_mm: greatest beam [mm].
        marks: spots to be shown.
        label: what a reader who can't see it is told.
        width: of the sheet.
        full: with stations and the length; otherwise the deck edge and the labelled pins alone.
        length_text: the length over all, as it is written under the full drawing.
        ground: the yard's own drawing, which is then shown in the place of ours, in its own proportions.
    """
    side = width * 0.055 if full else width * 0.04
    length = width - 2 * side
    # A tubby boat is drawn a little slimmer than she is, so that the sheet keeps its shape.
    half = min(length * beam_mm / loa_mm, length * 0.46) / 2
    if ground is not None:
        # A high drawing is made shorter, so that it keeps its own shape and the sheet its height.
        length = min(length, length * 0.46 * ground.width / ground.height)
        side, half = (width - length) / 2, length * ground.height / ground.width / 2
    port, starboard = _side(marks, port=True), _side(marks, port=False)
    above, below = (
        FIRST_ROW + ROW_HEIGHT * _rows(len(numbers), width) if numbers else EDGE for numbers in (port, starboard)
    )
    extra = 9.0 if full else 0.0  # the length is written below
    aft, forward, centre = side, side + length, above + half
    hull = _Hull(aft=aft, length=length, centre=centre, half=half, drawn=ground is not None)
    pins = [_pin(hull, mark) for mark in marks]
    pins = [
        *_labelled(pins, hull, port, width, above=True),
        *_labelled(pins, hull, starboard, width, above=False),
    ]
    return Drawing(
        width=round(width, 2),
        height=round(above + 2 * half + below + extra, 2),
        outline=hull.outline(1.0, 0.0),
        inner=hull.outline(0.93, 0.012),
        aft=round(aft, 2),
        forward=round(forward, 2),
        centre=round(centre, 2),
        top=round(centre - half, 2),
        bottom=round(centre + half, 2),
        stations=tuple(hull.station(number) for number in range(1, STATIONS)) if full and not ground else (),
        pins=tuple(sorted(pins, key=lambda pin: pin.number)),
        full=full,
        label=label,
        length_text=length_text,
        ground="" if ground is None else ground.address,
    )


@dataclass(frozen=True, slots=True)
class _Hull:
    aft: float
    length: float
    centre: float
    half: float
    drawn: bool = False

    def x(self, share: float) -> float:
        """From a share of the length (0 at the stem) to the sheet, where the bow is on the right."""
        return self.aft + (1 - share) * self.length

    def outline(self, scale: float, inset: float) -> str:
        """The deck edge as a smooth closed path, port side first; `inset` shortens it at both ends."""
        stretch = 1 - 2 * inset
        points = [(self.x(inset + share * stretch), self.half * scale * part) for share, part in HALF_BREADTH]
        port = [(x, self.centre - y) for x, y in points]
        starboard = [(x, self.centre + y) for x, y in reversed(points)]
        return f"M{_point(port[0])}{_smooth(port)}L{_point(starboard[0])}{_smooth(starboard)}Z"

    def station(self, number: int) -> Station:
        share = number / STATIONS
        breadth = self.half * half_breadth(share)
        return Station(
            number=number,
            x=round(self.x(share), 2),
            top=round(self.centre - breadth, 2),
            bottom=round(self.centre + breadth, 2),
            label_y=round(self.centre + 0.93 * breadth - 1.1, 2),
        )


def half_breadth(share: float) -> float:
    """Half breadth as a share of the half beam, 0 to 1, at a share of the length from the stem, 0 to 1."""
    position = bisect.bisect_right([at for at, _ in HALF_BREADTH], share)
    if position >= len(HALF_BREADTH):
        return HALF_BREADTH[-1][1]
    (before, low), (after, high) = HALF_BREADTH[max(position - 1, 0)], HALF_BREADTH[position]
    return low + (high - low) * (share - before) / (after - before)


def _pin(hull: _Hull, mark: Mark) -> Pin:
    share = min(max(mark.x / THOUSAND, 0.0), 1.0)
    # What was marked beside the hull of our drawing is moved onto her; the yard's own is a box that holds all.
    most = hull.half if hull.drawn else max(half_breadth(share), 0.05) * hull.half
    across = min(max((mark.y / THOUSAND - 0.5) * 2 * hull.half, -most), most)
    return Pin(round(hull.x(share), 2), round(hull.centre + across, 2), mark.number, mark.tag, mark.priority)


def _side(marks: Sequence[Mark], *, port: bool) -> frozenset[int]:
    """Numbers of the marks that are labelled on one side; the centreline goes to port."""
    return frozenset(mark.number for mark in marks if (mark.y <= THOUSAND / 2) is port)


def _rows(labels: int, width: float) -> int:
    """How many rows so many labels need, with a place to spare in each where they crowd."""
    places = max(1, int((width - 2 * EDGE) // LABEL_PITCH))
    return -(-labels // max(1, places - 1)) if labels > 1 else labels


def _labelled(
    pins: Sequence[Pin], hull: _Hull, numbers: AbstractSet[int], width: float, *, above: bool
) -> list[Pin]:
    """Give the pins of one side their labels: from aft forward, in rows, each as near its pin as there is room."""
    side = sorted((pin for pin in pins if pin.number in numbers), key=lambda pin: (pin.x, pin.number))
    rows = _rows(len(side), width)
    last = [EDGE - LABEL_PITCH] * rows
    placed = []
    for position, pin in enumerate(side):
        row = position % rows
        # leave enough to the right for those of the same row that are still to come
        coming = len(range(position + rows, len(side), rows))
        latest = width - EDGE - LABEL_PITCH * (coming + 1)
        x = max(min(pin.x - LABEL_PITCH / 2, latest), last[row] + LABEL_PITCH)
        last[row] = x
        away = FIRST_ROW + ROW_HEIGHT * row
        y = hull.centre - hull.half - away if above else hull.centre + hull.half + away + 2.4
        placed.append(
            replace(
                pin,
                label_x=round(x, 2),
                label_y=round(y, 2),
                leader_y=round(y + 1.0 if above else y - 3.1, 2),
            )
        )
    return placed


def _smooth(points: Sequence[tuple[float, float]]) -> str:
    """A curve through all points (Catmull-Rom, written as cubic Béziers)."""
    path = []
    for position in range(len(points) - 1):
        before = points[max(position - 1, 0)]
        start, end = points[position], points[position + 1]
        after = points[min(position + 2, len(points) - 1)]
        first = (start[0] + (end[0] - before[0]) / 6, start[1] + (end[1] - before[1]) / 6)
        second = (end[0] - (after[0] - start[0]) / 6, end[1] - (after[1] - start[1]) / 6)
        path.append(f"C{_point(first)} {_point(second)} {_point(end)}")
    return "".join(path)


def _point(point: tuple[float, float]) -> str:
    return f"{point[0]:.2f},{point[1]:.2f}"


__all__ = ["THOUSAND", "Drawing", "Ground", "Mark", "Pin", "Station", "half_breadth", "plan_drawing"]
