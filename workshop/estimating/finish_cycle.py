"""A finished surface over the years: when it wants a coat, when it has to be stripped to bare wood, and why. Pure.

A patch makes good a place where the film was broken; it never becomes one with the film around it, and each is an
edge where the next trouble starts. So patches are counted from strip to strip. Whether two of them lie upon each
other is not known: their areas are added up, and the sum counts as the whole surface at most. For a surface that
was patched twice at one place that is too much.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from inspections.judgement.calendar_months import add_months, months_between
from workshop.estimating.finish_rules import Deed, FinishRule, FinishRules
from workshop.estimating.finish_words import Age, Sentence, sentence
from yard.languages import FIRST
from yard.refusals import Refused
from yard.vocabulary import Exposure, Finish

LARGEST_M2: Final = Decimal(10_000)
MOST_COATS: Final = 30
MONTHS_IN_A_YEAR: Final = 12


@dataclass(frozen=True, slots=True)
class FinishedSurface:
    """A surface as the rules see it.

    Args:
        area_m2: of the whole [m²], above 0 to 10 000.
        finish: what stands on it.
        exposure: to sun and weather.
        coat_every_months, strip_after_years: the yard's own figures; None takes the rules'.

    Raises:
        Refused: a figure outside its range.
    """

    area_m2: Decimal
    finish: Finish
    exposure: Exposure
    coat_every_months: int | None = None
    strip_after_years: int | None = None

    def __post_init__(self) -> None:
        if not self.area_m2.is_finite() or not 0 < self.area_m2 <= LARGEST_M2:
            raise Refused("area_m2", f"is {self.area_m2} m²", f"give more than 0, at most {LARGEST_M2} m²")
        FinishRule(self.coat_every_months, self.strip_after_years, None)

    def rule(self, rules: FinishRules) -> FinishRule:
        """The rule that holds for it, with its own figures laid over."""
        stock = rules.of(self.finish, self.exposure)
        return FinishRule(
            self.coat_every_months or stock.coat_every_months,
            self.strip_after_years or stock.strip_after_years,
            stock.strip_at_patched_pct,
        )


@dataclass(frozen=True, slots=True)
class FinishWork:
    """A line of its history.

    Args:
        deed: what was done.
        on: the day.
        area_m2: of a patch [m²], above 0 to 10 000; None for anything else.

    Raises:
        Refused: a patch without an area, an area of something else, or one outside its range.
    """

    deed: Deed
    on: date
    area_m2: Decimal | None = None

    def __post_init__(self) -> None:
        if (self.deed is Deed.PATCHED) != (self.area_m2 is not None):
            raise Refused("area_m2", f"does not go with {self.deed.label!r}", "give it for a patch, and only there")
        if self.area_m2 is not None and (not self.area_m2.is_finite() or not 0 < self.area_m2 <= LARGEST_M2):
            raise Refused("area_m2", f"is {self.area_m2} m²", f"give more than 0, at most {LARGEST_M2} m²")


@dataclass(frozen=True, slots=True)
class FinishAdvice:
    """What a surface wants.

    Attributes:
        patched_m2: patches since the last strip, added up [m²].
        patched_share: of the surface, 0 to 1.
        stripped_on: the last strip on record; None where there is none.
        known_since: the day its age is counted from: that strip, or the first line on record.
        coated_on: the last full coat since then.
        coat_due_on: the day the next full coat is due; None where none ever is, or nothing is on record.
        strip_due_on: the same for the strip.
        coat_due, strip_advised: it falls due before the lay-up is over.
        because: why the strip falls due then: its patches, its age, or both.
        reasons: short sentences with figures, what is advised first, in English.
        told: the same, to be told in any language.
    """

    patched_m2: Decimal
    patched_share: Decimal
    stripped_on: date | None
    known_since: date | None
    coated_on: date | None
    coat_due_on: date | None
    strip_due_on: date | None
    coat_due: bool
    strip_advised: bool
    because: tuple[str, ...]
    reasons: tuple[str, ...]
    told: tuple[Sentence, ...]


def finish_advice(
    *, surface: FinishedSurface, works: Sequence[FinishWork], on_date: date, lay_up_on: date, rules: FinishRules
) -> FinishAdvice:
    """Is a maintenance coat due, is a strip advised, when, and why.

    Args:
        surface: what it is.
        works: its history; lines of one day in the order in which they were done.
        on_date: today.
        lay_up_on: the next lay-up, today or later; what falls due up to then is asked for now.
        rules: how long finishes last.

    Raises:
        Refused: work on a day that has not come, or a lay-up that has passed.

    Source: common practice, no source; see the rule data for the figure that has one.
    """
    if lay_up_on < on_date:
        raise Refused("lay_up_on", f"{lay_up_on.isoformat()} has passed", "give the next one")
    late = next((work for work in works if work.on > on_date), None)
    if late is not None:
        raise Refused("done_on", f"{late.on.isoformat()} has not come yet", "give the day it was done")
    rule = surface.rule(rules)
    ordered = sorted(works, key=lambda work: work.on)
    since, stripped_on = _since_the_strip(ordered)
    known_since = stripped_on or (ordered[0].on if ordered else None)
    patched = sum((work.area_m2 or Decimal(0) for work in since), Decimal(0))
    share = min(patched / surface.area_m2, Decimal(1))
    coated_on = next((work.on for work in reversed(since) if work.deed is Deed.COATED), None)
    coat_due_on = _coat_due(rule, known_since, stripped_on, coated_on)
    by_age = _years_on(known_since, rule.strip_after_years)
    crossed_on = _crossed(since, surface.area_m2, rule.strip_at_patched_pct)
    by_share = None if crossed_on is None else add_months(crossed_on, rules.strip_within_months)
    strip_due_on = min((day for day in (by_age, by_share) if day is not None), default=None)
    because = _because(rule, by_age, by_share, strip_due_on)
    told = (
        *_strip_reasons(rule, on_date, lay_up_on, strip_due_on),
        *because,
        *_history_reasons(on_date, stripped_on, known_since),
        *_patch_reasons(patched, share, surface.area_m2, rule),
        *_coat_reasons(rule, on_date, coated_on, coat_due_on, stripped_on, lay_up_on),
    )
    return FinishAdvice(
        patched_m2=patched,
        patched_share=share,
        stripped_on=stripped_on,
        known_since=known_since,
        coated_on=coated_on,
        coat_due_on=coat_due_on,
        strip_due_on=strip_due_on,
        coat_due=coat_due_on is not None and coat_due_on <= lay_up_on,
        strip_advised=strip_due_on is not None and strip_due_on <= lay_up_on,
        because=tuple(each.inside(FIRST) for each in because),
        reasons=tuple(each.inside(FIRST) for each in told),
        told=told,
    )


def _since_the_strip(ordered: Sequence[FinishWork]) -> tuple[Sequence[FinishWork], date | None]:
    """What was done after the last strip; all of it where none is on record."""
    last = max((at for at, work in enumerate(ordered) if work.deed is Deed.STRIPPED), default=None)
    return (ordered, None) if last is None else (ordered[last + 1 :], ordered[last].on)


def _coat_due(
    rule: FinishRule, known_since: date | None, stripped_on: date | None, coated_on: date | None
) -> date | None:
    if rule.coat_every_months is None or known_since is None:
        return None
    if coated_on is None and stripped_on is not None:
        return stripped_on  # bare wood waits for nothing
    return add_months(coated_on or known_since, rule.coat_every_months)


def _years_on(since: date | None, years: int | None) -> date | None:
    return None if since is None or years is None else add_months(since, years * MONTHS_IN_A_YEAR)


def _crossed(since: Sequence[FinishWork], area_m2: Decimal, limit_pct: int | None) -> date | None:
    """The day on which the patches passed the share."""
    if limit_pct is None:
        return None
    patched = Decimal(0)
    for work in since:
        patched += work.area_m2 or Decimal(0)
        if patched * 100 >= area_m2 * limit_pct:
            return work.on
    return None


def _because(
    rule: FinishRule, by_age: date | None, by_share: date | None, strip_due_on: date | None
) -> tuple[Sentence, ...]:
    told = []
    if by_share is not None and by_share == strip_due_on and rule.strip_at_patched_pct is not None:
        told.append(sentence("patched_too_much", limit=rule.strip_at_patched_pct))
    if by_age is not None and by_age == strip_due_on and rule.strip_after_years is not None:
        told.append(sentence("too_old", years=rule.strip_after_years))
    return tuple(told)


def _strip_reasons(
    rule: FinishRule, on_date: date, lay_up_on: date, strip_due_on: date | None
) -> tuple[Sentence, ...]:
    if strip_due_on is None:
        never = rule.strip_after_years is None and rule.strip_at_patched_pct is None
        return (sentence("never_stripped"),) if never else ()
    if strip_due_on < on_date:
        return (sentence("strip_was_due", day=strip_due_on),)
    told = sentence("strip_due", day=strip_due_on)
    return (told, sentence("not_yet")) if strip_due_on > lay_up_on else (told,)


def _history_reasons(on_date: date, stripped_on: date | None, known_since: date | None) -> tuple[Sentence, ...]:
    if known_since is None:
        return (sentence("no_record"),)
    age = Age(int(months_between(known_since, on_date)))
    if stripped_on is None:
        return (sentence("no_strip", age=age),)
    return (sentence("stripped", day=stripped_on, age=age),)


def _patch_reasons(patched: Decimal, share: Decimal, area_m2: Decimal, rule: FinishRule) -> tuple[Sentence, ...]:
    if not patched:
        return ()
    percent = (share * 100).quantize(Decimal(1), rounding=ROUND_HALF_UP)
    told = (sentence("patches", patched=patched, area=area_m2, share=int(percent)), sentence("patches_overlap"))
    limit = rule.strip_at_patched_pct
    return (*told, sentence("strip_from", limit=limit)) if limit is not None else told


def _coat_reasons(
    rule: FinishRule,
    on_date: date,
    coated_on: date | None,
    coat_due_on: date | None,
    stripped_on: date | None,
    lay_up_on: date,
) -> tuple[Sentence, ...]:
    if coat_due_on is None or rule.coat_every_months is None:
        return ()
    if coated_on is None and stripped_on is not None:
        return (sentence("bare"),)
    last = sentence("coated", day=coated_on) if coated_on else sentence("no_coat")
    if coat_due_on < on_date:
        key = "coat_was_due"
    else:
        key = "coat_due" if coat_due_on <= lay_up_on else "next_coat"
    return (last, sentence(key, day=coat_due_on, months=rule.coat_every_months))


__all__ = ["Deed", "FinishAdvice", "FinishWork", "FinishedSurface", "finish_advice"]
