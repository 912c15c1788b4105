"""From rows to the facts that judgement asks for: many entries of a yard at once, a fixed number of queries."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from datetime import date
from enum import Enum
from functools import lru_cache
from typing import Any, Final
from uuid import UUID

from inspections.judgement.facts import (
    ClimateMonth,
    ComponentFacts,
    FindingFacts,
    LearnedRate,
    Reading,
    SignFacts,
    YardFacts,
)
from inspections.judgement.vocabulary import Answer, Condition, SafetyRole
from inspections.models import Entry, Inspection, Sign
from inspections.services.earlier_looks import Look, PlaceOfCheck, looks_at, seen_on_at
from yard.models import Boat, ClimateNormal, Component, Season, Yard
from yard.refusals import Refused
from yard.selectors import working_calendar_of

# A place that is on no list of parts: anything may meet there, and until the office says what it is, it is taken
# for a part that somebody's safety hangs on. Months as for closely watched classes: common practice, no source.
NOT_LISTED: Final = ComponentFacts(
    class_code="NOT_LISTED", safety_role=SafetyRole.PERSONAL_SAFETY, recheck_months=12, open_up_months=24
)
# A sign that has gone from the yard's list, or speaks for nothing, says no more than that it must be looked at.
UNKNOWN_SIGN: Final = (Condition.UNSEEN,)
CONDITIONS: Final = frozenset(condition.value for condition in Condition)


@dataclass(frozen=True, slots=True)
class Facts:
    """All that judgement is told of one entry."""

    finding: FindingFacts
    component: ComponentFacts
    yard: YardFacts

    def digest(self) -> str:
        """SHA-256 of the facts: as long as it is the same, only the day can change a judgement."""
        told = json.dumps([plain(self.finding), plain(self.component)], sort_keys=True, separators=(",", ":"))
        return hashlib.sha256(f"{told}{_digest_of_yard(self.yard)}".encode()).hexdigest()


def entries_to_judge(yard: Yard, entry_ids: Iterable[UUID]) -> list[Entry]:
    """Entries with what their facts are built from."""
    return list(
        Entry.objects.of_yard(yard)
        .filter(pk__in=list(entry_ids))
        .select_related("inspection__boat", "component__component_class", "answers", "finding")
        .prefetch_related("readings")
        .order_by("pk")
    )


def facts_of(
    yard: Yard, entries: Sequence[Entry], learned: tuple[LearnedRate, ...] = ()
) -> dict[UUID, Facts | Refused]:
    """The facts of each entry, or why they make none.

    Args:
        entries: from `entries_to_judge`; findings and places not seen.
        learned: the rates that the yard's own rechecks put in the place of the table's.
    """
    signs = {
        sign.code: tuple(Condition(word) for word in sign.conditions if word in CONDITIONS) or UNKNOWN_SIGN
        for sign in Sign.objects.of_yard(yard)
    }
    earlier = _earlier_looks(yard, entries)
    seasons = Seasons(yard, learned)
    built: dict[UUID, Facts | Refused] = {}
    for entry in entries:
        looks = earlier.get(entry.pk, [])
        try:
            seen_on = seen_on_at(yard, entry.observed_at, entry.received_at)
            finding = _finding_facts(entry, seen_on, signs, looks)
            first_day = min([seen_on, *(look.seen_on for look in finding.earlier)])
            component = component_facts(entry.component, entry.inspection.boat, first_day)
            built[entry.pk] = Facts(finding, component, seasons.facts(entry.inspection, seen_on))
        except Refused as refusal:
            built[entry.pk] = refusal
    return built


def _finding_facts(
    entry: Entry, seen_on: date, signs: Mapping[str, tuple[Condition, ...]], looks: Sequence[Look]
) -> FindingFacts:
    before = [look for look in looks if look.seen_on <= seen_on]
    sign_facts = tuple(SignFacts(code, signs.get(code, UNKNOWN_SIGN)) for code in entry.signs)
    hidden = entry.answer == Answer.NOT_SEEN or any(Condition.UNSEEN in sign.conditions for sign in sign_facts)
    return FindingFacts(
        observed_on=seen_on,
        signs=sign_facts,
        answer=Answer(entry.answer),
        size_mm=None if entry.size_mm is None else float(entry.size_mm),
        readings=tuple(
            Reading(
                quantity=reading.quantity,
                value=float(reading.value),
                unit=reading.unit,
                wood_temperature_c=None
                if reading.wood_temperature_c is None
                else float(reading.wood_temperature_c),
            )
            for reading in sorted(entry.readings.all(), key=lambda reading: reading.pk)
        ),
        # Empty words are "not recorded"; the facts keep them as None.
        sides=entry.sides,  # type: ignore[arg-type]
        water=entry.water,  # type: ignore[arg-type]
        load=entry.load,  # type: ignore[arg-type]
        seal=entry.seal,  # type: ignore[arg-type]
        moves=entry.moves,  # type: ignore[arg-type]
        trend=entry.trend,  # type: ignore[arg-type]
        in_load_path=entry.in_load_path,
        last_seen_on=max((look.seen_on for look in before), default=None) if hidden else None,
        earlier=tuple(look.as_fact() for look in before),
    )


def component_facts(component: Component | None, boat: Boat, first_day: date) -> ComponentFacts:
    """A component and what its class says of it.

    Args:
        component: with its class; None for a place that is on no list of parts.
        boat: that it is on.
        first_day: of the earliest look that is known.
    """
    if component is None:
        return NOT_LISTED
    component_class = component.component_class
    year = boat.year
    return ComponentFacts(
        class_code=component_class.code,
        safety_role=component_class.safety_role,  # type: ignore[arg-type]
        recheck_months=component_class.recheck_months,
        open_up_months=component_class.open_up_months,
        contact=frozenset(component_class.contact),
        load=frozenset(component_class.load),
        water=frozenset(component_class.water),
        species=component.species,
        # A year that a look lies before is entered wrongly, and says nothing.
        boat_year=year if year is not None and year <= first_day.year else None,
    )


class Seasons:
    """The yard's seasons, days and weather, read once."""

    def __init__(self, yard: Yard, learned: tuple[LearnedRate, ...] = ()) -> None:
        self._learned = learned
        self._seasons = list(Season.objects.of_yard(yard).order_by("layup_on"))
        self._calendar = working_calendar_of(yard)
        self._climate = tuple(
            ClimateMonth(
                month=normal.month,
                air_temperature_c=float(normal.air_temperature_c),
                relative_humidity_pct=float(normal.relative_humidity_pct),
                rain_days=float(normal.rain_days),
            )
            for normal in ClimateNormal.objects.of_yard(yard)
        )

        self._made: dict[tuple[date, date], YardFacts] = {}

    def facts(self, inspection: Inspection, seen_on: date) -> YardFacts:
        """The season that a look belongs to, so that judging it again later does not move its days."""
        year = inspection.season_year
        season = next(
            (season for season in self._seasons if season.year >= year and season.layup_on >= seen_on),
            next((season for season in self._seasons if season.year == year), None),
        )
        if season is None:
            raise Refused("season", f"the yard has no season {year}", "enter its launch and lay-up")
        launch_on = inspection.launch_on if season.year == year else season.launch_on
        days = (launch_on, season.layup_on)
        if days not in self._made:
            self._made[days] = YardFacts(
                *days, calendar=self._calendar, climate=self._climate, learned=self._learned
            )
        return self._made[days]


