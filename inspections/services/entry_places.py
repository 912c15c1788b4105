"""What a batch of entries refers to, looked up once for all of them, and where each of them belongs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from decimal import Decimal
from uuid import UUID

from django.db.models import Q

from inspections.judgement.vocabulary import Answer
from inspections.models import (
    Check,
    Entry,
    Finding,
    Inspection,
    OpeningStep,
    SecondLookAsk,
    SetAside,
    Sign,
    StepEntry,
)
from inspections.models.findings import FindingState
from inspections.models.inspections import CheckOrigin
from inspections.services.entry_sheet import EntrySheet, SpotSheet, put_right
from inspections.services.step_sheet import StepSheet
from yard.identifiers import uuid7_check
from yard.locale_format import day_told
from yard.models import Component, Member, PlanLevel, Spot
from yard.refusals import Refused, RefusedMany
from yard.tag_codes import tag_new

# A tablet's clock may be a day off; further off, its times would say nothing.
CLOCK_AHEAD = timedelta(days=2)
BEFORE_OPENING = timedelta(days=366)


class NoPlaceAnyMore(Exception):  # noqa: N818 - an answer: kept for the office
    """The entry made sense when it was written, and can't be placed now."""


@dataclass(frozen=True, slots=True)
class Known:
    """An entry that is here already."""

    yard_id: int
    inspection_id: int
    digest: str


@dataclass(frozen=True, slots=True)
class Place:
    """Where an entry belongs."""

    check: Check | None
    component: Component | None
    spot: Spot | None


@dataclass(slots=True)
class Surroundings:
    """Everything that the entries of a batch name, by key; what the batch itself adds is added here as well.

    Args:
        followed: the inspection is closed and the boat has a later one.
        doubted: by check, what a manager wants looked at again, where it was found in this inspection.
    """

    inspection: Inspection
    at: datetime
    followed: bool = False
    entries: dict[UUID, Known] = field(default_factory=dict)
    steps_said: dict[UUID, Known] = field(default_factory=dict)
    steps: dict[int, OpeningStep] = field(default_factory=dict)
    members: dict[int, Member] = field(default_factory=dict)
    aside: dict[UUID, SetAside] = field(default_factory=dict)
    checks: dict[int, Check] = field(default_factory=dict)
    components: dict[int, Component] = field(default_factory=dict)
    spots: dict[UUID, Spot] = field(default_factory=dict)
    foreign_spots: frozenset[UUID] = frozenset()
    spot_of_tag: dict[str, UUID] = field(default_factory=dict)
    signs: frozenset[str] = frozenset()
    findings: dict[UUID, Finding] = field(default_factory=dict)
    doubted: dict[int, SecondLookAsk] = field(default_factory=dict)
    new_spots: list[Spot] = field(default_factory=list)


def look_up(
    inspection: Inspection, sheets: Sequence[EntrySheet], at: datetime, steps: Sequence[StepSheet] = ()
) -> Surroundings:
    """Read what the sheets name: one query for each kind of thing, however many sheets there are."""
    around = Surroundings(inspection=inspection, at=at)
    yard_id = inspection.yard_id
    ids = {sheet.id for sheet in sheets} | {sheet.id for sheet in steps}
    superseded = {sheet.supersedes for sheet in sheets if sheet.supersedes is not None}
    # Over all yards, because an id is taken wherever it is taken; what belongs to others is never shown.
    there = Entry.objects.filter(pk__in=ids | superseded).order_by()
    for pk, owner, inspection_id, digest in there.values_list("pk", "yard_id", "inspection_id", "digest"):
        around.entries[pk] = Known(owner, inspection_id, digest)
    for aside in SetAside.objects.of_yard(yard_id).filter(entry_id__in=ids | superseded).order_by():
        around.aside[aside.entry_id] = aside
    if steps:
        _look_up_steps(around, steps)
    named = [*(sheet.author for sheet in sheets), *(sheet.author for sheet in steps)]
    authors = {author for author in named if author is not None}
    if authors:
        around.members = {member.pk: member for member in Member.objects.of_yard(yard_id).filter(pk__in=authors)}
    if inspection.closed_at is not None:
        later = Inspection.objects.of_yard(yard_id).filter(boat=inspection.boat_id)
        around.followed = later.filter(season_year__gt=inspection.season_year).exists()
    checks = {sheet.check for sheet in sheets if sheet.check is not None}
    asked = Check.objects.filter(inspection=inspection, pk__in=checks).select_related("component").order_by()
    around.checks = {check.pk: check for check in asked}
    components = {sheet.component for sheet in sheets if sheet.component is not None}
    around.components = {
        component.pk: component for component in Component.objects.of_yard(yard_id).filter(pk__in=components)
    }
    signs = {code for sheet in sheets for code in sheet.signs}
    around.signs = frozenset(
        Sign.objects.of_yard(yard_id).filter(code__in=signs).order_by().values_list("code", flat=True)
    )
    _look_up_spots(around, sheets)
    _look_up_findings(around, superseded)
    return around


