"""What was measured at a spot over the years, as small charts of our own.

Numbers here are lengths on the sheet; `workshop/report/trend.svg` puts them into SVG. The line begins at nought, so
that growth looks as large as it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from django.utils.translation import gettext

from inspections.judgement.facts import MOISTURE, MOISTURE_BESIDE
from workshop.quoting.document import FindingPart
from workshop.report.words import number_text
from yard.locale_format import date_text

WIDTH: Final = 76.0
HEIGHT: Final = 20.0
LEFT, RIGHT, TOP, FOOT = 4.0, 4.0, 4.6, 4.0
# Figures at every point as long as so many stand beside each other; beyond, at the first, the last and the largest.
ALL_TOLD_UP_TO: Final = 6
NEIGHBOURS: Final = 7.0


@dataclass(frozen=True, slots=True)
class Point:
    """A measurement on the sheet; an empty text is not written."""

    x: float
    y: float
    value: str
    year: str


@dataclass(frozen=True, slots=True)
class Chart:
    """Everything the SVG needs."""

    title: str
    label: str
    width: float
    height: float
    floor: float
    line: str
    points: tuple[Point, ...]

    @property
    def years_y(self) -> float:
        return round(self.height - 0.6, 2)


def trend_charts(finding: FindingPart, locale: str) -> tuple[Chart, ...]:
    """Size and moisture at the spot, each where it was measured on two days or more."""
    size = [(look.on, look.size_mm) for look in finding.earlier]
    moisture = [(look.on, look.moisture_pct) for look in finding.earlier]
    if finding.seen_on is not None:
        size.append((finding.seen_on, finding.size_mm))
        moisture.append((finding.seen_on, _moisture_now(finding)))
    charts = []
    for name, unit, measured in ((gettext("Size"), "mm", size), (gettext("Moisture"), "%", moisture)):
        known = sorted((on, value) for on, value in measured if value is not None)
        if len({on for on, _ in known}) > 1:
            charts.append(chart_of(name, unit, known, locale))
    return tuple(charts)


def _moisture_now(finding: FindingPart) -> Decimal | None:
    return max(
        (
            reading.value
            for reading in finding.readings
            if reading.quantity.startswith(MOISTURE) and not reading.quantity.startswith(MOISTURE_BESIDE)
        ),
        default=None,
    )


def chart_of(name: str, unit: str, known: Sequence[tuple[date, Decimal]], locale: str) -> Chart:
    """What was measured, by day; on two days or more, the first of them first."""
    floor, high = HEIGHT - FOOT, max(value for _, value in known) or Decimal(1)
    first, days = known[0][0], (known[-1][0] - known[0][0]).days
    places = [
        (
            LEFT + (WIDTH - LEFT - RIGHT) * (on - first).days / days,
            floor - (floor - TOP) * float(value / high),
        )
        for on, value in known
    ]
    told = _told([x for x, _ in places], [value for _, value in known])
    points = tuple(
        Point(
            x=round(x, 2),
            y=round(y, 2),
            value=number_text(value, locale) if position in told else "",
            year=str(on.year) if position in told else "",
        )
        for position, ((x, y), (on, value)) in enumerate(zip(places, known, strict=True))
    )
    each = gettext("{measured} on {day}")
    told_in_words = "; ".join(
        each.format(measured=f"{number_text(value, locale)} {unit}", day=date_text(on, locale))
        for on, value in known
    )
    return Chart(
        title=f"{name}, {unit}",
        label=gettext("{what} over the years: {told}.").format(what=name, told=told_in_words),
        width=WIDTH,
        height=HEIGHT,
        floor=floor,
        line="M" + "L".join(f"{point.x:.2f},{point.y:.2f}" for point in points),
        points=points,
    )


def _told(places: Sequence[float], values: Sequence[Decimal]) -> set[int]:
    """Which points carry their figure, none so near another that they would run into each other."""
    last = len(places) - 1
    wanted = [0, last, max(range(len(values)), key=lambda position: values[position])]
    if len(places) <= ALL_TOLD_UP_TO:
        wanted += range(len(places))
    told: set[int] = set()
    for position in wanted:
        if all(abs(places[position] - places[other]) >= NEIGHBOURS for other in told - {position}):
            told.add(position)
    return told


__all__ = ["Chart", "Point", "chart_of", "trend_charts"]
