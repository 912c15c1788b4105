"""What the yard's climate means for wood: the decay index, and the moisture that wood comes to month by month."""

from __future__ import annotations

from calendar import month_abbr
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from inspections.timber.climate import DecayClimate, MonthClimate, scheffer_index
from inspections.timber.moisture import equilibrium_moisture_content_pct

WIDTH: Final = 360.0
HEIGHT: Final = 120.0
LEFT, FOOT, TOP = 8.0, 18.0, 16.0
# Air-dry wood stays below this everywhere: the chart's own top, so that years and yards can be told apart by eye.
HIGHEST_PCT: Final = 25.0


@dataclass(frozen=True, slots=True)
class MonthTold:
    """One month on the chart: lengths on the sheet, and what it says."""

    name: str
    x: float
    y: float
    moisture_pct: float

    @property
    def figure_y(self) -> float:
        return round(self.y - 6, 1)

    @property
    def figure(self) -> str:
        return f"{self.moisture_pct:.0f}"


@dataclass(frozen=True, slots=True)
class ClimateTold:
    """The index with its zone, and the expected moisture of wood in the open under cover."""

    decay: DecayClimate
    months: tuple[MonthTold, ...]

    width: float = WIDTH
    height: float = HEIGHT

    @property
    def line(self) -> str:
        return " ".join(f"{month.x},{month.y}" for month in self.months)

    @property
    def floor(self) -> float:
        return HEIGHT - FOOT

    @property
    def label(self) -> str:
        """For whoever hears it."""
        told = ", ".join(f"{month.name} {month.figure} %" for month in self.months)
        return f"Moisture that wood under cover comes to: {told}"


def climate_told(months: Sequence[MonthClimate]) -> ClimateTold:
    """The index and the chart of twelve months.

    Args:
        months: all twelve, in order.

    Source: `scheffer_index` and `equilibrium_moisture_content_pct`, each with its own.
    """
    step = (WIDTH - 2 * LEFT) / len(months)
    told = []
    for position, month in enumerate(months):
        moisture = equilibrium_moisture_content_pct(
            temperature_c=month.temperature_c, relative_humidity_pct=month.relative_humidity_pct
        )
        share = min(moisture, HIGHEST_PCT) / HIGHEST_PCT
        told.append(
            MonthTold(
                month_abbr[month.month],
                round(LEFT + step * (position + 0.5), 1),
                round(HEIGHT - FOOT - share * (HEIGHT - FOOT - TOP), 1),
                moisture,
            )
        )
    decay = scheffer_index(
        temperatures_c=[month.temperature_c for month in months],
        rain_days=[month.rain_days or 0.0 for month in months],
    )
    return ClimateTold(decay, tuple(told))


__all__ = ["ClimateTold", "climate_told"]