def _look_up_findings(around: Surroundings, superseded: set[UUID]) -> None:
    """The findings that these sheets may change: those they mend, and those that a second look is about."""
    yard_id = around.inspection.yard_id
    if superseded:
        held = Finding.objects.of_yard(yard_id).filter(entry__in=superseded)
        around.findings = {
            finding.entry_id: finding for finding in held.select_for_update(no_key=True).order_by("pk")
        }
    again = [check.pk for check in around.checks.values() if check.origin == CheckOrigin.SECOND_LOOK]
    if again:
        asks = SecondLookAsk.objects.filter(asked_as__in=again, finding__inspection=around.inspection)
        around.doubted = {
            ask.asked_as_id: ask
            for ask in asks.select_related("finding__entry")
            if ask.asked_as_id is not None
            and (ask.finding.ended_at is None or ask.finding.state == FindingState.WITHDRAWN)
        }
        mended = {finding.pk: finding for finding in around.findings.values()}
        for ask in around.doubted.values():
            ask.finding = mended.get(ask.finding_id, ask.finding)


def _look_up_steps(around: Surroundings, steps: Sequence[StepSheet]) -> None:
    there = StepEntry.objects.filter(pk__in=[sheet.id for sheet in steps]).order_by()
    for pk, owner, inspection_id, digest in there.values_list("pk", "yard_id", "inspection_id", "digest"):
        around.steps_said[pk] = Known(owner, inspection_id, digest)
    asked = OpeningStep.objects.filter(inspection=around.inspection, pk__in=[sheet.step for sheet in steps])
    around.steps = {step.pk: step for step in asked.order_by()}


def _look_up_spots(around: Surroundings, sheets: Sequence[EntrySheet]) -> None:
    named = [sheet.spot for sheet in sheets if sheet.spot is not None]
    asked = {spot.id for spot in named}
    asked |= {check.spot_id for check in around.checks.values() if check.spot_id is not None}
    tags = {spot.tag for spot in named if spot.tag}
    if not asked and not tags:
        return
    yard_id = around.inspection.yard_id
    found = list(Spot.objects.filter(Q(pk__in=asked) | Q(yard=yard_id, tag__in=tags)).order_by())
    around.spots = {spot.pk: spot for spot in found if spot.yard_id == yard_id}
    around.foreign_spots = frozenset(spot.pk for spot in found if spot.yard_id != yard_id)
    around.spot_of_tag = {spot.tag: spot.pk for spot in around.spots.values()}


