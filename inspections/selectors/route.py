"""The way round a boat under inspection: the places that nobody has seen yet, in the order of their risk."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from inspections.judgement.route import Leg, Place, Stop, way_round
from inspections.judgement.vocabulary import Answer
from inspections.models import Check, Finding, Inspection, OpeningStep, Sign
from inspections.selectors.entries import standing_entries
from inspections.selectors.rules import rules_of
from inspections.selectors.second_looks import second_looks
from inspections.services.earlier_looks import Look, PlaceOfCheck, looks_at
from inspections.services.fact_building import Seasons, component_facts
from inspections.services.rechecks import learned_rates
from inspections.services.second_look_asks import asks_not_answered
from inspections.templates.document import OpeningKind
from yard.selectors import today_at


@dataclass(frozen=True, slots=True)
class RouteStop:
    """A check with the risk of its place.

    Args:
        not_seen_because: what hid it this time; empty where nobody has answered the check.
    """

    check: Check
    stop: Stop
    not_seen_because: str


@dataclass(frozen=True, slots=True)
class RouteLeg:
    """Checks that are answered together.

    Args:
        opening: what comes off, as steps that are done once share it; empty where nothing comes off.
        opening_text: the same in the words of the template.
    """

    opening: str
    opening_text: str
    stops: tuple[RouteStop, ...]
    open_up_advised: bool


@dataclass(frozen=True, slots=True)
class LookAgain:
    """A finding of this inspection whose evidence does not settle it.

    Args:
        because: in words that follow "because".
    """

    finding: Finding
    because: str


@dataclass(frozen=True, slots=True)
class Route:
    """What is left of the way round.

    Args:
        on: the day it is reckoned for.
        checks: how many questions the inspection has.
        seen: how many of them somebody has answered and seen; they are on the way no more.
        look_again: what was found this time and asks for a second look, in the order in which it was found. The
            second answer takes the place of the first.
    """

    on: date
    checks: int
    seen: int
    legs: tuple[RouteLeg, ...]
    look_again: tuple[LookAgain, ...]


def route_of(inspection: Inspection, at: datetime) -> Route:
    """The way round a boat from here on, the same number of queries for any number of checks.

    Raises:
        Refused: the yard has no season that the inspection belongs to.
    """
    yard = inspection.yard
    today = today_at(yard, at)
    checks = list(
        Check.objects.of_yard(yard)
        .filter(inspection=inspection)
        .select_related("component__component_class", "spot")
        .order_by("position", "pk")
    )
    hidden = _newest_answers(inspection)
    left = [check for check in checks if hidden.get(check.pk) != ""]
    return Route(
        on=today,
        checks=len(checks),
        seen=len(checks) - len(left),
        legs=way_of(inspection, left, at, hidden=hidden),
        look_again=_look_again(inspection),
    )


def way_of(
    inspection: Inspection, checks: Sequence[Check], at: datetime, *, hidden: Mapping[int | None, str] | None = None
) -> tuple[RouteLeg, ...]:
    """The way to these checks, as if nobody had seen any of their places yet.

    Args:
        checks: with component, its class and spot.
        hidden: by check, what hid it this time.

    Raises:
        Refused: the yard has no season that the inspection belongs to.
    """
    yard = inspection.yard
    today = today_at(yard, at)
    left = {check.pk: check for check in checks}
    openings = _openings(inspection, checks)
    rules = rules_of(yard)
    learned = learned_rates(yard=yard, today=today, rules=rules)
    facts = Seasons(yard, learned).facts(inspection, today)
    legs = way_round(_places(inspection, checks, openings, today), facts, today, rules)
    return tuple(_leg(leg, left, openings, hidden or {}) for leg in legs)


def _look_again(inspection: Inspection) -> tuple[LookAgain, ...]:
    findings = list(
        Finding.objects.of_yard(inspection.yard_id)
        .filter(
            inspection=inspection, state__in=(Finding.State.OPEN, Finding.State.WATCHED, Finding.State.DEFERRED)
        )
        .select_related("component", "spot", "entry")
        .order_by("found_at", "pk")
    )
    keys = [finding.pk for finding in findings]
    why = second_looks(inspection.yard, keys)
    asked = asks_not_answered(keys)  # what a manager asks about is a check, and stands on the way
    return tuple(
        LookAgain(finding, why[finding.pk]) for finding in findings if finding.pk in why and finding.pk not in asked
    )


def _newest_answers(inspection: Inspection) -> dict[int | None, str]:
    """By check that is answered, what hid the place; empty where it was seen."""
    rows = standing_entries(inspection).filter(answers__isnull=False)
    return {
        check: why if answer == Answer.NOT_SEEN else ""
        for check, answer, why in rows.values_list("answers_id", "answer", "not_seen_reason")
    }


def _openings(inspection: Inspection, checks: Iterable[Check]) -> dict[int, tuple[str, str]]:
    """By check, the first thing that comes off before it: what it shares with others, and its text."""
    steps: dict[int, list[OpeningStep]] = {}
    for step in inspection.opening_steps.filter(kind=OpeningKind.TAKE_OFF).order_by("position", "pk"):
        steps.setdefault(step.component_id, []).append(step)
    found = {}
    for check in checks:
        first = next((step for step in steps.get(check.component_id, ()) if step.key in check.after), None)
        if first is not None:
            found[check.pk] = first.shares or f"{first.component_id}:{first.key}", first.text
    return found


def _places(
    inspection: Inspection, checks: Collection[Check], openings: Mapping[int, tuple[str, str]], today: date
) -> list[Place]:
    yard = inspection.yard
    looks = looks_at(
        yard,
        {check.spot_id for check in checks if check.spot_id is not None},
        {_as_question(check) for check in checks if check.spot_id is None},
    )
    names = dict(Sign.objects.of_yard(yard).values_list("code", "name"))
    places = []
    for check in checks:
        before = [
            look
            for look in looks.before(inspection.season_year, check.spot_id, _as_question(check))
            if look.seen_on <= today
        ]
        first_day = min([today, *(look.seen_on for look in before)])
        places.append(
            Place(
                key=check.pk,
                component=component_facts(check.component, inspection.boat, first_day),
                earlier=tuple(look.as_fact() for look in before),
                found=_found(before, names),
                opening=openings[check.pk][0] if check.pk in openings else "",
            )
        )
    return places


def _as_question(check: Check) -> PlaceOfCheck:
    return check.component_id, check.key


def _found(looks: Sequence[Look], names: Mapping[str, str]) -> str:
    """What the last look found, in words."""
    if not looks:
        return ""
    last = max(looks, key=lambda look: look.seen_on)
    what = ", ".join(names.get(code, code).lower() for code in last.signs)
    return f"{what}, {last.size_mm.normalize():f} mm" if what and last.size_mm is not None else what


def _leg(
    leg: Leg,
    checks: Mapping[int, Check],
    openings: Mapping[int, tuple[str, str]],
    hidden: Mapping[int | None, str],
) -> RouteLeg:
    return RouteLeg(
        opening=leg.opening,
        opening_text=openings[leg.stops[0].place.key][1] if leg.opening else "",
        stops=tuple(RouteStop(checks[stop.place.key], stop, hidden.get(stop.place.key, "")) for stop in leg.stops),
        open_up_advised=leg.open_up_advised,
    )


__all__ = ["LookAgain", "Route", "RouteLeg", "RouteStop", "route_of", "way_of"]
