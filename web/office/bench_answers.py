"""What the bench says of air, drying, seams and coats, in plain words and then in figures."""

from __future__ import annotations

from typing import Final

from inspections.selectors.bench import CoatBench, DryingBench, MoistureBench, SeamBench
from inspections.timber.coating import DEW_POINT_MARGIN_C
from inspections.timber.moisture import ContrastVerdict, MoistureVerdict
from web.office.bench_told import Bench, Mark, Spread, Told

OF_READINGS: Final = {
    MoistureVerdict.DRY: "The wood is dry.",
    MoistureVerdict.DAMP_AS_THE_WEATHER: "Damp as the weather: this air explains it.",
    MoistureVerdict.WET_FOR_A_REASON: "Wet for a reason: this air does not explain it.",
}
OF_CONTRASTS: Final = {
    ContrastVerdict.NONE: "no difference that counts",
    ContrastVerdict.SLIGHT: "slightly wetter",
    ContrastVerdict.CLEAR: "clearly wetter",
}
NOT_SURE: Final = "This is not sure: the range of the figure reaches beyond it."


def moisture_told(bench: Bench, found: MoistureBench) -> Told:
    """The reading against the air; without a reading, the air alone."""
    by_air = f"{bench.figure(found.equilibrium_moisture_content_pct, 1)} %"
    facts = [("The air", bench.air(found.air)), ("It brings wood under cover to", by_air)]
    if found.reading is None:
        return Told(f"This air brings wood under cover to about {by_air} moisture.", facts=(facts[0],))
    moisture, beside = found.reading.moisture, found.contrast
    reasons = list(found.reading.reasons)
    if beside is not None:
        high = "more" if beside.high_points is None else bench.figure(beside.high_points, 1)
        points = (
            f"{bench.figure(beside.likely_points, 1)} points ({bench.figure(beside.low_points or 0, 1)} to {high})"
        )
        if beside.low_points is None:
            points = f"{bench.figure(beside.likely_points, 1)} points, and the meter sets no lower end"
        facts.append(("Beside sound wood", f"{OF_CONTRASTS[beside.verdict]}: {points}"))
        reasons += [reason for reason in beside.reasons if reason not in reasons]
    if not found.reading.sure:
        reasons.insert(0, NOT_SURE)
    spread = Spread(
        "Moisture, % of dry mass",
        Mark("low", bench.figure(moisture.low_pct, 1)),
        Mark("likely", bench.figure(moisture.likely_pct, 1)),
        Mark("high", "open" if moisture.high_pct is None else bench.figure(moisture.high_pct, 1)),
    )
    return Told(OF_READINGS[found.reading.verdict], (spread,), facts=tuple(facts), reasons=tuple(reasons))


def month_told(bench: Bench, found: MoistureBench) -> Told:
    """What this month's mean air makes of wood, before anything was asked."""
    by_air = bench.figure(found.equilibrium_moisture_content_pct, 1)
    temperature = bench.figure(found.air.air_temperature_c, 1)
    humidity = bench.figure(found.air.relative_humidity_pct)
    return Told(
        f"The air of {bench.month(bench.today.month)} brings wood under cover here to about {by_air} % moisture.",
        facts=(("In the mean it has", f"{temperature} °C and {humidity} % humidity"),),
    )


