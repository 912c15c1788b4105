"""The rules that a yard judges by."""

from __future__ import annotations

from inspections.judgement.rules import Rules, load_rules
from inspections.models import RuleEdition
from yard.models import Yard


def standing_edition(yard: Yard) -> RuleEdition | None:
    """The yard's own figures that hold now; None where it has the stock rules."""
    return RuleEdition.objects.of_yard(yard).order_by("-adopted_at", "-pk").first()


def rules_of(yard: Yard) -> Rules:
    """The stock rules with the yard's own figures laid over them."""
    edition = standing_edition(yard)
    return load_rules(overrides=None if edition is None else edition.overrides)


__all__ = ["rules_of", "standing_edition"]
