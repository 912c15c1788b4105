"""The way round a boat: where to look first, and why.

Each place is judged as it would be if nobody saw it this time: by the chain of a hidden face, and what was last
found there run on over the time since. The order is that of the risk, which is a rank: ranks are compared, never
added or averaged. Where two places stand equal, the one that a load works on comes first, then the graver severity,
then the likelier failure. What comes off once is looked at behind all at once: such places stand together, where
the riskiest of them stands.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from inspections.judgement.circumstances import Circumstances, circumstances_of
from inspections.judgement.facts import ComponentFacts, EarlierLook, FindingFacts, YardFacts
from inspections.judgement.likelihood import likelihood_of
from inspections.judgement.priority import priority_of
from inspections.judgement.risk import RISK_RANK, risk_level
from inspections.judgement.rules.tables import Rules
from inspections.judgement.severity import severity_of
from inspections.judgement.speech.english import IF_IT_FAILS, RISK_IN_WORDS, day_in_words, joined, odds
from inspections.judgement.unseen import cap_has_passed
from inspections.judgement.vocabulary import Answer, Because, Condition, Priority, RiskLevel


@dataclass(frozen=True, slots=True)
class Place:
    """One place that is to be looked at.

    Args:
        key: whatever the caller knows it by.
        component: what it is on.
        earlier: looks at it before this inspection, sound ones too, oldest first; empty where there was none.
        found: what the last of them found, in words; empty where it found the place sound.
        opening: what comes off before it can be seen; places with the same are opened together. Empty where nothing
            comes off.
    """

    key: int
    component: ComponentFacts
    earlier: tuple[EarlierLook, ...] = ()
    found: str = ""
    opening: str = ""


@dataclass(frozen=True, slots=True)
class Stop:
    """A place with the risk that it carries as long as nobody sees it.

    Args:
        severity: 1 (catastrophic) to 4 (negligible).
        probability_level: A to E.
        probability: of failing before the season is over, 0 to 1.
        shown_probability: the same where it is worth a figure; None where it is too small to be shown.
        loaded: a load that comes and goes or strikes works on it.
        reasons: why it stands where it stands, in plain sentences.
        open_up_because: why opening it up now is advised, in words that follow "because"; empty where the risk is
            borne: it is neither high nor serious, and the class's interval has not passed.
    """

    place: Place
    risk: RiskLevel
    severity: int
    probability_level: str
    probability: float
    shown_probability: float | None
    loaded: bool
    reasons: tuple[str, ...]
    open_up_because: str

    @property
    def open_up_advised(self) -> bool:
        return bool(self.open_up_because)


@dataclass(frozen=True, slots=True)
class Leg:
    """Stops that are made together: one place, or all places behind what comes off once."""

    opening: str
    stops: tuple[Stop, ...]

    @property
    def open_up_advised(self) -> bool:
        return any(stop.open_up_advised for stop in self.stops)


def way_round(places: Sequence[Place], yard: YardFacts, on_date: date, rules: Rules) -> tuple[Leg, ...]:
    """The places in the order in which they are worth looking at, those of one opening together.

    Places that are equal in everything keep the order in which they were given.

    Args:
        places: of one boat; no look at them lies after `on_date`.
        yard: her season and the yard's weather.
        on_date: the day of the round.
        rules: from `load_rules`.

    Raises:
        Refused: a look at a place lies after the day of the round.

    Source: expected risk by the matrix of MIL-STD-882E; the order among equals is common practice, no source.
    """
    stops = sorted((stop_at(place, yard, on_date, rules) for place in places), key=_riskiest_first)
    legs: dict[object, list[Stop]] = {}
    for number, stop in enumerate(stops):
        legs.setdefault(stop.place.opening or number, []).append(stop)
    return tuple(Leg(together[0].place.opening, tuple(together)) for together in legs.values())


def stop_at(place: Place, yard: YardFacts, on_date: date, rules: Rules) -> Stop:
    """The risk that a place carries unseen, as a "not seen" of that day would be judged.

    Raises:
        Refused: a look at the place lies after that day.
    """
    unseen = FindingFacts(
        observed_on=on_date,
        answer=Answer.NOT_SEEN,
        last_seen_on=max((look.seen_on for look in place.earlier), default=None),
        earlier=place.earlier,
    )
    around = circumstances_of(unseen, place.component, yard, on_date, rules)
    severity, _ = severity_of(Condition.UNSEEN, place.component, around, rules)
    likelihood = likelihood_of(Condition.UNSEEN, unseen, place.component, yard, around, rules)
    risk = risk_level(severity, likelihood.level)
    priority, because = priority_of(Condition.UNSEEN, severity, risk, place.component, around, rules)
    shown = likelihood.probability if likelihood.probability >= rules.progression.shown_from else None
    to_be_opened = bool(place.opening) and priority is not Priority.WATCH
    borne = to_be_opened and risk not in rules.urgent and _within_its_time(place, around)
    return Stop(
        place=place,
        risk=risk,
        severity=severity,
        probability_level=likelihood.level,
        probability=likelihood.probability,
        shown_probability=shown,
        loaded=around.load_works,
        reasons=(
            _before(place),
            *_how_long(place, around),
            *_what_works_on_it(around),
            _at_stake(around, severity, likelihood.level, shown, risk),
            *([f"Opening it up can wait for the next lay-up: {because.label}."] if borne else []),
        ),
        open_up_because=_why_open(around, risk, because, rules) if to_be_opened and not borne else "",
    )


def _riskiest_first(stop: Stop) -> tuple[int, bool, int, float]:
    return RISK_RANK[stop.risk], not stop.loaded, stop.severity, -stop.probability


def _before(place: Place) -> str:
    if not place.earlier:
        return "No look at it is on record."
    last = max(place.earlier, key=lambda look: look.seen_on)
    day = day_in_words(last.seen_on)
    if not place.found:
        return f"Found sound on {day}."
    meant = f", judged as: {last.condition.label}" if last.condition is not None else ""
    return f"Found on {day}: {place.found}{meant}."


def _how_long(place: Place, around: Circumstances) -> Iterator[str]:
    months, cap = around.unseen_months, place.component.open_up_months
    if not place.opening:
        return
    if months is None:
        yield f"A part like this is opened up at least every {cap} months."
    else:
        yield f"Closed for {months:.0f} months; a part like this is opened up at least every {cap}."


def _what_works_on_it(around: Circumstances) -> Iterator[str]:
    works = []
    if around.water_reaches:
        works.append(around.water.label)
    if around.load_works:
        works.append(around.load.label)
    if works:
        yield f"At work there: {joined(works)}."


def _at_stake(around: Circumstances, severity: int, level: str, shown: float | None, risk: RiskLevel) -> str:
    figure = "" if shown is None else f"{odds(shown)} within the season, "
    return (
        f"{IF_IT_FAILS[around.role]}; unseen it is {RISK_IN_WORDS[risk]} "
        f"({figure}severity {severity}, likelihood {level})."
    )


def _within_its_time(place: Place, around: Circumstances) -> bool:
    return around.unseen_months is not None and not cap_has_passed(around.unseen_months, place.component)


def _why_open(around: Circumstances, risk: RiskLevel, because: Because, rules: Rules) -> str:
    if risk in rules.urgent:
        return because.label
    if around.unseen_months is None:
        return "no look behind it is on record"
    return "it has been closed for longer than a part like this may be"


__all__ = ["Leg", "Place", "Stop", "stop_at", "way_round"]
