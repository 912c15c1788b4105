"""What a yard's own rechecks say of its rates, read from what was recorded.

Once a day: what counts are the inspections that were closed before the day began, so all judgements of one day are
made by the same rates, and the sums are kept for the day. The history is read by so many spots at a time: what is
held in memory and asked for at once is bounded, and questions grow with hundreds of spots.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from itertools import groupby, pairwise
from typing import Final
from uuid import UUID

from django.core.cache import cache
from django.db.models import Min
from django.db.models.functions import Least

from inspections.judgement.facts import LearnedRate
from inspections.judgement.rechecks import (
    Counted,
    LearnedStep,
    Recheck,
    add_up,
    count_rechecks,
    learned_steps,
    rates_in_use,
)
from inspections.judgement.rules import Rules
from inspections.judgement.vocabulary import Answer, Condition, Exposure
from inspections.models import Assessment, Check, Entry, Finding
from inspections.models.findings import FindingState
from inspections.models.inspections import CheckOrigin
from inspections.selectors.entries import standing
from inspections.selectors.rules import rules_of
from inspections.services.earlier_looks import seen_on_at
from inspections.services.fact_building import entries_to_judge, facts_of
from yard.models import Yard
from yard.refusals import Refused
from yard.selectors import today_at

SPOTS: Final = 200
KEPT_FOR: Final = timedelta(days=2)
PUT_RIGHT: Final = (FindingState.REPAIRED, FindingState.VERIFIED)
# The floor above books hours on jobs whose operations name the finding; it is named by words only.
WORKED_ON: Final = "operations__job__work_logs__worked_on"


@dataclass(frozen=True, slots=True)
class _Look:
    entry_id: UUID
    inspection_id: int
    spot_id: UUID
    answer: str
    seen_on: date
    size_mm: Decimal | None
    trend: str


@dataclass(frozen=True, slots=True)
class _Repairs:
    """What says that a place was worked on between two looks.

    Args:
        put_right: entries whose finding is repaired or verified.
        worked_on: by entry, the first day that hours were booked on its finding.
        asked_after: inspections and spots where the later look was asked for because of a repair.
    """

    put_right: frozenset[UUID]
    worked_on: Mapping[UUID, date]
    asked_after: frozenset[tuple[int, UUID]]

    def between(self, first: _Look, then: _Look) -> bool:
        worked_on = self.worked_on.get(first.entry_id)
        return (
            first.entry_id in self.put_right
            or (then.inspection_id, then.spot_id) in self.asked_after
            or (worked_on is not None and worked_on <= then.seen_on)
        )


def learned_rates(*, yard: Yard, today: date, rules: Rules) -> tuple[LearnedRate, ...]:
    """The rates that the yard's own rechecks put in the place of the table's; empty where there are too few."""
    return rates_in_use(learned_of_yard(yard=yard, today=today, rules=rules))


def learned_of_yard(*, yard: Yard, today: date, rules: Rules) -> tuple[LearnedStep, ...]:
    """Every step that looks can tell of, and what the yard's rechecks say of it up to the day before."""
    return learned_steps(_counted_today(yard, today, rules), rules)


@dataclass(frozen=True, slots=True)
class LearnedToday:
    """What the yard has learned, ready to be shown.

    Args:
        as_of: inspections closed before this day are counted.
        rates: every step that looks can tell of, with water and without.
        not_told_by_looks: the other steps.
    """

    as_of: date
    rules_version: str
    least_observations: int
    interval_probability: float
    rates: tuple[LearnedStep, ...]
    not_told_by_looks: tuple[str, ...]


def learned_today(*, yard: Yard, at: datetime) -> LearnedToday:
    """What judgement reckons with today, and what it has learned too little of."""
    rules, today = rules_of(yard), today_at(yard, at)
    rates = learned_of_yard(yard=yard, today=today, rules=rules)
    told = {one.step for one in rates}
    return LearnedToday(
        as_of=today,
        rules_version=rules.version,
        least_observations=rules.learning.least_observations,
        interval_probability=rules.learning.interval,
        rates=rates,
        not_told_by_looks=tuple(name for name in rules.progression.steps if name not in told),
    )


def _counted_today(yard: Yard, today: date, rules: Rules) -> tuple[Counted, ...]:
    key = f"rechecks:{yard.pk}:{today.isoformat()}:{rules.version}"
    kept = cache.get(key)
    if kept is None:
        counted = rechecks_counted(yard=yard, today=today, rules=rules)
        kept = [
            (one.step, one.exposure.value, one.observations, one.transitions, one.exposure_years) for one in counted
        ]
        cache.set(key, kept, KEPT_FOR.total_seconds())
    return tuple(Counted(step, Exposure(exposure), *figures) for step, exposure, *figures in kept)


