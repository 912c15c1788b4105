"""What holds at the place on the day of judging: what was recorded, and the worst of the class for what was not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from inspections.judgement.evidence import Evidence
from inspections.judgement.facts import ComponentFacts, FindingFacts
from inspections.judgement.rules.tables import Rules
from inspections.judgement.unseen import months_out_of_sight
from inspections.judgement.vocabulary import Contact, Load, Moves, SafetyRole, Seal, Trend, Water

Word = TypeVar("Word", Water, Load)

OPEN_SEALS = frozenset({Seal.PARTLY, Seal.REOPENED, Seal.OPEN})
WORSE_TRENDS = frozenset({Trend.GROWN, Trend.REOPENED})


@dataclass(frozen=True, slots=True)
class Circumstances:
    """The finding with its gaps filled.

    Args:
        water, load: as recorded, or the worst that the class allows.
        seal, moves, trend: as recorded or `unknown`; measured growth outweighs a stated trend that is milder.
        role: what is at stake at this place.
        in_load_path: as recorded; where nothing was said, whether there is a load at all.
        water_reaches, load_works: by the lists of the rule data.
        growth_mm: between the last measured look and this one, mm.
        measured_still: measured twice, and told from each other by less than growth.
        unseen_months: months out of sight on the day of judging; None where it was never seen or nothing says so.
        unseen_share: of the class's open-up interval, run so far; None where `unseen_months` is.
        read_again: a wet reading that nothing beside it confirms.
    """

    judged_on: date
    water: Water
    load: Load
    seal: Seal
    moves: Moves
    trend: Trend
    role: SafetyRole
    in_load_path: bool
    water_reaches: bool
    load_works: bool
    growth_mm: float | None
    measured_still: bool
    unseen_months: float | None
    unseen_share: float | None
    read_again: bool
    evidence: frozenset[Evidence]


def circumstances_of(
    finding: FindingFacts, component: ComponentFacts, judged_on: date, rules: Rules
) -> Circumstances:
    """Fill the gaps of a finding on the day of judging."""
    water = finding.water
    if water is None or water is Water.UNKNOWN:
        water = worst_of(component.water, rules.worst_water)
    load = finding.load or worst_of(component.load, rules.worst_load)
    moves = finding.moves or Moves.UNKNOWN
    seal = finding.seal or Seal.UNKNOWN
    growth_mm, grown, still = growth_of(finding, rules)
    trend = trend_of(finding.trend, grown=grown, still=still)
    in_load_path = load is not Load.NONE if finding.in_load_path is None else finding.in_load_path
    unseen_months = months_out_of_sight(finding, judged_on)
    water_reaches = water in rules.reaching_water
    evidence = {
        *_evidence_of_seal(seal, water_reaches),
        *_evidence_of_moisture(finding, component, rules),
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
        seal=seal,
        moves=moves,
        trend=trend,
        role=finding.safety_role or component.safety_role,
        in_load_path=in_load_path,
        water_reaches=water_reaches,
        load_works=load in rules.working_load and in_load_path,
        growth_mm=growth_mm,
        measured_still=still and trend not in WORSE_TRENDS,
        unseen_months=unseen_months,
        unseen_share=None if unseen_months is None else unseen_months / component.open_up_months,
        read_again=(finding.moisture_pct or 0.0) >= rules.moisture.wet_pct
        and Evidence.WETTER_THAN_BESIDE not in evidence,
        evidence=frozenset(evidence),
    )


def worst_of(allowed: frozenset[Word], ranks: Mapping[Word, int]) -> Word:
    """The worst of what the class allows; where it allows nothing that is ranked, the worst of all."""
    return max(
        (word for word in allowed if word in ranks),
        key=ranks.__getitem__,
        default=max(ranks, key=ranks.__getitem__),
    )


def growth_of(finding: FindingFacts, rules: Rules) -> tuple[float | None, bool, bool]:
    """Growth since the last measured look: by how much (mm), whether that is growth, whether it stands still."""
    before = finding.measured_before
    if before is None or before.size_mm is None or finding.size_mm is None:
        return None, False, False
    growth = finding.size_mm - before.size_mm
    grown = growth >= rules.growth.grown_mm or (
        growth >= rules.growth.smallest_mm and growth >= rules.growth.grown_fraction * before.size_mm
    )
    return growth, grown, not grown


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


def _evidence_of_moisture(finding: FindingFacts, component: ComponentFacts, rules: Rules) -> Iterator[Evidence]:
    here, beside = finding.moisture_pct, finding.moisture_beside_pct
    if here is None:
        return
    wet = False
    if beside is None:
        wet = here >= rules.moisture.wet_pct
        yield Evidence.WET_READING if wet else Evidence.DRY_READING
    elif here - beside >= rules.moisture.contrast_points:
        wet = True
        yield Evidence.WETTER_THAN_BESIDE
    elif here - beside <= rules.moisture.same_points:
        yield Evidence.SAME_AS_BESIDE
    if here >= rules.moisture.soaking_pct:
        yield Evidence.SOAKING
    if wet and (Contact.METAL_TO_WOOD in component.contact or not component.contact):
        yield Evidence.METAL_IN_WET_WOOD


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


__all__ = ["Circumstances", "circumstances_of", "growth_of", "trend_of", "worst_of"]