def place_of(sheet: EntrySheet, around: Surroundings, *, by_the_office: bool = False) -> Place:
    """Where a sheet belongs.

    Args:
        by_the_office: the office gives it its place, in a closed inspection too.

    Raises:
        NoPlaceAnyMore: it can't be placed any more; the office decides.
        RefusedMany: something in it is wrong; each refusal names its field.
    """
    closed_at = around.inspection.closed_at
    if closed_at is not None and not by_the_office and not _corrects(sheet, around):
        yard = around.inspection.yard
        raise NoPlaceAnyMore(
            f"the inspection was closed on {day_told(closed_at.astimezone(yard.zone).date(), yard.locale)}"
        )
    refusals: list[Refused] = list(_wrong_times(sheet, around))
    check = _check_of(sheet, around)
    component = _component_of(sheet, check, around, refusals)
    spot = None
    if component is not None:
        if component.removed_on is not None:
            raise NoPlaceAnyMore(f"{component} was taken out on {_day(component.removed_on, around)}")
        spot = _spot_of(sheet, check, component, around, refusals)
        if sheet.answer is Answer.FINDING and spot is None and sheet.spot is None:
            refusals.append(
                Refused("spot", "is missing", "say at which spot: the id of one, or a new one with a name")
            )
    refusals += _unknown_signs(sheet, around)
    if check is not None:
        refusals += _wrong_readings(sheet, check)
    refusals += _wrong_predecessor(sheet, around)
    if refusals:
        raise RefusedMany(refusals)
    if spot is not None and spot.pk not in around.spots:
        around.spots[spot.pk] = spot
        around.spot_of_tag[spot.tag] = spot.pk
        around.new_spots.append(spot)
    return Place(check, component, spot)


def step_of(sheet: StepSheet, around: Surroundings) -> OpeningStep:
    """The step that a sheet speaks of.

    Raises:
        NoPlaceAnyMore: the inspection has no such step (any more), or is closed.
        RefusedMany: its time can't be right.
    """
    if around.inspection.closed_at is not None:
        raise NoPlaceAnyMore(f"the inspection was closed on {around.inspection.closed_at:%Y-%m-%d}")
    step = around.steps.get(sheet.step)
    if step is None:
        raise NoPlaceAnyMore(f"the inspection has no opening-up step {sheet.step}")
    refusals = list(_wrong_times(sheet, around))
    if refusals:
        raise RefusedMany(refusals)
    return step


def _day(day: date, around: Surroundings) -> str:
    """A day as the office reads it."""
    return day_told(day, around.inspection.yard.locale)


def _corrects(sheet: EntrySheet, around: Surroundings) -> bool:
    """Whether it mends an entry of a closed inspection. Once the next one has been opened, that one asks anew."""
    before = around.entries.get(sheet.supersedes) if sheet.supersedes is not None else None
    return before is not None and before.inspection_id == around.inspection.pk and not around.followed


def _wrong_times(sheet: EntrySheet | StepSheet, around: Surroundings) -> Iterable[Refused]:
    first, last = around.inspection.opened_at - BEFORE_OPENING, around.at + CLOCK_AHEAD
    if not first <= put_right(sheet.observed_at, sheet.clock_offset_ms) <= last:
        yield Refused(
            "observed_at",
            f"{sheet.observed_at.isoformat()} can't be right: it is {around.at.isoformat()} here",
            f"set the clock of the device; give a moment from {first:%Y-%m-%d} to {last:%Y-%m-%d}",
        )


def _check_of(sheet: EntrySheet, around: Surroundings) -> Check | None:
    if sheet.check is None:
        return None
    check = around.checks.get(sheet.check)
    if check is None:
        raise NoPlaceAnyMore(f"the inspection has no check {sheet.check}")
    return check


def _component_of(
    sheet: EntrySheet, check: Check | None, around: Surroundings, refusals: list[Refused]
) -> Component | None:
    if sheet.component is None:
        return check.component if check else None
    component = around.components.get(sheet.component)
    if component is None:
        refusals.append(Refused("component", f"there is no component {sheet.component}", "name one of this boat"))
    elif component.boat_id != around.inspection.boat_id:
        refusals.append(
            Refused("component", f"{component} is a part of another boat", "name a component of this boat")
        )
        return None
    elif check is not None and check.component_id != component.pk:
        refusals.append(
            Refused("component", f"the check is about {check.component}", "leave it out, or name that component")
        )
        return None
    return component