def rechecks_counted(*, yard: Yard, today: date, rules: Rules) -> tuple[Counted, ...]:
    """Read the whole history and add it up; nothing is kept."""
    before = datetime.combine(today, time.min, yard.zone)
    return add_up(
        one
        for spots in _pages_of_spots(yard, before)
        for one in count_rechecks(_rechecks_at(yard, spots, before), rules)
    )


def _pages_of_spots(yard: Yard, before: datetime) -> Iterator[list[UUID]]:
    """The spots where something was found, so many at a time."""
    found = Finding.objects.of_yard(yard).filter(spot__isnull=False, inspection__closed_at__lt=before)
    spots = found.order_by("spot_id").values_list("spot_id", flat=True).distinct()
    page = list(spots[:SPOTS])
    while page:
        yield page
        page = list(spots.filter(spot_id__gt=page[-1])[:SPOTS])


def _rechecks_at(yard: Yard, spots: Sequence[UUID], before: datetime) -> Iterator[Recheck]:
    pairs = list(_pairs_of_looks(yard, spots, before))
    if not pairs:
        return
    conditions = _conditions(yard, [look.entry_id for pair in pairs for look in pair])
    repairs = _repairs(yard, pairs)
    facts = facts_of(yard, entries_to_judge(yard, [first.entry_id for first, _ in pairs]))
    for first, then in pairs:
        told, condition = facts.get(first.entry_id), conditions.get(first.entry_id)
        if told is None or isinstance(told, Refused) or condition is None or then.seen_on < first.seen_on:
            continue
        yield Recheck(
            finding=told.finding,
            component=told.component,
            yard=told.yard,
            condition=Condition(condition),
            seen_again_on=then.seen_on,
            condition_then=conditions.get(then.entry_id),  # type: ignore[arg-type]  # a word, read at the door
            trend_then=then.trend,  # type: ignore[arg-type]
            size_then_mm=None if then.size_mm is None else float(then.size_mm),
            repaired=repairs.between(first, then),
        )


def _pairs_of_looks(yard: Yard, spots: Sequence[UUID], before: datetime) -> Iterator[tuple[_Look, _Look]]:
    """A finding and the next look at its spot, in a later inspection; of several looks in one the last counts."""
    rows = (
        standing(
            Entry.objects.of_yard(yard).filter(
                spot__in=spots, answer__in=[Answer.SOUND, Answer.FINDING], inspection__closed_at__lt=before
            )
        )
        .order_by("spot_id", "inspection__season_year", Least("observed_at", "received_at"), "pk")
        .values_list("pk", "inspection_id", "spot_id", "answer", "observed_at", "received_at", "size_mm", "trend")
    )
    looks = (
        _Look(pk, inspection_id, spot_id, answer, seen_on_at(yard, observed_at, received_at), size_mm, trend)
        for pk, inspection_id, spot_id, answer, observed_at, received_at, size_mm, trend in rows
    )
    for _, at_spot in groupby(looks, key=lambda look: look.spot_id):
        last_of_each = {look.inspection_id: look for look in at_spot}
        for first, then in pairwise(last_of_each.values()):
            if first.answer == Answer.FINDING:
                yield first, then


def _conditions(yard: Yard, entry_ids: Iterable[UUID]) -> dict[UUID, str]:
    """What each entry was judged to be, by the newest judgement."""
    return dict(
        Assessment.objects.of_yard(yard)
        .filter(entry__in=list(entry_ids))
        .order_by("made_at", "pk")
        .values_list("entry_id", "condition")
    )


def _repairs(yard: Yard, pairs: Sequence[tuple[_Look, _Look]]) -> _Repairs:
    findings = Finding.objects.of_yard(yard).filter(entry__in=[first.entry_id for first, _ in pairs])
    asked_after = Check.objects.of_yard(yard).filter(
        origin=CheckOrigin.REPAIRED,
        inspection__in={then.inspection_id for _, then in pairs},
        spot__in={then.spot_id for _, then in pairs},
    )
    return _Repairs(
        put_right=frozenset(findings.filter(state__in=PUT_RIGHT).values_list("entry_id", flat=True)),
        worked_on=dict(
            findings.filter(**{f"{WORKED_ON}__isnull": False})
            .order_by()
            .values("entry_id")
            .annotate(first=Min(WORKED_ON))
            .values_list("entry_id", "first")
        ),
        asked_after=frozenset(asked_after.values_list("inspection_id", "spot_id")),
    )


__all__ = ["LearnedToday", "learned_of_yard", "learned_rates", "learned_today", "rechecks_counted"]
