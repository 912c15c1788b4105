"""What holds at the place on the day of judging: what was recorded, and the worst of the class for what was not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from itertools import pairwise
from typing import TypeVar

from inspections.judgement.calendar_months import DAYS_IN_A_YEAR
from inspections.judgement.evidence import Evidence
from inspections.judgement.facts import ClimateMonth, ComponentFacts, FindingFacts, YardFacts
from inspections.judgement.rules.tables import Rules
from inspections.judgement.seasons import season_of
from inspections.judgement.unseen import months_out_of_sight
from inspections.judgement.vocabulary import Contact, Load, Moves, SafetyRole, Seal, Trend, Water
from inspections.timber.moisture import MoistureVerdict, reading_against_climate
from inspections.timber.species import durability_class

Word = TypeVar("Word", Water, Load)

OPEN_SEALS = frozenset({Seal.PARTLY, Seal.REOPENED, Seal.OPEN})
WORSE_TRENDS = frozenset({Trend.GROWN, Trend.REOPENED})


@dataclass(frozen=True, slots=True)
class Circumstances:
    """The finding with its gaps filled.

    Args:
        water, load: as recorded, or the worst that the class allows; to name it.
        waters, loads: as recorded, or all that the class allows; the worst of them counts in every figure.
        seal, moves, trend: as recorded or `unknown`; measured growth outweighs a stated trend that is milder.
        role: what is at stake at this place.
        in_load_path: as recorded; where nothing was said, whether there is a load at all.
        water_reaches, load_works: by the lists of the rule data.
        growth_mm: all that it grew over the measured looks, mm; None where it was measured once or never.
        growth_years: between the first measured look and this one.
        measured_still: measured twice, and told from each other by less than growth.
        durability_class: of the wood, EN 350, 1 to 5.
        scheffer_index: of the yard.
        salt: salt was recorded.
        season_years: from the look to the end of the season that the judgement is for.
        unseen_months: months out of sight on the day of judging; None where it was never seen or nothing says so.
        read_again: a wet reading that nothing beside it confirms.
    """

    judged_on: date
    water: Water
    load: Load
    waters: frozenset[Water]
    loads: frozenset[Load]
    seal: Seal
    moves: Moves
    trend: Trend
    role: SafetyRole
    in_load_path: bool
    water_reaches: bool
    load_works: bool
    growth_mm: float | None
    growth_years: float
    measured_still: bool
    durability_class: int
    scheffer_index: float
    salt: bool
    season_years: float
    unseen_months: float | None
    read_again: bool
    evidence: frozenset[Evidence]


def circumstances_of(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts, judged_on: date, rules: Rules
) -> Circumstances:
    """Fill the gaps of a finding on the day of judging."""
    water, waters = _taken_as(finding.water, component.water, rules.worst_water, Water.UNKNOWN)
    load, loads = _taken_as(finding.load, component.load, rules.worst_load, None)
    moves = finding.moves or Moves.UNKNOWN
    seal = finding.seal or Seal.UNKNOWN
    growth_mm, growth_years = growth_of(finding)
    grown, still = _growth_told(finding, rules)
    trend = trend_of(finding.trend, grown=grown, still=still)
    in_load_path = loads != {Load.NONE} if finding.in_load_path is None else finding.in_load_path
    water_reaches = bool(waters & rules.reaching_water)
    evidence = {
        *_evidence_of_seal(seal, water_reaches),
        *evidence_of_moisture(finding, component, yard, rules),
        *_evidence_of_movement(moves, load, rules),
        *_evidence_of_load_path(finding.in_load_path, load),
    }
    if trend in WORSE_TRENDS:
        evidence.add(Evidence.GROWN)
    if trend is Trend.UNCHANGED and not water_reaches:
        evidence.add(Evidence.DRY_AND_UNCHANGED)
    return Circumstances(
        judged_on=judged_on,
        water=water,
        load=load,
        waters=waters,
        loads=loads,
        seal=seal,
        moves=moves,
        trend=trend,
        role=finding.safety_role or component.safety_role,
        in_load_path=in_load_path,
        water_reaches=water_reaches,
        load_works=bool(loads & rules.working_load) and in_load_path,
        growth_mm=growth_mm,
        growth_years=growth_years,
        measured_still=still and trend not in WORSE_TRENDS,
        durability_class=_durability_class(component, rules),
        scheffer_index=rules.unknown_scheffer_index if yard.scheffer_index is None else yard.scheffer_index,
        salt=any(sign.code in rules.salt_signs for sign in finding.signs),
        season_years=season_years(finding, yard, judged_on, rules),
        unseen_months=months_out_of_sight(finding, judged_on),
        read_again=(finding.moisture_pct or 0.0) >= rules.moisture.wet_pct
        and Evidence.WET_AND_WETTER_THAN_BESIDE not in evidence,
        evidence=frozenset(evidence),
    )


def season_years(finding: FindingFacts, yard: YardFacts, judged_on: date, rules: Rules) -> float:
    """How long it has to last: from the look to the lay-up that comes next on the day of judging, years."""
    _, layup_on = season_of(judged_on, yard)
    return max((layup_on - finding.observed_on).days / DAYS_IN_A_YEAR, rules.progression.least_season_years)


def _taken_as(
    recorded: Word | None, allowed: frozenset[Word], ranks: Mapping[Word, int], unknown: Word | None
) -> tuple[Word, frozenset[Word]]:
    if recorded is not None and recorded is not unknown:
        return recorded, frozenset({recorded})
    return worst_of(allowed, ranks), frozenset(word for word in allowed if word in ranks) or frozenset(ranks)


def _durability_class(component: ComponentFacts, rules: Rules) -> int:
    if component.durability_class is not None:
        return component.durability_class
    named = durability_class(species=component.species) if component.species else None
    return rules.unknown_durability_class if named is None else named


def worst_of(allowed: frozenset[Word], ranks: Mapping[Word, int]) -> Word:
    """The worst of what the class allows; where it allows nothing that is ranked, the worst of all."""
    return max(
        (word for word in allowed if word in ranks),
        key=ranks.__getitem__,
        default=max(ranks, key=ranks.__getitem__),
    )


def growth_of(finding: FindingFacts) -> tuple[float | None, float]:
    """All growth over the measured looks at the spot: mm, and the years it took. A smaller size is no growth.

    Returns:
        None and 0 where it was measured once or never, or twice on one day.
    """
    if finding.size_mm is None:
        return None, 0.0
    measured = [(look.seen_on, look.size_mm) for look in finding.earlier if look.size_mm is not None]
    if not measured or measured[0][0] == finding.observed_on:
        return None, 0.0
    sizes = [size for _, size in measured] + [finding.size_mm]
    growth = sum(max(after - before, 0.0) for before, after in pairwise(sizes))
    return growth, (finding.observed_on - measured[0][0]).days / DAYS_IN_A_YEAR


def _growth_told(finding: FindingFacts, rules: Rules) -> tuple[bool, bool]:
    """Whether the last measured look and this one tell growth, and whether they tell that it stands still."""
    before = finding.measured_before
    if before is None or before.size_mm is None or finding.size_mm is None:
        return False, False
    growth = finding.size_mm - before.size_mm
    grown = growth >= rules.growth.grown_mm or (
        growth >= rules.growth.smallest_mm and growth >= rules.growth.grown_fraction * before.size_mm
    )
    return grown, not grown


def trend_of(stated: Trend | None, *, grown: bool, still: bool) -> Trend:
    """The graver of what was said and what was measured."""
    if stated in WORSE_TRENDS:
        return stated
    if grown:
        return Trend.GROWN
    if still and stated in (None, Trend.UNKNOWN):
        return Trend.UNCHANGED
    return stated or Trend.UNKNOWN


def _evidence_of_seal(seal: Seal, water_reaches: bool) -> Iterator[Evidence]:
    if seal is Seal.INTACT:
        yield Evidence.SEAL_INTACT
    elif seal in OPEN_SEALS:
        yield Evidence.SEAL_OPEN_TO_WATER if water_reaches else Evidence.SEAL_OPEN
    elif seal is Seal.FILM_BROKEN and water_reaches:
        yield Evidence.FILM_OPEN_TO_WATER
    elif seal is Seal.UNKNOWN and water_reaches:
        yield Evidence.SEAL_UNTRIED_WHERE_WATER_COMES


def evidence_of_moisture(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts, rules: Rules
) -> Iterator[Evidence]:
    """What the meter tells."""
    here, beside = finding.moisture_pct, finding.moisture_beside_pct
    if here is None:
        return
    told = _alone(finding, component, yard, rules) if beside is None else _contrast(here, beside, rules)
    if told is not None:
        yield told
    if here >= rules.moisture.soaking_pct:
        yield Evidence.SOAKING
    wet = told in (Evidence.WET_READING, Evidence.WET_AND_WETTER_THAN_BESIDE)
    if wet and (Contact.METAL_TO_WOOD in component.contact or not component.contact):
        yield Evidence.METAL_IN_WET_WOOD


def _contrast(here_pct: float, beside_pct: float, rules: Rules) -> Evidence | None:
    if here_pct - beside_pct >= rules.moisture.contrast_points:
        wet = here_pct >= rules.moisture.wet_pct
        return Evidence.WET_AND_WETTER_THAN_BESIDE if wet else Evidence.WETTER_THAN_BESIDE
    return Evidence.SAME_AS_BESIDE if here_pct - beside_pct <= rules.moisture.same_points else None


def _alone(finding: FindingFacts, component: ComponentFacts, yard: YardFacts, rules: Rules) -> Evidence:
    """A reading with nothing beside it: against the month's air where the yard's climate is known."""
    wettest = max(
        (reading for reading in finding.readings if reading.is_moisture), key=lambda reading: reading.value
    )
    month = next((normal for normal in yard.climate if normal.month == finding.observed_on.month), None)
    if month is None or wettest.value >= rules.moisture.soaking_pct:
        return Evidence.WET_READING if wettest.value >= rules.moisture.wet_pct else Evidence.DRY_READING
    salt = any(sign.code in rules.salt_signs for sign in finding.signs)
    verdict, likely_pct = _explained(wettest.value, wettest.wood_temperature_c, month, component.species, salt)
    if verdict is MoistureVerdict.DRY:
        return Evidence.DRY_READING
    # Below the limit wood neither starts nor goes on decaying, whatever the month's air explains.
    wet = verdict is MoistureVerdict.WET_FOR_A_REASON and likely_pct >= rules.moisture.wet_pct
    return Evidence.WET_READING if wet else Evidence.NO_MORE_THAN_DAMP


@lru_cache(maxsize=10_000)
def _explained(
    reading_pct: float, wood_temperature_c: float | None, month: ClimateMonth, species: str | None, salt: bool
) -> tuple[MoistureVerdict, float]:
    told = reading_against_climate(
        reading_pct=reading_pct,
        air_temperature_c=month.air_temperature_c,
        relative_humidity_pct=month.relative_humidity_pct,
        wood_temperature_c=wood_temperature_c,
        species=species,
        salt_recorded=salt,
    )
    return told.verdict, told.moisture.likely_pct


def _evidence_of_movement(moves: Moves, load: Load, rules: Rules) -> Iterator[Evidence]:
    if moves is Moves.YES:
        yield Evidence.MOVES
    elif moves is Moves.SUSPECTED:
        yield Evidence.MAY_MOVE
    elif moves is Moves.NO:
        yield Evidence.DOES_NOT_MOVE
    elif load in rules.working_load:
        yield Evidence.MOVEMENT_UNTRIED_UNDER_LOAD


def _evidence_of_load_path(in_load_path: bool | None, load: Load) -> Iterator[Evidence]:
    if load is Load.NONE:
        yield Evidence.NO_LOAD
    if in_load_path:
        yield Evidence.IN_LOAD_PATH
    elif in_load_path is False:
        yield Evidence.PAST_THE_LOAD_PATH
    elif load is not Load.NONE:
        yield Evidence.LOAD_PATH_NOT_KNOWN


__all__ = [
    "Circumstances",
    "circumstances_of",
    "evidence_of_moisture",
    "growth_of",
    "season_years",
    "trend_of",
    "worst_of",
]