def _earlier_looks(yard: Yard, entries: Sequence[Entry]) -> dict[UUID, list[Look]]:
    """For each entry the looks of earlier inspections at the same place, sound ones too, oldest first."""
    places = {entry.pk: (entry.spot_id, _place_of_check(entry)) for entry in entries}
    looks = looks_at(
        yard,
        {spot_id for spot_id, _ in places.values() if spot_id is not None},
        {check for spot_id, check in places.values() if spot_id is None and check is not None},
    )
    return {entry.pk: looks.before(entry.inspection.season_year, *places[entry.pk]) for entry in entries}


def _place_of_check(entry: Entry) -> PlaceOfCheck | None:
    return None if entry.answers is None else (entry.answers.component_id, entry.answers.key)


@lru_cache(maxsize=256)
def _digest_of_yard(facts: YardFacts) -> str:
    """The same season, days and weather lie under most findings of a yard; they are digested once."""
    return hashlib.sha256(json.dumps(plain(facts), sort_keys=True).encode()).hexdigest()


def plain(value: object) -> Any:
    """Facts as JSON, in one order: for digests and keys."""
    if isinstance(value, Enum):
        return str(value.value)
    if value is None or isinstance(value, bool | int | float | str):
        return value
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, frozenset):
        return sorted((plain(item) for item in value), key=str)
    if isinstance(value, tuple):
        return [plain(item) for item in value]
    if is_dataclass(value):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    raise TypeError(f"{value!r} is no fact")


__all__ = ["NOT_LISTED", "Facts", "Seasons", "component_facts", "entries_to_judge", "facts_of", "plain"]
