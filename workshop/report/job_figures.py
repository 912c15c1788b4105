"""Pilot holes and seam sections for a job sheet, worked out from the part's wood and the yard's climate."""

from __future__ import annotations

from datetime import date
from typing import Final

from inspections.selectors.air import month_climates_of
from inspections.selectors.bench import bench_seam
from inspections.timber.fastening import Fastener, WoodType, lead_hole, screw_gauge_diameter_mm
from inspections.timber.species import DiffusionGroup, Species, species_named
from workshop.report.job_sheet_views import FiguresView
from yard.models import Yard
from yard.refusals import Refused

# Operations of the stock catalogue that drive wood screws, and those that pay a deck seam with a sealant.
ABOUT_SCREWS: Final = frozenset({"REFASTEN", "OVERBORE_FILL"})
ABOUT_SEAMS: Final = frozenset({"REEF_PAY_DECK"})
# Screws that boats are held together with, and planks that decks are laid of: common practice, no source.
GAUGES: Final = (6, 8, 10, 12, 14, 16)
PLANKS_MM: Final = (40, 45, 50, 60, 75, 100)
MONTHS_IN_A_YEAR: Final = 12
SEALANTS: Final = ("ASTM C920 25", "ASTM C920 50")


def figures_for(
    treatment: str, *, yard: Yard, part: str, species: str, on_date: date
) -> tuple[tuple[FiguresView, ...], str]:
    """Figures for an operation on a part, and what is missing for them where it asks for some.

    Args:
        treatment: code of the operation.
        yard: whose climate says how the planks move.
        part: in words.
        species: of the part, as the yard writes it.
        on_date: when the seam is paid.
    """
    if treatment not in ABOUT_SCREWS | ABOUT_SEAMS:
        return (), ""
    wood = species_named(species) if species else None
    if wood is None:
        return (), f"No wood of the table is entered for {part}: holes and seams can't be worked out."
    try:
        return (_holes(part, wood) if treatment in ABOUT_SCREWS else _seams(yard, part, wood, on_date),), ""
    except Refused as refusal:
        return (), f"Not worked out for {part}: {refusal.problem}; {refusal.remedy}."


def _holes(part: str, wood: Species) -> FiguresView:
    if wood.specific_gravity_12pct is None:
        raise Refused("species", f"the table has no density of {wood.name}", "try holes on an offcut")
    kind = WoodType.SOFTWOOD if wood.diffusion_group is DiffusionGroup.SOFTWOOD else WoodType.HARDWOOD
    rows = []
    notes: tuple[str, ...] = ()
    for gauge in GAUGES:
        shank = screw_gauge_diameter_mm(gauge_number=gauge)
        hole = lead_hole(
            fastener=Fastener.WOOD_SCREW,
            diameter_mm=shank,
            specific_gravity=wood.specific_gravity_12pct,
            wood_type=kind,
        )
        thread, widest = f"{hole.thread_hole_min_mm:.1f}", f"{hole.thread_hole_max_mm:.1f}"
        bored = thread if thread == widest else f"{thread} to {widest}"
        rows.append((f"No. {gauge}", f"{shank:.2f}", bored, f"{hole.shank_hole_mm:.1f}"))
        notes = hole.reasons
    return FiguresView(
        title=f"Pilot holes in {wood.name}, {part}",
        head=("Screw", "Shank, mm", "Thread hole, mm", "Shank hole, mm"),
        rows=tuple(rows),
        notes=(*notes, "Gauge numbers by the inch standard; measure the screw, and try a hole on an offcut."),
    )


def _seams(yard: Yard, part: str, wood: Species, on_date: date) -> FiguresView:
    if len(month_climates_of(yard)) != MONTHS_IN_A_YEAR:
        raise Refused("climate", "the yard has entered no climate", "enter its twelve months")
    rows = []
    low = high = paid = 0.0
    for plank in PLANKS_MM:
        row = [str(plank)]
        for sealant in SEALANTS:
            found = bench_seam(yard=yard, on_date=on_date, species=wood.code, plank_width_mm=plank, sealant=sealant)
            low, high, paid = found.moisture_low_pct, found.moisture_high_pct, found.moisture_when_paid_pct
            row.append(f"{found.seam.width_mm:.1f} × {found.seam.depth_mm:.1f}")
        rows.append(tuple(row))
    return FiguresView(
        title=f"Seams between planks of {wood.name}, {part}: width × depth, mm",
        head=("Plank, mm", *(f"Sealant {sealant}" for sealant in SEALANTS)),
        rows=tuple(rows),
        notes=(
            f"Flat-sawn, the most that it moves; paid at {paid:.1f} %, in the year {low:.1f} to {high:.1f} %.",
            "No narrower than can be filled, and tape at the bottom. The sealant's data sheet comes first.",
        ),
    )


__all__ = ["ABOUT_SCREWS", "ABOUT_SEAMS", "figures_for"]
