"""What the bench says of a fitting's screws and of the bolts they are compared with."""

from __future__ import annotations

from inspections.selectors.bench_screws import ScrewBench
from inspections.timber.fittings import LIMITS, FittingCheck
from web.office.bench_told import Bench, Mark, Spread, Told


def screws_told(bench: Bench, found: ScrewBench) -> Told:
    """Whether it holds first; the caution always."""
    screws, bolts, hole = found.screws, found.bolts, found.lead_hole
    says = "By this estimate they hold." if screws.holds else "They do not hold that."
    spreads = [_pulls(bench, "Pull on the screws, N", screws)]
    if bolts is not None:
        says = (
            f"{says} {'By this estimate bolts would.' if bolts.holds else 'Nor would the bolts.'}"
            if not screws.holds
            else says
        )
        spreads.append(_pulls(bench, "Pull on the through-bolts, N", bolts))
    thread = bench.figure(hole.thread_hole_min_mm, 1)
    if bench.figure(hole.thread_hole_max_mm, 1) != thread:
        thread = f"{thread} to {bench.figure(hole.thread_hole_max_mm, 1)}"
    facts = [
        ("What gives first", LIMITS[screws.limited_by]),
        ("One screw draws at", f"{bench.figure(found.withdrawal_each_n)} N"),
        ("Hole for the thread", f"{thread} mm{'' if hole.needed else '; it may go without'}"),
        ("Hole for the shank", f"{bench.figure(hole.shank_hole_mm, 1)} mm"),
        ("Shank", f"{bench.figure(found.diameter_mm, 2)} mm"),
        ("Specific gravity of the wood", bench.figure(found.specific_gravity, 2)),
    ]
    reasons = (*screws.reasons, *(() if bolts is None else bolts.reasons), *found.changes, *hole.reasons)
    return Told(says, tuple(spreads), facts=tuple(facts), reasons=reasons, caution=found.caution)


def _pulls(bench: Bench, name: str, check: FittingCheck) -> Spread:
    return Spread(
        name,
        Mark("asked for", bench.figure(check.load_n)),
        Mark("may be relied on", bench.figure(check.allowable_n)),
        Mark("gives way at", bench.figure(check.ultimate_n)),
    )


__all__ = ["screws_told"]
