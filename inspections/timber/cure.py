"""How long a coat or a glue takes at another temperature than the data sheet's."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp

from inspections.figures import Number, between
from yard.refusals import Refused

GAS_CONSTANT_J_PER_MOL_K = 8.314462618
ZERO_C_IN_K = 273.15

# 50 kJ/mol is what 'twice as fast for 10 °C more' comes to between 15 and 25 °C; 45 and 60 bound what ordinary
# room-temperature epoxies and oil varnishes do (common practice, no source).
ACTIVATION_ENERGY_KJ_PER_MOL = 50.0
ACTIVATION_ENERGY_LOW_KJ_PER_MOL = 45.0
ACTIVATION_ENERGY_HIGH_KJ_PER_MOL = 60.0


@dataclass(frozen=True, slots=True)
class CureTime:
    """How long it takes, with its honest spread."""

    hours_early: float
    hours_likely: float
    hours_cautious: float
    hours_by_doubling: float
    """By the rule 'half the time for each 10 °C more', to compare with."""


@dataclass(frozen=True, slots=True)
class RecoatWindow:
    """When the next coat may go on: from the cautious start to the early end."""

    from_hours: float
    until_hours: float | None
    """After that the film wants sanding first; None where the data sheet names no end."""
    reasons: tuple[str, ...]


def cure_time_factor(
    *, activation_energy_kj_per_mol: Number, temperature_c: Number, reference_temperature_c: Number
) -> float:
    """How many times longer something takes than at the data sheet's temperature; no unit.

    Args:
        activation_energy_kj_per_mol: of the cure, in kJ/mol, 20 to 120.
        temperature_c: where the work is, in °C, -40 to 80.
        reference_temperature_c: for which the data sheet speaks, in °C, 0 to 60.

    Raises:
        Refused: a figure outside its range.

    Source: Arrhenius's equation, t/t0 = exp(E/R (1/T - 1/T0)); a textbook matter, no standard.

    >>> round(cure_time_factor(activation_energy_kj_per_mol=50, temperature_c=10, reference_temperature_c=20), 3)
    2.064
    """
    energy = between("activation_energy_kj_per_mol", activation_energy_kj_per_mol, 20, 120, "kJ/mol")
    kelvin = between("temperature_c", temperature_c, -40, 80, "°C") + ZERO_C_IN_K
    reference = between("reference_temperature_c", reference_temperature_c, 0, 60, "°C") + ZERO_C_IN_K
    return exp(energy * 1000 / GAS_CONSTANT_J_PER_MOL_K * (1 / kelvin - 1 / reference))


def cure_time(*, hours_on_data_sheet: Number, reference_temperature_c: Number, temperature_c: Number) -> CureTime:
    """How long a coat or glue takes at a temperature, from the data sheet's figure at another, in hours.

    Args:
        hours_on_data_sheet: time to the stage that is asked for (tack-free, recoat, full cure), in h, above 0 to
            10 000.
        reference_temperature_c: at which the data sheet gives it, in °C, 0 to 60.
        temperature_c: of the film and the wood under it, in °C, 0 to 60.

    Raises:
        Refused: a figure outside its range; below 0 °C most products stop rather than slow down, so there is no
            time to give.

    Source: Arrhenius's equation with 50 kJ/mol, and 45 and 60 kJ/mol for the spread: common practice, no source;
    makers' guidance says half to double for 10 °C, one maker 1.3 for thin films.

    >>> time = cure_time(hours_on_data_sheet=24, reference_temperature_c=20, temperature_c=10)
    >>> round(time.hours_early), round(time.hours_likely), round(time.hours_cautious), time.hours_by_doubling
    (46, 50, 57, 48.0)
    """
    hours = between("hours_on_data_sheet", hours_on_data_sheet, 0, 10_000, "h")
    if hours == 0:
        raise Refused("hours_on_data_sheet", "nothing cures in no time", "give the data sheet's hours, above 0")
    temperature = between("temperature_c", temperature_c, 0, 60, "°C")
    reference = between("reference_temperature_c", reference_temperature_c, 0, 60, "°C")
    low, likely, high = (
        hours
        * cure_time_factor(
            activation_energy_kj_per_mol=energy, temperature_c=temperature, reference_temperature_c=reference
        )
        for energy in (
            ACTIVATION_ENERGY_LOW_KJ_PER_MOL,
            ACTIVATION_ENERGY_KJ_PER_MOL,
            ACTIVATION_ENERGY_HIGH_KJ_PER_MOL,
        )
    )
    return CureTime(
        hours_early=min(low, high),
        hours_likely=likely,
        hours_cautious=max(low, high),
        hours_by_doubling=hours * 2 ** ((reference - temperature) / 10),
    )


def recoat_window(
    *,
    earliest_hours_on_data_sheet: Number,
    latest_hours_on_data_sheet: Number | None,
    reference_temperature_c: Number,
    temperature_c: Number,
) -> RecoatWindow:
    """When the next coat may go on at a temperature, in hours after the last.

    The start is the cautious figure and the end the early one, so that both hold.

    Args:
        earliest_hours_on_data_sheet: shortest wait on the data sheet, in h, above 0 to 10 000.
        latest_hours_on_data_sheet: longest wait without sanding, in h, not before the earliest; None for none.
        reference_temperature_c: at which the data sheet gives them, in °C, 0 to 60.
        temperature_c: of the film and the wood under it, in °C, 0 to 60.

    Raises:
        Refused: a figure outside its range, or a window that ends before it begins.

    Source: as `cure_time`: Arrhenius's equation; common practice, no source.

    >>> window = recoat_window(earliest_hours_on_data_sheet=24, latest_hours_on_data_sheet=72,
    ...                        reference_temperature_c=20, temperature_c=15)
    >>> round(window.from_hours), round(window.until_hours)
    (37, 99)
    """
    first = cure_time(
        hours_on_data_sheet=earliest_hours_on_data_sheet,
        reference_temperature_c=reference_temperature_c,
        temperature_c=temperature_c,
    )
    at = f"At {float(temperature_c):g} °C"
    begin = f"{at} the next coat may go on after {first.hours_cautious:.0f} h; the data sheet says "
    begin += f"{float(earliest_hours_on_data_sheet):g} h at {float(reference_temperature_c):g} °C."
    if latest_hours_on_data_sheet is None:
        return RecoatWindow(first.hours_cautious, None, (begin,))
    if float(latest_hours_on_data_sheet) < float(earliest_hours_on_data_sheet):
        raise Refused(
            "latest_hours_on_data_sheet", "is before the earliest", "give a later figure, or none if there is none"
        )
    last = cure_time(
        hours_on_data_sheet=latest_hours_on_data_sheet,
        reference_temperature_c=reference_temperature_c,
        temperature_c=temperature_c,
    )
    until = max(last.hours_early, first.hours_cautious)
    return RecoatWindow(first.hours_cautious, until, (begin, f"{at} it wants sanding first after {until:.0f} h."))


__all__ = [
    "ACTIVATION_ENERGY_KJ_PER_MOL",
    "CureTime",
    "RecoatWindow",
    "cure_time",
    "cure_time_factor",
    "recoat_window",
]
