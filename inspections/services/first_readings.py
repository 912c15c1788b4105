"""The compact table of a boat: what her parts' findings will probably be judged to be, for a page without network.

Parts of the same circumstances share a table. Working one out takes half a second, so each is kept in the cache
for the week it holds for, under a key of everything that it was worked out from.
"""

from __future__ import annotations

import hashlib
import json
import time
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any, Final

from django.core.cache import cache

from inspections.judgement.facts import ComponentFacts, SignFacts
from inspections.judgement.first_reading import Day, first_reading, same_words, stands_alone
from inspections.judgement.first_words import CHARACTERS, VALUES
from inspections.judgement.meter_steps import meter_steps
from inspections.judgement.rules.tables import Rules
from inspections.judgement.vocabulary import Condition
from inspections.models import Inspection, Sign
from inspections.selectors.rules import rules_of
from inspections.services.fact_building import CONDITIONS, NOT_LISTED, UNKNOWN_SIGN, Seasons, component_facts, plain
from inspections.services.rechecks import learned_rates
from yard.models import Component
from yard.refusals import Refused
from yard.selectors import today_at

# From a Monday, so that a table and the package around it stay the same all week.
HOLDS_FOR: Final = timedelta(days=13)
KEPT_FOR: Final = timedelta(days=8)
# Nobody waits longer for a package: what is not worked out by then has no first reading in this one, and what was
# worked out is kept for the next.
MOST_SECONDS: Final = 15.0
ELSEWHERE: Final = "elsewhere"
# Of how the table is worked out and packed; what was kept by another edition is not used.
EDITION: Final = 1


def first_readings_of(
    inspection: Inspection, components: Iterable[Component], signs: Iterable[Sign], at: datetime
) -> dict[str, Any] | None:
    """The table of a boat as it is sent; None where the yard has no season that a look of today belongs to.

    Args:
        inspection: with its yard and boat.
        components: of the boat, with their classes.
        signs: of the yard's list.
    """
    yard = inspection.yard
    today = today_at(yard, at)
    first = today - timedelta(days=today.weekday())
    rules = rules_of(yard)
    seasons = Seasons(yard, learned_rates(yard=yard, today=today, rules=rules))
    try:
        days = [Day(on, seasons.facts(inspection, on)) for on in (first, first + HOLDS_FOR)]
    except Refused:
        return None
    told = tuple(_sign_facts(sign) for sign in signs)
    parts = {
        str(part.pk): replace(component_facts(part, inspection.boat, first), boat_year=None) for part in components
    }
    parts[ELSEWHERE] = NOT_LISTED
    return _packed(parts, told, days, rules)


def _sign_facts(sign: Sign) -> SignFacts:
    conditions = tuple(Condition(word) for word in sign.conditions if word in CONDITIONS) or UNKNOWN_SIGN
    return SignFacts(sign.code, conditions)


def _packed(
    parts: Mapping[str, ComponentFacts], signs: tuple[SignFacts, ...], days: list[Day], rules: Rules
) -> dict[str, Any]:
    keys = {facts: _key(facts, signs, days, rules) for facts in dict.fromkeys(parts.values())}
    kept = cache.get_many(keys.values())
    sheets: dict[str, int] = {}
    kinds: dict[ComponentFacts, int] = {}
    groups: list[dict[str, Any]] = []
    began = time.monotonic()
    for facts, key in keys.items():
        group = kept.get(key)
        if group is None and time.monotonic() - began > MOST_SECONDS:
            continue
        if group is None:
            group = _group(facts, signs, days, rules)
            cache.set(key, group, KEPT_FOR.total_seconds())
        kinds[facts] = len(groups)
        numbered = {
            code: [None if own is None else sheets.setdefault(group["sheets"][own], len(sheets)) for own in of_sign]
            for code, of_sign in group["signs"].items()
        }
        groups.append({"planes": group["planes"], "signs": numbered, "meter": group["meter"]})
    told = rules.moisture
    return {
        "rules": rules.version,
        "from": days[0].on.isoformat(),
        "until": days[-1].on.isoformat(),
        "same": same_words(rules),
        "components": {name: kinds[facts] for name, facts in parts.items() if facts in kinds},
        "groups": groups,
        "sheets": list(sheets),
        "values": {
            CHARACTERS[value]: {
                "priority": value.priority.value,
                "rank": value.rank,
                "left": value.left,
                "words": value.words(),
            }
            for value in VALUES
        },
        "alone": sorted(sign.code for sign in signs if stands_alone(sign, rules)),
        "beside": {
            "wet_pct": told.wet_pct,
            "soaking_pct": told.soaking_pct,
            "contrast_points": told.contrast_points,
            "same_points": told.same_points,
        },
    }


def _group(facts: ComponentFacts, signs: tuple[SignFacts, ...], days: list[Day], rules: Rules) -> dict[str, Any]:
    read = first_reading(facts, signs, days, rules)
    sheets: dict[str, int] = {}
    numbered = {
        code: [None if sheet is None else sheets.setdefault(sheet, len(sheets)) for sheet in of_sign]
        for code, of_sign in read.signs.items()
    }
    return {
        "planes": [[[name, list(words)] for name, words in plane] for plane in read.planes],
        "signs": numbered,
        "sheets": list(sheets),
        "meter": {
            str(day.on.month): {
                "" if wood_c is None else str(wood_c): [steps.damp_from, steps.wet_from]
                for wood_c, steps in meter_steps(facts, day.yard, day.on, rules).items()
            }
            for day in days
        },
    }


def _key(facts: ComponentFacts, signs: tuple[SignFacts, ...], days: list[Day], rules: Rules) -> str:
    told = [
        EDITION,
        rules.version,
        plain(facts),
        plain(signs),
        [[day.on.isoformat(), plain(day.yard)] for day in days],
    ]
    digest = hashlib.sha256(json.dumps(told, sort_keys=True, default=str).encode()).hexdigest()
    return f"inspections.first_reading:{digest}"


__all__ = ["ELSEWHERE", "HOLDS_FOR", "first_readings_of"]
