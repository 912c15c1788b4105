"""What happens if it runs on to failure: category 1 (catastrophic) to 4 (negligible)."""

from __future__ import annotations

from inspections.judgement.circumstances import Circumstances
from inspections.judgement.facts import ComponentFacts
from inspections.judgement.rules.tables import Rules
from inspections.judgement.vocabulary import Condition

GRAVEST = 1


def severity_of(
    condition: Condition, component: ComponentFacts, around: Circumstances, rules: Rules
) -> tuple[int, tuple[str, ...]]:
    """The category, and what made it so.

    It begins with what is at stake at the place, or with what its failure costs where the yard says that this is
    graver. It is one step graver where the water stands at what keeps it out,
    and one step graver where the damage weakens wood or metal that carries a load which comes and goes or strikes.

    Returns:
        Category 1 to 4 and the steps in words, for the trace.
    """
    category = rules.severity_by_role[around.role]
    steps = [f"{around.role.label}: {category}"]
    by_loss = rules.severity_by_loss.get(component.class_code, category)
    if by_loss < category:
        category = by_loss
        steps.append(f"what its failure costs: {by_loss}")
    if around.waters & rules.graver_in_water.get(around.role, frozenset()):
        category -= 1
        steps.append(f"{around.water.label}: one graver")
    if is_in_loaded_path(condition, around, rules):
        category -= 1
        steps.append(f"{around.load.label} runs through the damage: one graver")
    return max(category, GRAVEST), tuple(steps)


def is_in_loaded_path(condition: Condition, around: Circumstances, rules: Rules) -> bool:
    """Whether this condition weakens what carries a load that comes and goes or strikes."""
    return (
        rules.conditions[condition].structural
        and around.in_load_path
        and bool(around.loads & rules.graver_in_loaded_path)
    )


__all__ = ["is_in_loaded_path", "severity_of"]