def _spot_of(
    sheet: EntrySheet, check: Check | None, component: Component, around: Surroundings, refusals: list[Refused]
) -> Spot | None:
    about = around.spots.get(check.spot_id) if check is not None and check.spot_id is not None else None
    named = sheet.spot
    if named is None:
        return about
    if about is not None and named.id != about.pk:
        refusals.append(
            Refused(
                "spot.id",
                f"the check is about the spot {about}",
                "leave the spot out; record another one as seen outside the list",
            )
        )
        return None
    there = around.spots.get(named.id)
    if there is None:
        return _new_spot(named, component, around, refusals)
    if there.component_id != component.pk:
        refusals.append(Refused("spot.id", "the spot is on another component", "name a spot of this component"))
        return None
    if named.tag and named.tag != there.tag:
        refusals.append(
            Refused("spot.tag", f"the spot carries the tag {there.tag}", "leave the tag out, or look at it again")
        )
        return None
    return there


def _new_spot(named: SpotSheet, component: Component, around: Surroundings, refusals: list[Refused]) -> Spot | None:
    wrong: list[Refused] = []
    if named.id in around.foreign_spots:
        wrong.append(Refused("spot.id", "this id can't be used", "make a new UUID of version 7"))
    else:
        try:
            uuid7_check(named.id, field="spot.id")
        except Refused as refusal:
            wrong.append(refusal)
    if not named.name:
        wrong.append(Refused("spot.name", "is missing", "name the new place, such as: lower aft corner"))
    if named.tag in around.spot_of_tag:
        wrong.append(
            Refused(
                "spot.tag",
                "another spot carries this tag",
                "name that spot by its id, or take a sticker not yet used",
            )
        )
    refusals += wrong
    if wrong:
        return None
    return Spot(
        id=named.id,
        yard_id=around.inspection.yard_id,
        component=component,
        name=named.name,
        tag=named.tag or tag_new(),
        plan_x=named.plan_x,
        plan_y=named.plan_y,
        level=named.level or PlanLevel.DECK,
        created_at=around.at,
    )


def _unknown_signs(sheet: EntrySheet, around: Surroundings) -> Iterable[Refused]:
    for position, code in enumerate(sheet.signs):
        if code not in around.signs:
            yield Refused(f"signs[{position}]", f"{code!r} is no sign of this yard", "name one of its signs")


def _wrong_readings(sheet: EntrySheet, check: Check) -> Iterable[Refused]:
    """A check that asks for a figure is answered by one, in its unit and range."""
    asked = check.reading
    if not asked:
        return
    quantity, unit = asked["quantity"], asked["unit"]
    low, high = Decimal(asked["minimum"]), Decimal(asked["maximum"])
    would_do = f"give {quantity} from {low:f} to {high:f} {unit}"
    given = False
    for position, reading in enumerate(sheet.readings):
        if reading.quantity != quantity:
            continue
        given = True
        if reading.unit != unit:
            yield Refused(f"readings[{position}].unit", f"the check asks for {unit}", would_do)
        elif not low <= reading.value <= high:
            yield Refused(f"readings[{position}].value", f"{reading.value:f} is out of the check's range", would_do)
    if not given and sheet.answer in (Answer.SOUND, Answer.FINDING):
        yield Refused("readings", f"the check asks for {quantity}", would_do)


def _wrong_predecessor(sheet: EntrySheet, around: Surroundings) -> Iterable[Refused]:
    if sheet.supersedes is None:
        return
    before = around.entries.get(sheet.supersedes)
    if before is not None and before.inspection_id == around.inspection.pk:
        return
    if before is None and sheet.supersedes in around.aside:
        raise NoPlaceAnyMore(f"the entry it takes the place of, {sheet.supersedes}, is set aside itself")
    if before is not None and before.yard_id == around.inspection.yard_id:
        yield Refused(
            "supersedes", "that entry belongs to another inspection", "record it anew, without superseding"
        )
    else:
        yield Refused(
            "supersedes", f"there is no entry {sheet.supersedes}", "send that entry first, or leave this out"
        )


__all__ = ["Known", "NoPlaceAnyMore", "Place", "Surroundings", "look_up", "place_of", "step_of"]