def drying_told(bench: Bench, found: DryingBench) -> Told:
    """The likely day first, or that it does not get so dry there."""
    dates = found.dates
    never = "not in 3 years"
    if dates.likely_on is None:
        says = "It does not get so dry there."
    elif dates.likely_on == found.start_on:
        says = "It is dry enough already."
    else:
        says = f"Sealing is sensible from about {bench.day(dates.likely_on, never)}."
    if dates.wash_first:
        says = f"Wash the salt out first. {says}"
    spread = Spread(
        "First day for sealing",
        Mark("earliest", bench.day(dates.earliest_on, never)),
        Mark("likely", bench.day(dates.likely_on, never)),
        Mark("cautious", bench.day(dates.cautious_on, never)),
    )
    where = "under cover in the yard's climate"
    if found.shed is not None:
        where = (
            f"a shed of {bench.figure(found.shed.temperature_c, 1)} °C "
            f"and {bench.figure(found.shed.relative_humidity_pct)} % humidity"
        )
    facts = [("Dries in", where), ("From", bench.day(found.start_on, ""))]
    if dates.middle_pct is not None:
        facts.append(("In the middle on the likely day", f"{bench.figure(dates.middle_pct, 1)} %"))
    return Told(says, (spread,), facts=tuple(facts), reasons=dates.reasons)


def seam_told(bench: Bench, found: SeamBench, sealant: str) -> Told:
    seam = found.seam
    spread = Spread(
        "Width, mm",
        Mark("movement asks", bench.figure(seam.needed_mm, 1)),
        Mark("to cut", bench.figure(seam.width_mm, 1)),
        Mark("cautious", bench.figure(seam.cautious_mm, 1)),
    )
    over_the_year = f"{bench.figure(found.moisture_low_pct, 1)} to {bench.figure(found.moisture_high_pct, 1)} %"
    facts = (
        ("Wood and sealant", f"{found.species}; {sealant}"),
        ("In the year it opens by", f"{bench.figure(seam.opens_mm, 2)} mm"),
        ("and closes by", f"{bench.figure(seam.closes_mm, 2)} mm"),
        (
            "The wood's moisture",
            f"{over_the_year}; {bench.figure(found.moisture_when_paid_pct, 1)} % when it is paid",
        ),
    )
    says = f"Cut it {bench.figure(seam.width_mm, 1)} mm wide and fill it {bench.figure(seam.depth_mm, 1)} mm deep."
    return Told(says, (spread,), facts=facts, reasons=seam.reasons)


def coat_told(bench: Bench, found: CoatBench) -> Told:
    """Yes or no first; then every hindrance with what would do."""
    check, share, cure = found.check, found.share, found.cure
    measured = found.air.month_of_normals is None
    if check.possible:
        says = f"A coat of {check.coating} can go on." if measured else f"In this air {check.coating} could go on."
    else:
        says = f"No coat of {check.coating} now." if measured else f"In this air no coat of {check.coating}."
    spreads = []
    if cure is not None:
        spreads.append(
            Spread(
                "Cure in this air, hours",
                Mark("early", _hours(bench, cure.hours_early)),
                Mark("likely", _hours(bench, cure.hours_likely)),
                Mark("cautious", _hours(bench, cure.hours_cautious)),
            )
        )
    if share is not None:
        spreads.append(
            Spread(
                f"Working hours of {bench.month(found.month)} that allow it outdoors, %",
                Mark("low", bench.figure(100 * share.share_low)),
                Mark("likely", bench.figure(100 * share.share_likely)),
                Mark("high", bench.figure(100 * share.share_high)),
            )
        )
    margin = f"{bench.figure(check.margin_c, 1)} °C above it; at least {DEW_POINT_MARGIN_C:g} °C are needed"
    facts = (
        ("The air", bench.air(found.air)),
        ("Dew point", f"{bench.figure(check.dew_point_c, 1)} °C"),
        ("Surface", f"{bench.figure(check.surface_temperature_c, 1)} °C, {margin}"),
    )
    reasons = [] if measured else ["A month's mean is not the air of this hour: measure before you brush."]
    reasons += check.assumptions
    if share is not None:
        reasons += share.reasons
    return Told(says, tuple(spreads), check.hindrances, facts, tuple(reasons))


def _hours(bench: Bench, hours: float) -> str:
    return bench.figure(hours, 1 if hours < 10 else 0)


__all__ = ["coat_told", "drying_told", "moisture_told", "month_told", "seam_told"]
