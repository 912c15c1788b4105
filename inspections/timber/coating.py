"""Is a coat possible now, and if not, why not and what would do: dew point, the 3 °C rule, product limits."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from inspections.figures import Number, between
from inspections.timber.humid_air import dew_point_c
from yard.refusals import Refused

# The surface stays this much warmer than the dew point: practice under ISO 8502-4.
DEW_POINT_MARGIN_C = 3.0


class Coating(StrEnum):
    """What is brushed on."""

    VARNISH = "varnish"
    EPOXY = "epoxy"


@dataclass(frozen=True, slots=True)
class CoatingLimits:
    """What one kind of product asks of weather and wood. The product's own data sheet comes first."""

    coating: Coating
    temperature_min_c: float
    temperature_max_c: float
    relative_humidity_max_pct: float
    wood_moisture_max_pct: float
    hold_hours: int
    """How long the weather must stay within the limits after the brush, until dew no longer marks the film."""
    source: str


LIMITS = MappingProxyType(
    {
        Coating.VARNISH: CoatingLimits(
            Coating.VARNISH,
            temperature_min_c=10,
            temperature_max_c=30,
            relative_humidity_max_pct=85,
            wood_moisture_max_pct=16,
            hold_hours=3,
            source=(
                "10 to 30 °C (50 to 85 °F), below 85 % humidity and tack-free in 3 h at 18 °C: one maker's data "
                "sheet for an oil varnish; 85 % is also ISO 12944-7 practice; 16 % moisture is common practice, "
                "no source"
            ),
        ),
        Coating.EPOXY: CoatingLimits(
            Coating.EPOXY,
            temperature_min_c=10,
            temperature_max_c=30,
            relative_humidity_max_pct=85,
            wood_moisture_max_pct=14,
            hold_hours=5,
            source=(
                "85 % humidity is ISO 12944-7 practice; 10 to 30 °C, 14 % moisture and 5 h until the film has set "
                "are common practice, no source"
            ),
        ),
    }
)


@dataclass(frozen=True, slots=True)
class Hindrance:
    """One thing in the way of a coat."""

    what: str
    would_do: str


@dataclass(frozen=True, slots=True)
class CoatCheck:
    """Whether a coat may go on now."""

    coating: Coating
    possible: bool
    dew_point_c: float
    surface_temperature_c: float
    margin_c: float
    """Surface above dew point."""
    hindrances: tuple[Hindrance, ...]
    assumptions: tuple[str, ...]
    """What was not measured and what was taken instead."""


def limits_of(*, coating: Coating) -> CoatingLimits:
    """What a kind of coating asks of weather (°C, %) and wood (% of dry mass).

    Args:
        coating: varnish or epoxy; no unit.

    Raises:
        Refused: another word.

    Source: common practice and one maker's data sheet; each set names its own in `source`.

    >>> limits_of(coating=Coating.VARNISH).temperature_min_c
    10
    """
    try:
        return LIMITS[Coating(coating)]
    except ValueError:
        raise Refused("coating", f"{coating!r} is not known here", "give varnish or epoxy") from None


