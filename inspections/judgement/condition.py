"""From signs to conditions, with what speaks for and against each."""

from __future__ import annotations

from dataclasses import dataclass

from inspections.judgement.circumstances import Circumstances
from inspections.judgement.evidence import Evidence
from inspections.judgement.facts import ComponentFacts, FindingFacts
from inspections.judgement.rules.tables import Rules
from inspections.judgement.unseen import cap_has_passed
from inspections.judgement.vocabulary import Answer, Condition


@dataclass(frozen=True, slots=True)
class Weighed:
    """One condition on the scales.

    Args:
        named_by: codes of the signs that speak for it, in alphabetical order.
        conclusive: a sign that leaves no doubt is among them.
        holds: the evidence carries it.
        contradicted: it holds though something speaks against it.
    """

    condition: Condition
    named_by: tuple[str, ...]
    conclusive: bool
    speaks_for: tuple[Evidence, ...]
    speaks_against: tuple[Evidence, ...]
    holds: bool

    @property
    def contradicted(self) -> bool:
        return self.holds and bool(self.speaks_against)


def weigh(
    finding: FindingFacts, component: ComponentFacts, around: Circumstances, rules: Rules
) -> tuple[Weighed, ...]:
    """Every condition that a sign names or the circumstances bring with them, gravest first.

    A condition holds where a sign leaves no doubt of it, where any evidence speaks for it, or where it is the first
    meaning of a sign and nothing speaks against it. So of two readings that contradict each other the worse one
    holds. Where all that the signs name is refuted a mark is left, `finish_only`; so at least one condition holds.
    """
    if finding.answer is Answer.NOT_FITTED:
        return (_certain(Condition.GONE),)
    named, leading, conclusive = _named_by_signs(finding, rules)
    if finding.answer is Answer.NOT_SEEN or cap_has_passed(around.unseen_months, component):
        named.setdefault(Condition.UNSEEN, set())
        leading.add(Condition.UNSEEN)
    for condition, rule in rules.conditions.items():
        if rule.follows_from & around.evidence:
            named.setdefault(condition, set())
            conclusive.add(condition)
    weighed = [
        _weigh_one(condition, signs, condition in leading, condition in conclusive, around, rules)
        for condition, signs in named.items()
    ]
    seen = [one for one in weighed if one.condition is not Condition.UNSEEN]
    if seen and not any(one.holds for one in seen):
        weighed = [one for one in weighed if one.condition is not Condition.FINISH_ONLY]
        weighed.append(_certain(Condition.FINISH_ONLY))
    return tuple(sorted(weighed, key=lambda one: -rules.condition_rank[one.condition]))


def signs_contradict(finding: FindingFacts, rules: Rules) -> frozenset[str]:
    """The first pair of signs that can't both be right; empty where there is none."""
    codes = {sign.code for sign in finding.signs}
    return next((pair for pair in rules.contradicting if pair <= codes), frozenset())


def _named_by_signs(
    finding: FindingFacts, rules: Rules
) -> tuple[dict[Condition, set[str]], set[Condition], set[Condition]]:
    named: dict[Condition, set[str]] = {}
    leading: set[Condition] = set()
    conclusive: set[Condition] = set()
    for sign in finding.signs:
        leading.add(sign.conditions[0])
        conclusive |= rules.conclusive.get(sign.code, frozenset()) & set(sign.conditions)
        for condition in sign.conditions:
            named.setdefault(condition, set()).add(sign.code)
    return named, leading, conclusive


def _weigh_one(
    condition: Condition,
    signs: set[str],
    leads: bool,
    conclusive: bool,
    around: Circumstances,
    rules: Rules,
) -> Weighed:
    rule = rules.conditions[condition]
    speaks_for = around.evidence & (rule.speaks_for | rule.follows_from)
    speaks_against = around.evidence & rule.speaks_against
    return Weighed(
        condition=condition,
        named_by=tuple(sorted(signs)),
        conclusive=conclusive,
        speaks_for=tuple(sorted(speaks_for)),
        speaks_against=tuple(sorted(speaks_against)),
        holds=conclusive or bool(speaks_for) or (leads and not speaks_against),
    )


def _certain(condition: Condition) -> Weighed:
    return Weighed(condition, (), conclusive=True, speaks_for=(), speaks_against=(), holds=True)


__all__ = ["Weighed", "signs_contradict", "weigh"]
