"""When a place that was put right is looked at again.

A repair that lets go shows first by the sign it was made for, and from then on runs the same course. So the time
from that sign to failure sets the interval of looks as it did before the repair: severity and condition as they
were judged, now without movement and with its seal whole. Decay that was cut out comes back by water first, so it
is looked for as water that is in. The class's interval caps it, and hidden faces count as
seen on the day of the repair. Where nothing but what holds it meanwhile was done, the proper repair is still due on
its day.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

from inspections.judgement.assess import work_out
from inspections.judgement.calendar_months import add_months
from inspections.judgement.due_back import look_again_on
from inspections.judgement.facts import ComponentFacts, FindingFacts, SignFacts, YardFacts
from inspections.judgement.rules.tables import Rules
from inspections.judgement.seasons import season_of
from inspections.judgement.vocabulary import Answer, Condition, DueBackKind, Moves, Seal, Sides, Trend
from yard.working_days import WorkingCalendar


@dataclass(frozen=True, slots=True)
class LookAfter:
    """The next look at a place that was put right.

    Args:
        on: a working day after the repair.
        kind: what for.
        latest_on: the class's cap, which nobody may pass; a working day.
        reason: a sentence for an owner.
    """

    on: date
    kind: DueBackKind
    latest_on: date
    reason: str


def look_after_repair(
    *,
    found: FindingFacts,
    component: ComponentFacts,
    yard: YardFacts,
    seen_on: date,
    rules: Rules,
    proper_repair_by: date | None = None,
) -> LookAfter:
    """The day of the next look.

    Args:
        found: as it was before the repair.
        component, yard: where.
        seen_on: the day of the look that found the repair good.
        rules: from `load_rules`.
        proper_repair_by: where only what holds it meanwhile was done, the day on which the proper repair is due.

    Raises:
        Refused: a day of the finding lies before the boat was built.

    Source: the interval is that of `due_back.look_interval`; that it holds for a repaired place as well, and what
    decay comes back by, is common practice, no source.
    """
    held = proper_repair_by is not None
    repaired = replace(
        found,
        observed_on=seen_on,
        signs=tuple(map(_comes_back, found.signs)),
        answer=Answer.FINDING,
        readings=(),
        sides=Sides.BOTH,
        seal=Seal.INTACT,
        moves=Moves.NO,
        trend=Trend.UNCHANGED,
        unseen_months=None,
        last_seen_on=None,
        earlier=(),
    )
    case = work_out(found if held else repaired, component, yard, seen_on, rules)
    every_years = min(line.look_every_years for line in case.lines)
    launch_on, _ = season_of(seen_on, yard)
    look = look_again_on(seen_on, component, launch_on, every_years, rules)
    cap = class_cap(seen_on, component, yard.calendar)
    open_up = add_months(seen_on, component.open_up_months)
    on, kind = _working(look, seen_on, yard.calendar), DueBackKind.LOOK_AGAIN
    reason = "Put right and verified; a look at whether it holds."
    if open_up < on:
        on, kind = _working(open_up, seen_on, yard.calendar), DueBackKind.OPEN_UP
        reason = "Put right and verified; its hidden faces are due to be opened."
    if proper_repair_by is not None and proper_repair_by <= on:
        on, kind = _working(proper_repair_by, seen_on, yard.calendar), DueBackKind.PUT_RIGHT
        reason = "Held for the time being and verified; the proper repair is still due."
    return LookAfter(min(on, cap), kind, cap, reason)


def _comes_back(sign: SignFacts) -> SignFacts:
    """What a sign speaks for where the place was mended: a soft spot is wet before it is soft again."""
    conditions = (Condition.WATER_IN if each is Condition.DECAY else each for each in sign.conditions)
    return replace(sign, conditions=tuple(dict.fromkeys(conditions)))


def class_cap(seen_on: date, component: ComponentFacts, calendar: WorkingCalendar) -> date:
    """The latest day of the next look that the class allows, on a working day."""
    return _working(add_months(seen_on, component.recheck_months), seen_on, calendar)


def _working(day: date, seen_on: date, calendar: WorkingCalendar) -> date:
    """The working day on or before; never the day of the repair itself."""
    soonest = calendar.next_working_on_or_after(seen_on + timedelta(days=1))
    return max(calendar.previous_working_on_or_before(day), soonest)


__all__ = ["LookAfter", "class_cap", "look_after_repair"]
