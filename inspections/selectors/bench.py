"""What a technician reckons at the bench without a finding: wood and weather as given, the yard's climate if not.

Every function reads at most the yard's monthly normals; the reckoning itself is `inspections.timber`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from inspections.selectors.air import (
    Air,
    AirGiven,
    air_of,
    equilibrium_in,
    figures_of,
    month_climates_of,
    month_of,
    whole_year,
)
from inspections.timber.coating import CoatCheck, Coating, coat_now
from inspections.timber.cure import CureTime, cure_time
from inspections.timber.drying import SealingDates, ShedAir, sealing_dates
from inspections.timber.moisture import (
    MoistureContrast,
    ReadingVerdict,
    contrast,
    reading_against_climate,
)
from inspections.timber.seams import Seam, sealant_class, seam_for_planks
from inspections.timber.seasons import moisture_range_of_year
from inspections.timber.species import Species, species_named
from inspections.timber.working_hours import WorkableShare, share_from_normals
from yard.models import Yard
from yard.refusals import Refused


@dataclass(frozen=True, slots=True)
class MoistureBench:
    """What the air makes of wood, and what a reading says beside it."""

    air: Air
    equilibrium_moisture_content_pct: float
    reading: ReadingVerdict | None
    contrast: MoistureContrast | None


@dataclass(frozen=True, slots=True)
class DryingBench:
    """From which day sealing is sensible; without a shed, in the yard's own climate."""

    start_on: date
    shed: ShedAir | None
    dates: SealingDates


@dataclass(frozen=True, slots=True)
class SeamBench:
    """A seam, with the moistures it was reckoned for."""

    species: str
    moisture_low_pct: float
    moisture_high_pct: float
    moisture_when_paid_pct: float
    seam: Seam


@dataclass(frozen=True, slots=True)
class CoatBench:
    """A coat now, the month it falls into and how long the film takes."""

    air: Air
    check: CoatCheck
    month: int
    share: WorkableShare | None
    """None where the yard has no climate entered."""
    cure: CureTime | None
    """None where no figure of a data sheet was given."""


def wood_named(text: str) -> Species:
    """The wood of the table that a text means.

    Raises:
        Refused: it means none.
    """
    wood = species_named(text)
    if wood is None:
        raise Refused("species", "names no wood of the table", "give one wood by name, such as white oak or teak")
    return wood


def bench_moisture(
    *,
    yard: Yard,
    on_date: date,
    air: AirGiven,
    reading_pct: float | None = None,
    beside_pct: float | None = None,
    wood_temperature_c: float | None = None,
    species: str | None = None,
    meter_set_to_species: bool = False,
    salt_recorded: bool = False,
) -> MoistureBench:
    """The moisture that wood comes to in this air and, where a meter was read, what its figure says."""
    if beside_pct is not None and reading_pct is None:
        raise Refused("reading_pct", "is left out, so there is nothing to compare", "give the reading at the spot")
    found = air_of(month_climates_of(yard), on_date, air)
    reading = None
    if reading_pct is not None:
        reading = reading_against_climate(
            reading_pct=reading_pct,
            air_temperature_c=found.air_temperature_c,
            relative_humidity_pct=found.relative_humidity_pct,
            wood_temperature_c=wood_temperature_c,
            species=species,
            meter_set_to_species=meter_set_to_species,
            salt_recorded=salt_recorded,
        )
    beside = None
    if reading_pct is not None and beside_pct is not None:
        beside = contrast(spot_pct=reading_pct, beside_pct=beside_pct, salt_recorded=salt_recorded)
    return MoistureBench(found, equilibrium_in(found), reading, beside)


