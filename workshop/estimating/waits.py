"""How many days a job needs besides its hours, and the first day on which each of its steps is allowed.

A step that was ticked counts from the moment of its tick; the days of what is left follow from that.

Hands at work are not reckoned here: a step takes no time, and what it leaves behind (drying, cure, the next coat)
does. A wait that ends within a working day lets the next step follow on the same day; a longer one ends on a later
day at the same hour, since nobody brushes at four in the morning.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from workshop.estimating.calendar_parts import Air, JobDays, Pace, StepDays, WetWood, Work, WorkDays
from workshop.estimating.steps import DRYING, Wait
from workshop.estimating.wait_pace import (
    CATALOGUE_C,
    HORIZON_DAYS,
    HOURS_A_DAY,
    STOPS_BELOW_C,
    WITHIN_A_DAY_H,
    hour_worth,
    hours_of,
    wait_factor,
    wait_over,
    warm_enough,
)
from yard.refusals import Refused

# Which step was ticked when: the place of its operation from 0, its own from 1.
Ticked = Mapping[tuple[int, int], datetime]


def job_days(
    *,
    works: Sequence[Work],
    start_on: date,
    air: Air,
    wet: Mapping[str, WetWood] | None = None,
    pace: Pace = Pace.LIKELY,
    ticked: Ticked | None = None,
) -> JobDays:
    """Put the steps of a job into the calendar.

    Operations that serve the same finding follow each other; others go on side by side. A wait counts in the air of
    each day it lasts. Colder than an operation's minimum nothing of it begins that must cure, nor cures on.

    Args:
        works: in the order of work, at least one.
        start_on: first day of work, with everything that was waited for at hand.
        air: where the work is done.
        wet: by finding, from when its wood may be sealed, for those that are wet. It takes the place of the
            catalogue's hours for drying there.
        pace: which of the three figures.
        ticked: steps that are done, with the moment in the zone of the place. Their days are those of the tick, and
            what they left behind is counted to the hour from there.

    Raises:
        Refused: no operation, or a figure outside its range.

    Source: common practice, no source, but for the factors of temperature (see `wait_factor`).
    """
    if not works:
        raise Refused("operations", "are none", "give the operations of a job")
    calendar = _Calendar(start_on, air, wet or {}, pace, ticked or {})
    placed = tuple(calendar.place(at, work) for at, work in enumerate(works))
    ready: date | None = start_on
    for each in placed:
        ready = None if ready is None or each.ready_on is None else max(ready, each.ready_on)
    sealed = [
        calendar.dry_on(finding)
        for work in works
        if work.wants_dry_wood
        for finding in work.findings
        if finding in calendar.wet
    ]
    known = [day for day in sealed if day is not None]
    return JobDays(
        start_on=start_on,
        works=placed,
        ready_on=ready,
        days=None if ready is None else max((ready - start_on).days, 0),
        not_sealed_before=max(known) if known else None,
        never_dries=len(known) < len(sealed),
    )


@dataclass(frozen=True, slots=True, order=True)
class _Moment:
    """A day, and how many hours of it have gone in waits since work on that day began.

    `exact` is the moment on the clock, where it is known from a tick.
    """

    day: date
    hours: float = 0.0
    exact: datetime | None = field(default=None, compare=False)


_Reached = _Moment | None  # None: not within three years


@dataclass(slots=True)
class _Calendar:
    start_on: date
    air: Air
    wet: Mapping[str, WetWood]
    pace: Pace
    ticked: Ticked
    free_from: dict[str, _Reached] = field(default_factory=dict)

    @property
    def horizon(self) -> date:
        return self.start_on + timedelta(days=HORIZON_DAYS)

    def dry_on(self, finding: str) -> date | None:
        wood = self.wet[finding]
        return {Pace.EARLY: wood.early_on, Pace.LIKELY: wood.likely_on, Pace.CAUTIOUS: wood.cautious_on}[self.pace]

    def place(self, at: int, work: Work) -> WorkDays:
        first = _Moment(self.start_on)
        begin: _Reached = first
        for finding in work.findings:
            begin = _later(begin, self.free_from.get(finding, first))
        if (at, 1) in self.ticked:
            begin = _Moment(self.ticked[at, 1].date())
        ends: list[_Reached] = []
        placed: list[StepDays] = []
        allowed, why = begin, list[str]()
        ready = begin
        sealing = _sealing_step(work)
        for number, step in enumerate(work.steps, start=1):
            now = allowed
            tick = self.ticked.get((at, number))
            if tick is None and number == sealing:
                now, more = self._once_dry(work, now)
                why += more
            if tick is None and step.wait is not None and step.wait.cold_factor > 1 and step.wait.what != DRYING:
                now, more = self._once_warm(work, now)
                why += more
            if tick is not None:
                now, why = _Moment(tick.date()), []
            before = placed[-1].not_before if placed else (begin.day if begin else None)
            waited = None if now is None or before is None else max((now.day - before).days, 0)
            placed.append(
                StepDays(
                    step=step,
                    not_before=now.day if now else None,
                    waits_days=waited,
                    seals=number == sealing,
                    reasons=tuple(why),
                    ticked_at=tick,
                    not_before_at=None if tick is not None or now is None else now.exact,
                )
            )
            ends.append(now)
            allowed, why = now, []
            if step.wait is not None:
                since = step.wait.since_step
                over = self._over(work, step.wait, ends[since - 1], self.ticked.get((at, since)))
                ready = _later(ready, over)
                allowed = _later(allowed, over)
                if allowed is not None and now is not None and allowed > now:
                    why.append(_why_wait(step.wait, number))
                elif allowed is None:
                    why.append("In this air the wait before it is not over within three years.")
        ready = _later(ready, allowed)
        for finding in work.findings:
            self.free_from[finding] = ready
        return WorkDays(work, begin.day if begin else None, tuple(placed), ready.day if ready else None)

    def _once_dry(self, work: Work, now: _Reached) -> tuple[_Reached, list[str]]:
        reasons = []
        for finding in work.findings:
            if finding in self.wet:
                day = self.dry_on(finding)
                dry = None if day is None else _Moment(day)
                if dry is None:
                    reasons.append("This air doesn't dry the wood within three years.")
                elif now is not None and dry > now:
                    reasons.append("The wood must be dry before it is closed up.")
                now = _later(now, dry)
        return now, list(dict.fromkeys(reasons))

    def _once_warm(self, work: Work, now: _Reached) -> tuple[_Reached, list[str]]:
        if now is None or warm_enough(work.minimum_temperature_c, self.air.on(now.day)):
            return now, []
        reason = f"It wants {max(work.minimum_temperature_c or 0, STOPS_BELOW_C):g} °C."
        day = now.day
        while day <= self.horizon:
            day += timedelta(days=1)
            if warm_enough(work.minimum_temperature_c, self.air.on(day)):
                return _Moment(day), [reason]
        return None, [f"{reason} It is never so warm here."]

    def _over(self, work: Work, wait: Wait, since: _Reached, tick: datetime | None) -> _Reached:
        if since is None:
            return None
        if wait.what == DRYING and any(finding in self.wet for finding in work.findings):
            reached: _Reached = since
            for finding in work.findings:
                if finding in self.wet:
                    day = self.dry_on(finding)
                    reached = _later(reached, None if day is None else _Moment(day))
            return reached
        if tick is not None:
            over = wait_over(wait, since=tick, air=self.air, minimum_c=work.minimum_temperature_c, pace=self.pace)
            return None if over is None else _on_the_clock(tick, over)
        hours = hours_of(wait, self.pace)
        pace_here = self._worth(work, wait, since.day)
        if pace_here > 0 and since.hours + hours / pace_here <= WITHIN_A_DAY_H:
            return _Moment(since.day, since.hours + hours / pace_here)
        day, left = since.day, hours
        while day <= self.horizon:
            left -= HOURS_A_DAY * self._worth(work, wait, day)
            day += timedelta(days=1)
            if left <= 1e-9:
                return _Moment(day)
        return None

    def _worth(self, work: Work, wait: Wait, day: date) -> float:
        return hour_worth(wait, temperature_c=self.air.on(day), minimum_c=work.minimum_temperature_c)


def _on_the_clock(tick: datetime, over: datetime) -> _Moment:
    """A moment that is known to the minute; of two on one day the one with more hours gone is the later."""
    began = tick if tick.date() == over.date() else datetime.combine(over.date(), time(), tzinfo=over.tzinfo)
    return _Moment(over.date(), max((over - began) / timedelta(hours=1), 1e-6), over)


def _later(one: _Reached, other: _Reached) -> _Reached:
    if one is None or other is None:
        return None
    if one.day == other.day and one.exact is not None and other.exact is not None:
        return one if one.exact >= other.exact else other
    return max(one, other)


def _sealing_step(work: Work) -> int | None:
    """The first step that leaves something to set or cure is the one that shuts the wood in."""
    if not work.wants_dry_wood:
        return None
    for number, step in enumerate(work.steps, start=1):
        if step.wait is not None and step.wait.what != DRYING:
            return min(number, step.wait.since_step)
    return None


def _why_wait(wait: Wait, number: int) -> str:
    what = {"cure": "cured", "recoat": "ready for the next coat", DRYING: "dry", "stain": "dry"}.get(wait.what)
    since = f"step {wait.since_step}" if wait.since_step != number else "the step before"
    return f"What {since} left must be {what}." if what else f"It must rest after {since}."


__all__ = ["CATALOGUE_C", "HORIZON_DAYS", "WITHIN_A_DAY_H", "Ticked", "job_days", "wait_factor"]
