"""The figures and rules that decided, line by line, for a shipwright."""

from __future__ import annotations

from math import isinf

from inspections.judgement.case import Case, Line
from inspections.judgement.condition import Weighed
from inspections.judgement.seasons import MONTHS_IN_A_YEAR


def trace_for_shipwright(case: Case) -> tuple[str, ...]:
    """Rules and days, what was taken as given, every condition on the scales, every figure, the due date."""
    around, due = case.around, case.due
    told = [
        f"rules {case.rules.version}; seen on {case.finding.observed_on.isoformat()}, judged as of "
        + around.judged_on.isoformat(),
        f"water {around.water}, load {around.load}, seal {around.seal}, moves {around.moves}, "
        f"trend {around.trend}, at stake {around.role}, "
        + ("in the load path" if around.in_load_path else "out of the load path"),
    ]
    told.append(
        f"durability class {around.durability_class}, Scheffer index {around.scheffer_index:.0f}, "
        f"{around.season_years:.2f} years to the end of the season"
    )
    told += [_weighed(one) for one in case.weighed]
    told += [_line(line) for line in case.lines]
    told.append(
        f"due {due.by_the_rules.isoformat()} to {due.kind}; season from {due.launch_on.isoformat()} to "
        + due.layup_on.isoformat()
    )
    if (due.launch_on, due.layup_on) != (case.yard.launch_on, case.yard.layup_on):
        told.append("seen after lay-up: the next season's days are taken to be this one's, whole years on")
    return tuple(told)


def _weighed(one: Weighed) -> str:
    return (
        f"{one.condition} {'holds' if one.holds else 'does not hold'}: named by "
        f"{', '.join(one.named_by) or 'the circumstances'}; for {', '.join(one.speaks_for) or 'nothing'}; against "
        f"{', '.join(one.speaks_against) or 'nothing'}{'; beyond doubt' if one.conclusive else ''}"
    )


def _line(line: Line) -> str:
    return (
        f"{line.weighed.condition}: severity {line.severity} ({'; '.join(line.severity_steps)}), likelihood "
        f"{line.level} (probability {line.likelihood.probability:.2g}: {'; '.join(line.likelihood.told)}), risk "
        f"{line.severity}{line.level} {line.risk} (MIL-STD-882E Table III), {line.priority} because "
        f"{line.because.label}; {_looks(line)}"
    )


def _looks(line: Line) -> str:
    if isinf(line.likelihood.pf_years):
        return "no look is asked for by PF/n"
    return (
        f"PF {line.likelihood.pf_years:.2f} years over n {line.looks:.1f}: a look every "
        f"{line.look_every_years * MONTHS_IN_A_YEAR:.1f} months (NAVAIR 00-25-403)"
    )


__all__ = ["trace_for_shipwright"]
