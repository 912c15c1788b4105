"""Places out of sight: an unseen part is no sound part, and its clock runs on."""

from __future__ import annotations

from datetime import date

from inspections.judgement.calendar_months import months_between
from inspections.judgement.facts import ComponentFacts, FindingFacts
from inspections.judgement.rules.tables import Rules


def months_out_of_sight(finding: FindingFacts, judged_on: date) -> float | None:
    """How long the hidden part has been out of sight on the day of judging, months.

    Where both the day of the last sight and a number of months were given, the longer holds.

    Returns:
        None where neither was given.
    """
    spans = []
    if finding.unseen_months is not None:
        spans.append(finding.unseen_months + months_between(finding.observed_on, judged_on))
    if finding.last_seen_on is not None:
        spans.append(months_between(finding.last_seen_on, judged_on))
    return max(spans, default=None)


def cap_has_passed(unseen_months: float | None, component: ComponentFacts) -> bool:
    """Whether the hidden part has been closed for longer than its class allows."""
    return unseen_months is not None and unseen_months > component.open_up_months


def unseen_level(unseen_share: float | None, rules: Rules) -> str:
    """The likelihood level of a part out of sight.

    Args:
        unseen_share: months out of sight over the class's open-up interval, 0 or more; None for never seen.
    """
    if unseen_share is None:
        return rules.never_seen_level
    # a band begins just above its share: the cap itself may be used up to its last day
    return next(level for share, level in reversed(rules.unseen_bands) if unseen_share > share or share == 0)


__all__ = ["cap_has_passed", "months_out_of_sight", "unseen_level"]
