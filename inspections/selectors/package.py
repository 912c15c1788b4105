"""Everything for a day aboard without a network, read in a number of queries that does not grow with the boat."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from inspections.models import (
    Check,
    Entry,
    EntryPhoto,
    Inspection,
    OpeningStep,
    Sign,
    StepEntry,
    TemplateVersion,
)
from inspections.models.findings import FindingState
from inspections.selectors.checks import CheckState, check_states, entries_outside_the_list
from inspections.selectors.entries import missing_photos
from inspections.selectors.findings import findings_with_judgement
from inspections.selectors.opening import deed_of, said_of
from inspections.selectors.route import RouteLeg, RouteStop, way_of
from inspections.services.earlier_looks import Looks, looks_at
from inspections.services.first_readings import first_readings_of
from yard.models import Component, Member, Season, Spot
from yard.refusals import Refused
from yard.selectors import members_at_work


@dataclass(frozen=True, slots=True)
class Package:
    """What a tablet takes aboard.

    Args:
        legs: all checks in the order of the round; empty where the yard has no season to reckon with.
        steps: in the order that shares the effort.
        said: what was said last of a step, by what is done once for it (`deed_of`).
        earlier: findings of other seasons, the newest first.
        looks: of earlier years at the places of this inspection.
        versions: the latest number of each template that the inspection asks by.
        table: of the first reading; None where there is none.
    """

    inspection: Inspection
    season: Season | None
    components: Sequence[Component]
    spots: Sequence[Spot]
    steps: Sequence[OpeningStep]
    said: Mapping[object, StepEntry]
    states: Mapping[int, CheckState]
    legs: Sequence[RouteLeg]
    beside: Sequence[Entry]
    missing: Sequence[EntryPhoto]
    earlier: Sequence[Any]
    looks: Looks
    signs: Sequence[Sign]
    members: Sequence[Member]
    versions: Mapping[int, int]
    table: Mapping[str, Any] | None

    @property
    def stops(self) -> dict[int, RouteStop]:
        """By check, in the order of the round."""
        return {stop.check.pk: stop for leg in self.legs for stop in leg.stops}

    def in_the_order_of_the_round(self) -> list[CheckState]:
        order = {key: place for place, key in enumerate(self.stops)}
        return sorted(self.states.values(), key=lambda state: order.get(state.check.pk, len(order)))

    def was_measured(self, spot_id: UUID | None, check: Check | None = None) -> bool:
        """Whether a size was taken at the place in an earlier year: then growth is judged, and not looked up."""
        place = None if check is None else (check.component_id, check.key)
        looks = self.looks.before(self.inspection.season_year, spot_id, place)
        return any(look.size_mm is not None for look in looks)


def package_of(inspection: Inspection, at: datetime) -> Package:
    """Everything for work on one inspection.

    Args:
        inspection: with its yard and boat.
    """
    yard = inspection.yard
    states = {state.check.pk: state for state in check_states(inspection)}
    checks = [state.check for state in states.values()]
    components = list(
        Component.objects.of_yard(yard)
        .filter(boat=inspection.boat_id, removed_on=None)
        .select_related("component_class")
        .order_by("pk")
    )
    fitted = {component.pk for component in components}
    spots = [
        spot
        for spot in Spot.objects.of_yard(yard)
        .filter(component__boat=inspection.boat_id)
        .order_by("created_at", "pk")
        if spot.component_id in fitted
    ]
    try:
        legs = way_of(inspection, checks, at)
    except Refused:
        legs = ()
    signs = list(Sign.objects.of_yard(yard).order_by("code"))
    questions = {(check.component_id, check.key) for check in checks if check.spot_id is None}
    earlier = (
        findings_with_judgement(yard)
        .filter(boat=inspection.boat_id)
        .exclude(inspection=inspection)
        .exclude(state=FindingState.WITHDRAWN)
    )
    steps = list(inspection.opening_steps.order_by("position", "pk"))
    return Package(
        inspection=inspection,
        season=Season.objects.of_yard(yard).filter(year=inspection.season_year).first(),
        components=components,
        spots=spots,
        steps=in_the_order_of_the_effort(steps, legs),
        said=said_of(inspection, steps),
        states=states,
        legs=legs,
        beside=entries_outside_the_list(inspection),
        missing=list(missing_photos(inspection)),
        earlier=list(earlier.order_by("-found_at", "-pk")),
        looks=looks_at(yard, {spot.pk for spot in spots}, questions),
        signs=signs,
        members=members_at_work(yard, at),
        versions=_latest_versions(checks),
        table=first_readings_of(inspection, components, signs, at),
    )


def in_the_order_of_the_effort(steps: Sequence[OpeningStep], legs: Iterable[RouteLeg]) -> list[OpeningStep]:
    """The steps as they are worth doing: what the riskiest place needs first, and what one deed does together.

    Common practice, no source.
    """
    first_needed: dict[int, int] = {}
    for place, stop in enumerate(stop for leg in legs for stop in leg.stops):
        first_needed.setdefault(stop.check.component_id, place)
    last = len(first_needed) and max(first_needed.values()) + 1
    deeds: dict[object, list[OpeningStep]] = {}
    for step in steps:
        deeds.setdefault(deed_of(step), []).append(step)
    worth = {
        deed: min((first_needed.get(step.component_id, last), step.position) for step in together)
        for deed, together in deeds.items()
    }
    return [step for deed in sorted(deeds, key=lambda deed: worth[deed]) for step in deeds[deed]]


def _latest_versions(checks: Iterable[Check]) -> dict[int, int]:
    asked = {check.template_version.template_id for check in checks if check.template_version is not None}
    published = TemplateVersion.objects.filter(template__in=asked, published_at__isnull=False).order_by("number")
    return dict(published.values_list("template_id", "number"))


__all__ = ["Package", "in_the_order_of_the_effort", "package_of"]
