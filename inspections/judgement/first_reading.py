"""The first reading of a priority: what judgement will say of a finding, worked out for a page without network.

A tablet has no rules; it has this table. For each part it holds what `priority_of` says for each combination of the
answers that decide, found by asking the functions of judgement themselves. What is not in the table has no first
reading, and what the first and the last day of its time tell differently has none either: probabilities grow with
the season that is left, so what both say holds between. The yard's own judgement stands above it.

One sign is looked up at a time. Of several signs the most pressing holds, because judgement takes the most pressing
of all conditions that any of them makes hold. Where that is not so the table says it: a sign that speeds up what
another one names stands alone; and what is left where nothing that a sign names holds counts only where that is so
of every sign.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import product
from typing import Final

from inspections.judgement.circumstances import Circumstances, circumstances_of, season_years
from inspections.judgement.condition import weigh
from inspections.judgement.evidence import Evidence
from inspections.judgement.facts import ComponentFacts, FindingFacts, Reading, SignFacts, YardFacts
from inspections.judgement.first_words import CHARACTERS, NO_VALUE, value_at
from inspections.judgement.likelihood import likelihood_level
from inspections.judgement.meter_steps import READ_AS, readings_of
from inspections.judgement.priority import URGENCY, priority_of
from inspections.judgement.risk import risk_level
from inspections.judgement.rules.tables import Rules
from inspections.judgement.severity import severity_of
from inspections.judgement.vocabulary import Condition, Load, Moves, Priority, Seal, Trend, Water

Axis = tuple[str, tuple[str, ...]]
Plane = tuple[Axis, ...]
NOT_SAID: Final = ""
SEALS: Final = (NOT_SAID, *(seal.value for seal in Seal if seal is not Seal.UNKNOWN))
MOVES: Final = (NOT_SAID, *(moves.value for moves in Moves if moves is not Moves.UNKNOWN))
IN_PATH: Final[Mapping[str, bool | None]] = {NOT_SAID: None, "yes": True, "no": False}


@dataclass(frozen=True, slots=True)
class Day:
    """A day of a look, and the yard as it stands then."""

    on: date
    yard: YardFacts


@dataclass(frozen=True, slots=True)
class FirstReading:
    """What may be looked up for one part.

    Args:
        planes: for each, its axes. An answer that is on none of them must not have been given.
        signs: by code, for each plane the characters of its values, the first axis the most significant; None
            where the plane has none for this sign.
    """

    planes: tuple[Plane, ...]
    signs: Mapping[str, tuple[str | None, ...]]


def first_reading(
    component: ComponentFacts, signs: Sequence[SignFacts], days: Sequence[Day], rules: Rules
) -> FirstReading:
    """Work out the table of one part.

    Args:
        component: without the boat's year, which judges nothing.
        signs: of the yard's list. Left out are those that speak of hidden faces, because how long these have been
            closed is no answer of today, and those of salt, which shifts what the meter says.
        days: the first and the last day of its time.
    """
    kinds: dict[object, list[SignFacts]] = {}
    for sign in signs:
        if Condition.UNSEEN not in sign.conditions and sign.code not in rules.salt_signs:
            kinds.setdefault(_kind(sign, rules), []).append(sign)
    planes = planes_of(component, rules)
    asked = _Asked(component, [alike[0] for alike in kinds.values()], days, rules)
    sheets: dict[str, list[str | None]] = {sign.code: [] for alike in kinds.values() for sign in alike}
    for plane in planes:
        names = [name for name, _ in plane]
        rows = [
            asked.row(dict(zip(names, answers, strict=True))) for answers in product(*(words for _, words in plane))
        ]
        for column, alike in zip(zip(*rows, strict=True), kinds.values(), strict=True):
            sheet = "".join(column)
            for sign in alike:
                sheets[sign.code].append(sheet if sheet.strip() else None)
    return FirstReading(planes, {code: tuple(of_sign) for code, of_sign in sheets.items()})


def stands_alone(sign: SignFacts, rules: Rules) -> bool:
    """Whether a sign changes what another one beside it means."""
    return sign.code in rules.salt_signs or sign.code in rules.sign_multipliers


def same_words(rules: Rules) -> dict[str, dict[str, str]]:
    """Answers that judgement takes as others."""
    trends = rules.progression.multipliers
    trend = {Trend.UNKNOWN.value: NOT_SAID}
    for word, as_good_as in ((Trend.NEW, Trend.UNKNOWN), (Trend.REOPENED, Trend.GROWN)):
        if all(figures[word] == figures[as_good_as] for figures in (trends.trend, trends.growth_seen)):
            trend[word.value] = NOT_SAID if as_good_as is Trend.UNKNOWN else as_good_as.value
    return {
        "water": {Water.UNKNOWN.value: NOT_SAID},
        "seal": {Seal.UNKNOWN.value: NOT_SAID},
        "moves": {Moves.UNKNOWN.value: NOT_SAID},
        "trend": trend,
    }


def planes_of(component: ComponentFacts, rules: Rules) -> tuple[Plane, ...]:
    """The answers that are tabled for a part: those that its class may meet.

    Where anything may meet, as at a place on no list of parts, fewer questions are tabled.
    """
    waters = sorted(component.water or set(Water), key=list(Water).index)
    water = ("water", (NOT_SAID, *(word.value for word in waters if word is not Water.UNKNOWN)))
    loaded = not component.load or component.load != {Load.NONE}
    path = ("path", tuple(IN_PATH) if loaded else (NOT_SAID,))
    merged = same_words(rules)["trend"]
    trend = ("trend", (NOT_SAID, *(word.value for word in Trend if word.value not in merged)))
    seal, moves = ("seal", SEALS), ("moves", MOVES)
    if not component.water:
        return ((water, seal, moves),)
    return (water, seal, moves, path, trend), (water, seal, moves, ("moisture", READ_AS))


def _kind(sign: SignFacts, rules: Rules) -> object:
    """Signs of one kind are judged alike."""
    return (
        sign.conditions,
        rules.conclusive.get(sign.code, frozenset()) & set(sign.conditions),
        tuple(sorted(rules.sign_multipliers.get(sign.code, {}).items())),
    )


class _Asked:
    """Judgement asked about one part. What it would say again and again is kept."""

    def __init__(
        self, component: ComponentFacts, signs: Sequence[SignFacts], days: Sequence[Day], rules: Rules
    ) -> None:
        self._component, self._days, self._rules = component, days, rules
        day = days[0].on
        # A sign with nothing else said is all that weighing needs beside the circumstances.
        self._bare = [FindingFacts(day, signs=(sign,)) for sign in signs]
        self._years = [
            (each, season_years(replace(self._bare[0], observed_on=each.on), each.yard, each.on, rules))
            for each in days
        ]
        self._quickens = [sign.code in rules.sign_multipliers for sign in signs]
        self._weighed: dict[frozenset[Evidence], list[_Weighed]] = {}
        self._priorities: dict[tuple[object, ...], Priority | None] = {}

    def row(self, said: Mapping[str, str]) -> str:
        """The character of each sign for one combination of answers."""
        readings: tuple[Reading, ...] | None = ()
        if bucket := said.get("moisture", NOT_SAID):
            first = self._days[0]
            readings = readings_of(bucket, self._component, first.yard, first.on, self._rules)
        if readings is None:
            return NO_VALUE * len(self._bare)
        finding = _finding(said, self._bare[0], readings)
        around = circumstances_of(finding, self._component, self._days[0].yard, self._days[0].on, self._rules)
        arounds = [replace(around, judged_on=day.on, season_years=years) for day, years in self._years]
        plain: dict[Condition, Priority | None] = {}
        return "".join(
            self._character(
                weighed, bare if quickens else self._bare[0], arounds, {} if quickens else plain, quickens=quickens
            )
            for weighed, bare, quickens in zip(self._held(around), self._bare, self._quickens, strict=True)
        )

    def _character(
        self,
        weighed: _Weighed,
        bare: FindingFacts,
        arounds: Sequence[Circumstances],
        known: dict[Condition, Priority | None],
        *,
        quickens: bool,
    ) -> str:
        pressing, most = weighed.conditions[0], len(URGENCY)
        for condition in weighed.conditions:
            if condition not in known:
                known[condition] = self._priority(condition, bare, arounds, quickens=quickens)
            priority = known[condition]
            if priority is None:
                return NO_VALUE
            if URGENCY[priority] < most:
                pressing, most = condition, URGENCY[priority]
        priority = known[pressing]
        assert priority is not None
        structural = self._rules.conditions[pressing].structural
        return CHARACTERS[value_at(priority, structural, weighed.contradicted, weighed.left)]

    def _held(self, around: Circumstances) -> list[_Weighed]:
        """What each sign makes hold: with nothing hidden, that hangs on the sign and the evidence alone."""
        if around.evidence not in self._weighed:
            self._weighed[around.evidence] = [self._weigh(bare, around) for bare in self._bare]
        return self._weighed[around.evidence]

    def _weigh(self, bare: FindingFacts, around: Circumstances) -> _Weighed:
        holding = [one for one in weigh(bare, self._component, around, self._rules) if one.holds]
        holding.sort(key=lambda one: -self._rules.condition_rank[one.condition])
        return _Weighed(
            tuple(one.condition for one in holding),
            contradicted=any(one.contradicted for one in holding),
            left=[one.condition for one in holding] == [Condition.FINISH_ONLY]
            and holding[0].conclusive
            and not holding[0].named_by,
        )

    def _priority(
        self, condition: Condition, finding: FindingFacts, arounds: Sequence[Circumstances], *, quickens: bool
    ) -> Priority | None:
        """The same on the first and the last day, or None. Of the evidence, all but the soaking stands in the words
        already: seal, movement, load and trend."""
        around = arounds[0]
        soaks = Evidence.SOAKING in around.evidence
        code = finding.signs[0].code if quickens else ""
        key = condition, around.waters, around.seal, around.moves, around.trend, around.in_load_path, soaks, code
        if key not in self._priorities:
            said = {
                self._priority_on(day, condition, finding, then)
                for day, then in zip(self._days, arounds, strict=True)
            }
            self._priorities[key] = said.pop() if len(said) == 1 else None
        return self._priorities[key]

    def _priority_on(
        self, day: Day, condition: Condition, finding: FindingFacts, around: Circumstances
    ) -> Priority:
        severity, _ = severity_of(condition, self._component, around, self._rules)
        level = likelihood_level(condition, finding, self._component, day.yard, around, self._rules)
        risk = risk_level(severity, level)
        return priority_of(condition, severity, risk, self._component, around, self._rules)[0]


@dataclass(frozen=True, slots=True)
class _Weighed:
    """Conditions that hold, the worst first."""

    conditions: tuple[Condition, ...]
    contradicted: bool
    left: bool


def _finding(said: Mapping[str, str], bare: FindingFacts, readings: tuple[Reading, ...]) -> FindingFacts:
    """A finding of these answers; an empty word is kept as None."""
    return replace(
        bare,
        readings=readings,
        in_load_path=IN_PATH[said.get("path", NOT_SAID)],
        water=said["water"],  # type: ignore[arg-type]
        seal=said["seal"],  # type: ignore[arg-type]
        moves=said["moves"],  # type: ignore[arg-type]
        trend=said.get("trend", NOT_SAID),  # type: ignore[arg-type]
    )


__all__ = ["Day", "FirstReading", "first_reading", "planes_of", "same_words", "stands_alone"]
