"""What a finding means: the one door of judgement."""

from __future__ import annotations

from datetime import date
from math import inf

from inspections.judgement.case import Case, Line
from inspections.judgement.circumstances import Circumstances, circumstances_of
from inspections.judgement.condition import Weighed, signs_contradict, weigh
from inspections.judgement.drying_wait import drying_wait
from inspections.judgement.due_back import due_back, look_interval
from inspections.judgement.facts import ComponentFacts, FindingFacts, YardFacts, refuse_days_before_the_boat
from inspections.judgement.judgement import ConditionJudged, Judgement
from inspections.judgement.likelihood import likelihood_of
from inspections.judgement.priority import URGENCY, may_be_left, priority_of
from inspections.judgement.reasons import reasons_for_owner
from inspections.judgement.risk import RISK_RANK, risk_level
from inspections.judgement.rules.tables import Rules
from inspections.judgement.severity import severity_of
from inspections.judgement.trace import trace_for_shipwright
from inspections.judgement.treatments import advice_for
from inspections.judgement.vocabulary import Condition


def assess(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts, on_date: date, rules: Rules
) -> Judgement:
    """Judge a finding, or a place that was not seen, as of a day.

    Every condition that holds is judged by itself. The gravest risk among them is the finding's, and so is the
    most pressing priority; one more sign, or a worse one, never makes a finding milder.

    Args:
        finding: what was recorded.
        component: where.
        yard: the season, the working days and the weather.
        on_date: the day of judging; a day before the look counts as the day of the look.
        rules: from `load_rules`.

    Raises:
        Refused: a day of the finding lies before the boat was built.

    Source: the method of this project; matrix and categories of MIL-STD-882E; tables as their own sources say.
    """
    case = work_out(finding, component, yard, on_date, rules)
    deciding, due, advice = case.deciding, case.due, advice_for(case)
    told = reasons_for_owner(case, advice)
    return Judgement(
        conditions=tuple(_judged(one, case.lines) for one in case.weighed),
        condition=deciding.weighed.condition,
        severity=deciding.severity,
        probability_level=deciding.level,
        risk=deciding.risk,
        failure_probability=_shown(deciding, rules),
        priority=case.pressing.priority,
        due_back_on=due.on,
        due_back_kind=due.kind,
        due_by_rules_on=due.by_the_rules,
        overdue=due.overdue,
        treatments=advice.treatments,
        do_not=tuple(said.en for said in advice.do_not),
        hold=None if advice.hold is None else advice.hold.in_english(),
        drying=case.drying,
        confirm=case.contradiction,
        reasons=tuple(reason.en for reason in told),
        told=told,
        trace=trace_for_shipwright(case),
        rules_version=rules.version,
    )


def work_out(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts, on_date: date, rules: Rules
) -> Case:
    """All that `assess` puts into words: every condition with its figures, and the day.

    Raises:
        Refused: a day of the finding lies before the boat was built.
    """
    refuse_days_before_the_boat(finding, component)
    judged_on = max(on_date, finding.observed_on)
    around = circumstances_of(finding, component, yard, judged_on, rules)
    weighed = weigh(finding, component, around, rules)
    lines = tuple(_line(one, finding, component, yard, around, rules) for one in weighed if one.holds)
    deciding = min(lines, key=lambda line: _gravest_first(line, rules))
    pressing = min(lines, key=lambda line: (URGENCY[line.priority], *_gravest_first(line, rules)))
    holding = frozenset(line.weighed.condition for line in lines)
    left_alone = may_be_left(deciding.severity, holding, frozenset(line.priority for line in lines), around, rules)
    due = due_back(
        priority=pressing.priority,
        look_every_years=inf if left_alone else min(line.look_every_years for line in lines),
        only_unseen=holding == {Condition.UNSEEN},
        read_again=around.read_again,
        finding=finding,
        component=component,
        yard=yard,
        judged_on=judged_on,
        rules=rules,
    )
    return Case(
        finding=finding,
        component=component,
        yard=yard,
        around=around,
        weighed=weighed,
        lines=lines,
        deciding=deciding,
        pressing=pressing,
        due=due,
        drying=drying_wait(
            finding=finding,
            component=component,
            yard=yard,
            around=around,
            priorities={line.priority for line in lines},
            due=due,
            rules=rules,
        ),
        left_alone=left_alone,
        contradiction=bool(signs_contradict(finding, rules)) or any(one.contradicted for one in weighed),
        rules=rules,
    )


def _line(
    weighed: Weighed,
    finding: FindingFacts,
    component: ComponentFacts,
    yard: YardFacts,
    around: Circumstances,
    rules: Rules,
) -> Line:
    condition = weighed.condition
    severity, severity_steps = severity_of(condition, component, around, rules)
    likelihood = likelihood_of(condition, finding, component, yard, around, rules)
    risk = risk_level(severity, likelihood.level)
    priority, because = priority_of(condition, severity, risk, component, around, rules)
    looks, look_every_years = look_interval(severity, condition, likelihood.pf_years, rules)
    return Line(weighed, severity, likelihood, risk, priority, because, looks, look_every_years, severity_steps)


def _gravest_first(line: Line, rules: Rules) -> tuple[int, int, str, int]:
    return RISK_RANK[line.risk], line.severity, line.level, -rules.condition_rank[line.weighed.condition]


def _shown(line: Line, rules: Rules) -> float | None:
    """A probability that is worth a figure."""
    probability = line.likelihood.probability
    return probability if probability >= rules.progression.shown_from else None


def _judged(weighed: Weighed, lines: tuple[Line, ...]) -> ConditionJudged:
    line = next((line for line in lines if line.weighed is weighed), None)
    return ConditionJudged(
        condition=weighed.condition,
        holds=weighed.holds,
        evidence_for=weighed.speaks_for,
        evidence_against=weighed.speaks_against,
        severity=line.severity if line else None,
        probability_level=line.level if line else None,
        risk=line.risk if line else None,
    )


__all__ = ["assess", "work_out"]
