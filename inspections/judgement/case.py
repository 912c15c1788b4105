"""Everything judgement has worked out of one finding, before it is put into words."""

from __future__ import annotations

from dataclasses import dataclass

from inspections.judgement.circumstances import Circumstances
from inspections.judgement.condition import Weighed
from inspections.judgement.due_back import DueBack
from inspections.judgement.facts import ComponentFacts, FindingFacts, YardFacts
from inspections.judgement.judgement import DryingWait
from inspections.judgement.likelihood import Likelihood
from inspections.judgement.rules.tables import Rules
from inspections.judgement.vocabulary import Because, Priority, RiskLevel


@dataclass(frozen=True, slots=True)
class Line:
    """One holding condition with its figures.

    Args:
        likelihood: how likely it fails within the season, and how that came about.
        looks: how many looks must fall within the time to failure.
        look_every_years: the longest time between two looks that still catches it; infinite for never.
        because: why it has that priority.
        severity_steps: how the severity came about.
    """

    weighed: Weighed
    severity: int
    likelihood: Likelihood
    risk: RiskLevel
    priority: Priority
    because: Because
    looks: float
    look_every_years: float
    severity_steps: tuple[str, ...]

    @property
    def level(self) -> str:
        return self.likelihood.level


@dataclass(frozen=True, slots=True)
class Case:
    """A finding with all that was worked out of it.

    Args:
        weighed: every condition on the scales, gravest first.
        lines: those that hold, in the same order.
        deciding: the line with the gravest risk.
        pressing: the line with the most pressing priority.
        drying: from when it may be sealed, where it is wet.
        left_alone: a mark that is no defect.
        contradiction: signs or evidence speak against each other.
    """

    finding: FindingFacts
    component: ComponentFacts
    yard: YardFacts
    around: Circumstances
    weighed: tuple[Weighed, ...]
    lines: tuple[Line, ...]
    deciding: Line
    pressing: Line
    due: DueBack
    drying: DryingWait | None
    left_alone: bool
    contradiction: bool
    rules: Rules


__all__ = ["Case", "Line"]
