"""How many days a job needs besides its hours, and the first day on which each of its steps is allowed.

Hands at work are not reckoned here: a step takes no time, and what it leaves behind (drying, cure, the next coat)
does. A wait that ends within a working day lets the next step follow on the same day; a longer one ends on a later
day at the same hour, since nobody brushes at four in the morning.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import log
from typing import Final

from inspections.figures import between
from inspections.timber.cure import ACTIVATION_ENERGY_KJ_PER_MOL, cure_time_factor
from workshop.estimating.calendar_parts import Air, JobDays, Pace, StepDays, WetWood, Work, WorkDays
from workshop.estimating.steps import DRYING, SLOWEST_COLD_FACTOR, Wait
from yard.refusals import Refused

# What is waited for within one working day: common practice, no source.
WITHIN_A_DAY_H: Final = 4.0
HORIZON_DAYS: Final = 3 * 365
# Most glues and varnishes stop here instead of slowing down: common practice, no source.
STOPS_BELOW_C: Final = 0.0
# The catalogue's waits are those at 20 °C, its cold factors those at 10 °C.
CATALOGUE_C: Final = 20.0
COLD_C: Final = 10.0
HOURS_A_DAY: Final = 24.0


def wait_factor(*, cold_factor: float, temperature_c: float) -> float:
    """How many times longer than at 20 °C a wait takes; no unit.

    Args:
        cold_factor: how many times longer at 10 °C, no unit, 1 to 10.
        temperature_c: of the air and the wood, in °C, 0 to 60.

    Raises:
        Refused: a figure outside its range; below 0 °C nothing cures.

    Source: Arrhenius's equation as in `inspections.timber.cure.cure_time_factor` (a textbook matter), through the
    factor at 20 °C (1) and the product's own at 10 °C (from the catalogue, mostly from memory).

    >>> round(wait_factor(cold_factor=2.6, temperature_c=10), 3), wait_factor(cold_factor=2.6, temperature_c=20)
    (2.6, 1.0)
    """
    cold = between("cold_factor", cold_factor, 1, SLOWEST_COLD_FACTOR, "")
    celsius = between("temperature_c", temperature_c, STOPS_BELOW_C, 60, "°C")
    here, there = (
        log(
            cure_time_factor(
                activation_energy_kj_per_mol=ACTIVATION_ENERGY_KJ_PER_MOL,
                temperature_c=each,
                reference_temperature_c=CATALOGUE_C,
            )
        )
        for each in (celsius, COLD_C)
    )
    # The logarithm grows with the activation energy alone, so the product's own energy drops out of the ratio.
    return float(cold ** (here / there))


def job_days(
    *,
    works: Sequence[Work],
    start_on: date,
    air: Air,
    wet: Mapping[str, WetWood] | None = None,
    pace: Pace = Pace.LIKELY,
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

    Raises:
        Refused: no operation, or a figure outside its range.

    Source: common practice, no source, but for the factors of temperature (see `wait_factor`).
    """
    if not works:
        raise Refused("operations", "are none", "give the operations of a job")
    calendar = _Calendar(start_on, air, wet or {}, pace)
    placed = tuple(calendar.place(work) for work in works)
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
        days=None if ready is None else (ready - start_on).days,
        not_sealed_before=max(known) if known else None,
        never_dries=len(known) < len(sealed),
    )


@dataclass(frozen=True, slots=True, order=True)
class _Moment:
    """A day, and how many hours of it have gone in waits since work on that day began."""

    day: date
    hours: float = 0.0


_Reached = _Moment | None  # None: not within three years


@dataclass(slots=True)
class _Calendar:
    start_on: date
    air: Air
    wet: Mapping[str, WetWood]
    pace: Pace
    free_from: dict[str, _Reached] = field(default_factory=dict)

    @property
    def horizon(self) -> date:
        return self.start_on + timedelta(days=HORIZON_DAYS)

    def dry_on(self, finding: str) -> date | None:
        wood = self.wet[finding]
        return {Pace.EARLY: wood.early_on, Pace.LIKELY: wood.likely_on, Pace.CAUTIOUS: wood.cautious_on}[self.pace]

    def place(self, work: Work) -> WorkDays:
        first = _Moment(self.start_on)
        begin: _Reached = first
        for finding in work.findings:
            begin = _later(begin, self.free_from.get(finding, first))
        ends: list[_Reached] = []
        placed: list[StepDays] = []
        allowed, why = begin, list[str]()
        ready = begin
        sealing = _sealing_step(work)
        for number, step in enumerate(work.steps, start=1):
            now = allowed
            if number == sealing:
                now, more = self._once_dry(work, now)
                why += more
            if step.wait is not None and step.wait.cold_factor > 1 and step.wait.what != DRYING:
                now, more = self._once_warm(work, now)
                why += more
            before = placed[-1].not_before if placed else (begin.day if begin else None)
            waited = None if now is None or before is None else (now.day - before).days
            placed.append(StepDays(step, now.day if now else None, waited, number == sealing, tuple(why)))
            ends.append(now)
            allowed, why = now, []
            if step.wait is not None:
                over = self._over(work, step.wait, ends[step.wait.since_step - 1])
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
        if now is None or self._warm_enough(work, now.day):
            return now, []
        reason = f"It wants {max(work.minimum_temperature_c or 0, STOPS_BELOW_C):g} °C."
        day = now.day
        while day <= self.horizon:
            day += timedelta(days=1)
            if self._warm_enough(work, day):
                return _Moment(day), [reason]
        return None, [f"{reason} It is never so warm here."]

    def _warm_enough(self, work: Work, day: date) -> bool:
        least = STOPS_BELOW_C if work.minimum_temperature_c is None else work.minimum_temperature_c
        return self.air.on(day) >= max(least, STOPS_BELOW_C)

    def _over(self, work: Work, wait: Wait, since: _Reached) -> _Reached:
        if since is None:
            return None
        if wait.what == DRYING and any(finding in self.wet for finding in work.findings):
            reached: _Reached = since
            for finding in work.findings:
                if finding in self.wet:
                    day = self.dry_on(finding)
                    reached = _later(reached, None if day is None else _Moment(day))
            return reached
        hours = {Pace.EARLY: wait.hours_low, Pace.LIKELY: wait.hours_likely, Pace.CAUTIOUS: wait.hours_high}[
            self.pace
        ]
        pace_here = self._share_per_hour(work, wait, since.day)
        if pace_here > 0 and since.hours + hours / pace_here <= WITHIN_A_DAY_H:
            return _Moment(since.day, since.hours + hours / pace_here)
        day, left = since.day, hours
        while day <= self.horizon:
            left -= HOURS_A_DAY * self._share_per_hour(work, wait, day)
            day += timedelta(days=1)
            if left <= 1e-9:
                return _Moment(day)
        return None

    def _share_per_hour(self, work: Work, wait: Wait, day: date) -> float:
        """How much of an hour at 20 °C an hour of this day is worth."""
        if wait.cold_factor == 1:
            return 1.0
        # Water goes on drying in the cold, only slower; a film below its minimum doesn't go on at all.
        if wait.what != DRYING and not self._warm_enough(work, day):
            return 0.0
        celsius = self.air.on(day)
        if celsius < STOPS_BELOW_C:
            return 0.0
        return 1 / wait_factor(cold_factor=wait.cold_factor, temperature_c=celsius)


def _later(one: _Reached, other: _Reached) -> _Reached:
    return None if one is None or other is None else max(one, other)


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


__all__ = ["HORIZON_DAYS", "WITHIN_A_DAY_H", "job_days", "wait_factor"]
