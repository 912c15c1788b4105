"""The day by which somebody must be back at the place."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, log, log1p

from inspections.judgement.calendar_months import DAYS_IN_A_YEAR, add_months
from inspections.judgement.facts import ComponentFacts, FindingFacts, YardFacts
from inspections.judgement.rules.tables import Rules
from inspections.judgement.seasons import MONTHS_IN_A_YEAR, season_of
from inspections.judgement.vocabulary import Condition, DueBackKind, Priority
from yard.working_days import WorkingCalendar

ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class DueBack:
    """A day of the due-back book.

    Args:
        on: a working day, never before the day of judging.
        kind: what for.
        by_the_rules: the day that the rules gave, which `on` is unless that has passed.
        overdue: whether it has.
        put_right_on: by when it is to be put right; None for what is only watched.
        launch_on: of the season that this finding belongs to.
        layup_on: of that season.
    """

    on: date
    kind: DueBackKind
    by_the_rules: date
    overdue: bool
    put_right_on: date | None
    launch_on: date
    layup_on: date


def due_back(
    *,
    priority: Priority,
    look_every_years: float,
    only_unseen: bool,
    read_again: bool,
    finding: FindingFacts,
    component: ComponentFacts,
    yard: YardFacts,
    judged_on: date,
    rules: Rules,
) -> DueBack:
    """The earliest day on which the place wants somebody.

    What is to be put right has its day by the launch or the lay-up. Every place is looked at again after PF/n, and
    never later than the class's interval; a doubtful reading after some weeks, and hidden faces by the end of their
    own interval. Caps are rolled back to a working day, and all days count from the look, so that judging again
    does not move them.

    Args:
        look_every_years: the shortest PF/n of what was found; infinite for a mark that is no defect.
        only_unseen: nothing but that it is out of sight. Its day then says "open up", and a look at the closed
            cover need not come sooner than the class asks for.
        read_again: a wet reading that nothing beside it confirms.
    """
    calendar = yard.calendar
    soonest = calendar.next_working_on_or_after(finding.observed_on)
    launch_on, layup_on = season_of(finding.observed_on, yard)
    put_right_on = _put_right_on(priority, launch_on, layup_on, soonest, calendar)
    wanted: list[tuple[date, DueBackKind]] = []
    if put_right_on is not None:
        wanted.append((put_right_on, DueBackKind.OPEN_UP if only_unseen else DueBackKind.PUT_RIGHT))
    look = look_again_on(finding.observed_on, component, launch_on, look_every_years, rules)
    wanted.append((max(calendar.previous_working_on_or_before(look), soonest), _kind_of_look(priority)))
    if read_again:
        again = finding.observed_on + timedelta(days=rules.moisture.read_again_days)
        wanted.append((max(calendar.previous_working_on_or_before(again), soonest), DueBackKind.LOOK_AGAIN))
    closed_until = open_up_by(finding, component)
    if closed_until is not None:
        wanted.append((calendar.previous_working_on_or_before(closed_until), DueBackKind.OPEN_UP))
    by_the_rules, kind = min(wanted, key=lambda line: line[0])
    return DueBack(
        on=by_the_rules if by_the_rules >= judged_on else calendar.next_working_on_or_after(judged_on),
        kind=kind,
        by_the_rules=by_the_rules,
        overdue=by_the_rules < judged_on,
        put_right_on=put_right_on,
        launch_on=launch_on,
        layup_on=layup_on,
    )


def look_interval(severity: int, condition: Condition, pf_years: float, rules: Rules) -> tuple[float, float]:
    """The longest time between two looks that still catches it: PF / n.

    Args:
        severity: 1 to 4.
        condition: what is to be seen.
        pf_years: from what can be seen now to failure, a cautious quantile in years; infinite for never.

    Returns:
        n, how many looks must fall within PF (at least 1), and the interval in years.

    Source: reliability-centred maintenance, NAVAIR 00-25-403: n = ln(acceptable probability of missing it) /
    ln(1 - probability that one look sees it); a handbook, its formula from memory. The figures are common practice.
    """
    sees = rules.looks.one_look_sees[condition]
    looks = max(log(rules.looks.acceptable[severity]) / log1p(-sees), 1.0)
    return looks, pf_years / looks


def look_again_on(
    observed_on: date, component: ComponentFacts, launch_on: date, interval_years: float, rules: Rules
) -> date:
    """The day of the next look, before it is rolled to a working day.

    Ashore nothing works on it, so no look is asked for sooner than the eve of the launch; afloat none sooner than
    the least that is worth while. The class's interval caps it.
    """
    cap = add_months(observed_on, component.recheck_months)
    if interval_years >= component.recheck_months / MONTHS_IN_A_YEAR:
        return cap
    days = max(ceil(interval_years * DAYS_IN_A_YEAR), rules.looks.least_days)
    return min(max(observed_on + timedelta(days=days), launch_on - ONE_DAY), cap)


def open_up_by(finding: FindingFacts, component: ComponentFacts) -> date | None:
    """By when the hidden faces must be opened; None where nothing says how long they have been closed."""
    days = []
    if finding.last_seen_on is not None:
        days.append(add_months(finding.last_seen_on, component.open_up_months))
    if finding.unseen_months is not None:
        days.append(add_months(finding.observed_on, component.open_up_months - finding.unseen_months))
    return min(days, default=None)


def _put_right_on(
    priority: Priority, launch_on: date, layup_on: date, soonest: date, calendar: WorkingCalendar
) -> date | None:
    match priority:
        case Priority.BEFORE_LAUNCH:
            return max(calendar.previous_working_on_or_before(launch_on - ONE_DAY), soonest)
        case Priority.THIS_SEASON:
            return max(calendar.previous_working_on_or_before(layup_on), soonest)
        case Priority.NEXT_LAYUP:
            return max(calendar.next_working_on_or_after(layup_on), soonest)
        case Priority.WATCH:
            return None


def _kind_of_look(priority: Priority) -> DueBackKind:
    # What must be put right this season is put right by the day it would be looked at; what waits for the lay-up
    # is only looked at then.
    if priority in (Priority.BEFORE_LAUNCH, Priority.THIS_SEASON):
        return DueBackKind.PUT_RIGHT
    return DueBackKind.LOOK_AGAIN


__all__ = ["DueBack", "due_back", "look_again_on", "look_interval", "open_up_by"]