def bench_drying(
    *,
    yard: Yard,
    start_on: date,
    air: AirGiven,
    start_pct: float,
    target_pct: float,
    thickness_mm: float,
    faces_open: int,
    species: str | None = None,
    salt_recorded: bool = False,
) -> DryingBench:
    """When the wood is dry enough to seal: in a shed whose air is given whole, else in the yard's climate."""
    temperature, humidity = figures_of(air)
    if (temperature is None) != (humidity is None):
        missing = "air_temperature_c" if temperature is None else "relative_humidity_pct"
        raise Refused(
            missing, "is left out", "give both figures of the shed's air, or neither for the yard's climate"
        )
    shed = None if temperature is None or humidity is None else ShedAir(temperature, humidity)
    months = () if shed is not None else whole_year(month_climates_of(yard), "air_temperature_c")
    dates = sealing_dates(
        start_on=start_on,
        start_pct=start_pct,
        target_pct=target_pct,
        thickness_mm=thickness_mm,
        faces_open=faces_open,
        months=months,
        shed=shed,
        species=species,
        salt_recorded=salt_recorded,
    )
    return DryingBench(start_on, shed, dates)


def bench_seam(
    *,
    yard: Yard,
    on_date: date,
    species: str,
    plank_width_mm: float,
    sealant: str,
    ring_angle_deg: float = 0.0,
    moisture_low_pct: float | None = None,
    moisture_high_pct: float | None = None,
    moisture_when_paid_pct: float | None = None,
) -> SeamBench:
    """How wide a seam must be; moistures that are left out come from the yard's climate."""
    wood, kind = wood_named(species), sealant_class(code=sealant)
    low, high, paid = moisture_low_pct, moisture_high_pct, moisture_when_paid_pct
    if low is None or high is None or paid is None:
        months = whole_year(month_climates_of(yard), "moisture_low_pct")
        year = moisture_range_of_year(months=months)
        low = year.low_pct if low is None else low
        high = year.high_pct if high is None else high
        paid = equilibrium_in(air_of(months, on_date, {})) if paid is None else paid
    seam = seam_for_planks(
        species=wood,
        ring_angle_deg=ring_angle_deg,
        plank_width_mm=plank_width_mm,
        moisture_low_pct=low,
        moisture_high_pct=high,
        moisture_when_paid_pct=paid,
        sealant=kind,
    )
    return SeamBench(wood.name, low, high, paid, seam)


def bench_coat(
    *,
    yard: Yard,
    on_date: date,
    air: AirGiven,
    coating: Coating,
    surface_temperature_c: float | None = None,
    wood_moisture_pct: float | None = None,
    raining: bool = False,
    salt_washed_off: bool = True,
    hours_on_data_sheet: float | None = None,
    reference_temperature_c: float = 20.0,
) -> CoatBench:
    """Whether a coat may go on now, how much of the month allows it, and how long the film takes in this air."""
    months = month_climates_of(yard)
    found = air_of(months, on_date, air)
    check = coat_now(
        coating=coating,
        air_temperature_c=found.air_temperature_c,
        relative_humidity_pct=found.relative_humidity_pct,
        surface_temperature_c=surface_temperature_c,
        wood_moisture_pct=wood_moisture_pct,
        raining=raining,
        salt_washed_off=salt_washed_off,
    )
    month = month_of(on_date, air)
    normals = next((climate for climate in months if climate.month == month), None)
    cure = None
    if hours_on_data_sheet is not None:
        try:
            cure = cure_time(
                hours_on_data_sheet=hours_on_data_sheet,
                reference_temperature_c=reference_temperature_c,
                temperature_c=check.surface_temperature_c,
            )
        except Refused as refused:
            if refused.field != "temperature_c":
                raise
            given = "air_temperature_c" if surface_temperature_c is None else "surface_temperature_c"
            raise Refused(given, refused.problem, f"{refused.remedy} to be told how long it cures") from None
    share = None if normals is None else share_from_normals(coating=coating, month=normals)
    return CoatBench(found, check, month, share, cure)


__all__ = [
    "CoatBench",
    "DryingBench",
    "MoistureBench",
    "SeamBench",
    "bench_coat",
    "bench_drying",
    "bench_moisture",
    "bench_seam",
    "wood_named",
]
