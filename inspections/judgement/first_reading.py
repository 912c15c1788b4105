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
from dataclasses import dataclass
from datetime import date
from itertools import product
from typing import Final

from inspections.judgement.circumstances import Circumstances, circumstances_of
from inspections.judgement.condition import weigh
from inspections.judgement.evidence import Evidence
from inspections.judgement.facts import ComponentFacts, FindingFacts, Reading, SignFacts, YardFacts
from inspections.judgement.first_words import CHARACTERS, NO_VALUE, Value, value_at
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
        signs: of the yard's list. One that speaks of hidden faces is left out: how long they have been closed is no
            answer of today.
        days: the first and the last day of its time.
    """
    kinds: dict[object, list[SignFacts]] = {}
    for sign in signs:
        if Condition.UNSEEN not in sign.conditions:
            kinds.setdefault(_kind(sign, rules), []).append(sign)
    planes = planes_of(component, rules)
    bare = {alike[0].code: FindingFacts(days[0].on, signs=(alike[0],)) for alike in kinds.values()}
    weighed: dict[tuple[object, frozenset[Evidence]], _Weighed] = {}
    asked = [_Asked(component, day, rules, weighed) for day in days]
    sheets: dict[str, list[str | None]] = {sign.code: [] for alike in kinds.values() for sign in alike}
    for plane in planes:
        cells: list[list[str]] = [[] for _ in kinds]
        for answers in product(*(words for _, words in plane)):
            said = dict(zip([name for name, _ in plane], answers, strict=True))
            looks = [_Look(said, each) for each in asked]
            for column, (kind, alike) in zip(cells, kinds.items(), strict=True):
                values = {look.value_of(kind, alike[0], bare[alike[0].code]) for look in looks}
                value = values.pop() if len(values) == 1 else None
                column.append(NO_VALUE if value is None else CHARACTERS[value])
        for column, alike in zip(cells, kinds.values(), strict=True):
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
    return (water, seal, moves, path, trend), (water, seal, moves, ("moisture", (NOT_SAID, *READ_AS)))


def _kind(sign: SignFacts, rules: Rules) -> object:
    """Signs of one kind are judged alike."""
    return (
        sign.conditions,
        rules.conclusive.get(sign.code, frozenset()) & set(sign.conditions),
        sign.code in rules.salt_signs,
        tuple(sorted(rules.sign_multipliers.get(sign.code, {}).items())),
    )


class _Asked:
    """Judgement asked about one part on one day. What it would say again and again is kept."""

    def __init__(
        self,
        component: ComponentFacts,
        day: Day,
        rules: Rules,
        weighed: dict[tuple[object, frozenset[Evidence]], _Weighed],
    ) -> None:
        self.component, self.day, self.rules = component, day, rules
        self._weighed = weighed  # the same on every day
        self._priorities: dict[tuple[object, ...], Priority] = {}

    def circumstances(self, finding: FindingFacts) -> Circumstances:
        return circumstances_of(finding, self.component, self.day.yard, self.day.on, self.rules)

    def weighed(self, kind: object, finding: FindingFacts, around: Circumstances) -> _Weighed:
        """What holds: with nothing hidden, it hangs on the sign and the evidence alone."""
        key = kind, around.evidence
        if key not in self._weighed:
            holding = [one for one in weigh(finding, self.component, around, self.rules) if one.holds]
            holding.sort(key=lambda one: -self.rules.condition_rank[one.condition])
            self._weighed[key] = _Weighed(
                tuple(one.condition for one in holding),
                contradicted=any(one.contradicted for one in holding),
                left=all(one.conclusive and not one.named_by for one in holding)
                and [one.condition for one in holding] == [Condition.FINISH_ONLY],
            )
        return self._weighed[key]

    def priority(self, condition: Condition, finding: FindingFacts, around: Circumstances) -> Priority:
        """Of all evidence, what an open or whole seal, a movement or a load say stands in the words already."""
        soaks = Evidence.SOAKING in around.evidence
        multiplied = tuple(sign.code for sign in finding.signs if sign.code in self.rules.sign_multipliers)
        key = (
            condition, around.waters, around.seal, around.moves, around.trend, around.in_load_path, soaks,
            around.salt, multiplied,
        )  # fmt: skip
        if key not in self._priorities:
            severity, _ = severity_of(condition, self.component, around, self.rules)
            level = likelihood_level(condition, finding, self.component, self.day.yard, around, self.rules)
            risk = risk_level(severity, level)
            said = priority_of(condition, severity, risk, self.component, around, self.rules)
            self._priorities[key] = said[0]
        return self._priorities[key]


@dataclass(frozen=True, slots=True)
class _Weighed:
    """Conditions that hold, the worst first."""

    conditions: tuple[Condition, ...]
    contradicted: bool
    left: bool


class _Look:
    """One combination of answers, asked for one sign after the other."""

    def __init__(self, said: Mapping[str, str], asked: _Asked) -> None:
        self._asked = asked
        bucket = said.get("moisture", NOT_SAID)
        self._moisture = bool(bucket)
        self._readings: tuple[Reading, ...] | None = ()
        if bucket:
            self._readings = readings_of(bucket, asked.component, asked.day.yard, asked.day.on, asked.rules)
        self._said = said
        self._shared: tuple[FindingFacts, Circumstances] | None = None
        self._priorities: dict[Condition, Priority] = {}

    def value_of(self, kind: object, sign: SignFacts, bare: FindingFacts) -> Value | None:
        """
        Args:
            bare: a finding of this sign with nothing else said: all that weighing needs beside the circumstances.
        """
        if self._readings is None:
            return None
        asked, rules = self._asked, self._asked.rules
        if self._moisture and sign.code in rules.salt_signs:
            return None  # salt shifts what the meter says
        known: dict[Condition, Priority] = self._priorities
        if stands_alone(sign, rules):
            known = {}
            finding = self._finding(sign)
            around = asked.circumstances(finding)
        elif self._shared is not None:
            finding, around = self._shared
        else:
            finding = self._finding(sign)
            around = asked.circumstances(finding)
            self._shared = finding, around
        weighed = asked.weighed(kind, bare, around)
        said = [
            known.get(condition) or asked.priority(condition, finding, around) for condition in weighed.conditions
        ]
        known.update(zip(weighed.conditions, said, strict=True))
        urgency = [URGENCY[priority] for priority in said]
        pressing = urgency.index(min(urgency))
        return value_at(
            said[pressing],
            rules.conditions[weighed.conditions[pressing]].structural,
            weighed.contradicted,
            weighed.left,
        )

    def _finding(self, sign: SignFacts) -> FindingFacts:
        said = self._said
        return FindingFacts(
            self._asked.day.on,
            signs=(sign,),
            readings=self._readings or (),
            in_load_path=IN_PATH[said.get("path", NOT_SAID)],
            water=said["water"],  # type: ignore[arg-type]  # an empty word is kept as None
            seal=said["seal"],  # type: ignore[arg-type]
            moves=said["moves"],  # type: ignore[arg-type]
            trend=said.get("trend", NOT_SAID),  # type: ignore[arg-type]
        )


__all__ = ["Day", "FirstReading", "first_reading", "planes_of", "same_words", "stands_alone"]
