"""What other rules would have said of a season's findings. Reads; nothing is written."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final

from inspections.judgement.assess import assess
from inspections.judgement.judgement import Judgement
from inspections.judgement.priority import URGENCY
from inspections.judgement.rules import load_rules
from inspections.judgement.vocabulary import Priority
from inspections.models import Entry, Finding
from inspections.selectors.rules import rules_of
from inspections.services.fact_building import Facts, entries_to_judge, facts_of
from inspections.services.rechecks import learned_rates
from yard.models import Yard
from yard.refusals import Refused
from yard.selectors import today_at

# A yard's year has fewer; beyond, the page would keep people waiting. The newest count.
FINDINGS_AT_MOST: Final = 3000


@dataclass(frozen=True, slots=True)
class Moved:
    """A finding that the other rules judge otherwise."""

    finding: Finding
    priority_before: Priority
    priority_after: Priority
    due_before: date
    due_after: date

    @property
    def how_far(self) -> tuple[int, int]:
        """The larger, the more it matters: bands of priority first, then days."""
        bands = abs(URGENCY[self.priority_before] - URGENCY[self.priority_after])
        return bands, abs((self.due_before - self.due_after).days)


@dataclass(frozen=True, slots=True)
class RuleEffect:
    """What changes among the findings of a season, the largest changes first.

    Args:
        looked_at: findings that were judged by both; those that make no facts are left out.
        counts: by priority, how many there are by the rules of now and by the others.
    """

    season_year: int
    looked_at: int
    moved: tuple[Moved, ...]
    counts: tuple[tuple[Priority, int, int], ...]


def effect_of_rules(*, yard: Yard, overrides: Mapping[str, Any], season_year: int, at: datetime) -> RuleEffect:
    """Judge a season's findings by the yard's rules of now and by others, each as of the day it was seen.

    Findings that a later entry withdrew are left out. What managers overruled is judged all the same: this is about
    the rules.

    Raises:
        Refused: the overrides make no sense; the field names which.
    """
    now, then = rules_of(yard), load_rules(overrides=overrides)
    rows = (
        Finding.objects.of_yard(yard)
        .filter(inspection__season_year=season_year)
        .exclude(state=Finding.State.WITHDRAWN)
        .select_related("boat", "component", "spot", "entry")
        .order_by("-found_at", "pk")[:FINDINGS_AT_MOST]
    )
    findings = {finding.entry_id: finding for finding in rows}
    entries: list[Entry] = entries_to_judge(yard, findings)
    learned_now = learned_rates(yard=yard, today=today_at(yard, at), rules=now)
    learned_then = learned_rates(yard=yard, today=today_at(yard, at), rules=then)
    facts_now = facts_of(yard, entries, learned_now)
    facts_then = facts_now if learned_now == learned_then else facts_of(yard, entries, learned_then)
    before: Counter[Priority] = Counter()
    after: Counter[Priority] = Counter()
    moved: list[Moved] = []
    looked_at = 0
    for entry in entries:
        told_now, told_then = facts_now[entry.pk], facts_then[entry.pk]
        if isinstance(told_now, Refused) or isinstance(told_then, Refused):
            continue
        looked_at += 1
        one = _judged(told_now, now)
        other = one if now == then else _judged(told_then, then)
        before[one.priority] += 1
        after[other.priority] += 1
        if (one.priority, one.due_by_rules_on) != (other.priority, other.due_by_rules_on):
            moved.append(
                Moved(findings[entry.pk], one.priority, other.priority, one.due_by_rules_on, other.due_by_rules_on)
            )
    return RuleEffect(
        season_year,
        looked_at,
        tuple(sorted(moved, key=lambda each: each.how_far, reverse=True)),
        tuple((priority, before[priority], after[priority]) for priority in Priority),
    )


def _judged(told: Facts, rules: Any) -> Judgement:
    return assess(told.finding, told.component, told.yard, told.finding.observed_on, rules)


__all__ = ["Moved", "RuleEffect", "effect_of_rules"]
