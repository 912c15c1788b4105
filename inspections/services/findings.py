"""The life of a finding after it was recorded: what the decider, the workshop and the next look make of it."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from inspections.models import Finding
from inspections.models.findings import FindingState
from inspections.services.due_back import due_back_end
from yard.refusals import Refused

_UNDER_WAY = frozenset(
    {FindingState.OPEN, FindingState.WATCHED, FindingState.HELD, FindingState.DECLINED, FindingState.DEFERRED}
)
# What each state may become. Ended is ended: the next inspection records a new finding at the same spot.
MAY_BECOME: dict[FindingState, frozenset[FindingState]] = {
    **{
        state: _UNDER_WAY
        | {FindingState.REPAIRED, FindingState.VERIFIED, FindingState.WITHDRAWN, FindingState.SEEN_AGAIN}
        for state in _UNDER_WAY
    },
    # A repair that does not hold is open again.
    FindingState.REPAIRED: frozenset(
        {FindingState.OPEN, FindingState.VERIFIED, FindingState.WITHDRAWN, FindingState.SEEN_AGAIN}
    ),
    FindingState.VERIFIED: frozenset(),
    FindingState.WITHDRAWN: frozenset(),
    FindingState.SEEN_AGAIN: frozenset(),
    # undone by `finding_unjoin` alone
    FindingState.JOINED: frozenset(),
}


@transaction.atomic
def finding_set_state(*, finding: Finding, state: FindingState | str, at: datetime) -> Finding:
    """Put a finding into a state. The state it has already changes nothing.

    A finding that ends takes its line out of the due-back book; whoever wants the place looked at again sets a
    new one.

    Raises:
        Refused: it has ended, or the state is not known or can't follow.
    """
    try:
        wanted = FindingState(state)
    except ValueError as unknown:
        known = ", ".join(FindingState.values)
        raise Refused("state", f"{state!r} is not known", f"give one of: {known}") from unknown
    held: Finding = Finding.objects.select_for_update(no_key=True).get(pk=finding.pk)
    now = FindingState(held.state)
    if now is wanted:
        return held
    if wanted not in MAY_BECOME[now]:
        allowed = ", ".join(sorted(MAY_BECOME[now]))
        raise Refused(
            "state",
            f"the finding is {now.label} and can't become {wanted.label}",
            f"give one of: {allowed}" if allowed else "leave it as it is; a later look makes a new finding",
        )
    held.state = wanted
    held.ended_at = at if wanted in Finding.ENDED else None
    held.save(update_fields=["state", "ended_at"])
    if held.ended_at is not None:
        due_back_end(finding=held, at=at)
    return held


__all__ = ["MAY_BECOME", "finding_set_state"]