def coat_now(
    *,
    coating: Coating,
    air_temperature_c: Number,
    relative_humidity_pct: Number,
    surface_temperature_c: Number | None = None,
    wood_moisture_pct: Number | None = None,
    raining: bool = False,
    salt_washed_off: bool = True,
) -> CoatCheck:
    """Whether a coat may go on now, every reason why not, and what would do.

    Args:
        coating: varnish or epoxy.
        air_temperature_c: in °C, -40 to 50.
        relative_humidity_pct: of the air, in %, 1 to 100.
        surface_temperature_c: of the wood, in °C, -40 to 80; left out, it is taken as the air's, and that is said.
        wood_moisture_pct: in % of dry mass, 0 to 200; left out, dry wood is assumed, and that is said.
        raining: rain or spray reaches the place.
        salt_washed_off: false where salt was seen and nobody has washed it off.

    Raises:
        Refused: a figure outside its range, a coating not known.

    Source: surface 3 °C above dew point: practice under ISO 8502-4, a standard, read in texts about it; the limits
    as `limits_of` says.

    >>> check = coat_now(coating=Coating.VARNISH, air_temperature_c=12, relative_humidity_pct=80,
    ...                  surface_temperature_c=11, wood_moisture_pct=13)
    >>> check.possible, round(check.margin_c, 1), len(check.hindrances)
    (False, 2.3, 1)
    """
    limits = limits_of(coating=coating)
    air = between("air_temperature_c", air_temperature_c, -40, 50, "°C")
    dew_point = dew_point_c(temperature_c=air, relative_humidity_pct=relative_humidity_pct)
    assumptions = []
    if surface_temperature_c is None:
        surface = air
        assumptions.append("The surface was not measured; it is taken to be as warm as the air.")
    else:
        surface = between("surface_temperature_c", surface_temperature_c, -40, 80, "°C")
    if wood_moisture_pct is None:
        moisture = None
        assumptions.append("The wood's moisture was not measured; it is taken to be dry enough.")
    else:
        moisture = between("wood_moisture_pct", wood_moisture_pct, 0, 200, "% of dry mass")
    hindrances = (
        *_wet_or_salty(raining, salt_washed_off),
        *_weather(limits, air, surface, float(relative_humidity_pct), dew_point),
        *_wood(limits, moisture),
    )
    return CoatCheck(
        coating=limits.coating,
        possible=not hindrances,
        dew_point_c=dew_point,
        surface_temperature_c=surface,
        margin_c=surface - dew_point,
        hindrances=hindrances,
        assumptions=tuple(assumptions),
    )


def _wet_or_salty(raining: bool, salt_washed_off: bool) -> list[Hindrance]:
    found = []
    if raining:
        found.append(Hindrance("Rain or spray reaches the place.", "Wait for a dry spell, or cover it."))
    if not salt_washed_off:
        would_do = "Wash with fresh water, let it dry, then coat."
        found.append(Hindrance("There is salt on the wood, and salt draws water through the film.", would_do))
    return found


def _weather(limits: CoatingLimits, air: float, surface: float, humidity: float, dew: float) -> list[Hindrance]:
    found = []
    for name, value in (("air", air), ("surface", surface)):
        if value < limits.temperature_min_c:
            what = (
                f"The {name} has {value:.1f} °C; {limits.coating} wants at least {limits.temperature_min_c:g} °C."
            )
            found.append(Hindrance(what, "Heat and cover it, or wait for the warm hours of the day."))
        elif value > limits.temperature_max_c:
            what = f"The {name} has {value:.1f} °C; {limits.coating} wants at most {limits.temperature_max_c:g} °C."
            found.append(Hindrance(what, "Shade it, or work early or late in the day."))
    if humidity > limits.relative_humidity_max_pct:
        what = f"The air has {humidity:.0f} % humidity; at most {limits.relative_humidity_max_pct:g} % will do."
        found.append(Hindrance(what, "Wait for drier air, or warm and ventilate a shelter."))
    if surface - dew < DEW_POINT_MARGIN_C:
        what = (
            f"The surface has {surface:.1f} °C, only {surface - dew:.1f} °C above the dew point of {dew:.1f} °C: "
            f"water may settle on it."
        )
        would_do = f"Bring the surface to {dew + DEW_POINT_MARGIN_C:.1f} °C, or wait for drier air."
        found.append(Hindrance(what, would_do))
    return found


def _wood(limits: CoatingLimits, moisture: float | None) -> list[Hindrance]:
    if moisture is None or moisture <= limits.wood_moisture_max_pct:
        return []
    at_most = limits.wood_moisture_max_pct
    what = f"The wood has {moisture:.0f} % moisture; {limits.coating} wants at most {at_most:g} %."
    return [Hindrance(what, "Let it dry first; wet wood under a film rots and lifts it.")]


__all__ = [
    "DEW_POINT_MARGIN_C",
    "LIMITS",
    "CoatCheck",
    "Coating",
    "CoatingLimits",
    "Hindrance",
    "coat_now",
    "limits_of",
]
