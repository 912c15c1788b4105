"""The due-back book: a line is never changed; another day or another purpose is a new line."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction
from django.db.models import Q

from inspections.judgement.vocabulary import DueBackKind
from inspections.models import DueBack, Entry, Finding
from yard.refusals import Refused


@transaction.atomic
def due_back_set(
    *,
    due_on: date,
    kind: DueBackKind | str,
    reason: str,
    at: datetime,
    finding: Finding | None = None,
    entry: Entry | None = None,
) -> DueBack:
    """Say by when somebody must be back at a finding, or at a place that an entry says was not seen.

    The open line stays if it says the same already; otherwise it ends and this one takes its place. The caller
    holds the finding's (or the entry's) row, so that two of them don't set a line at once.

    Raises:
        Refused: no reason.
    """
    if not reason.strip():
        raise Refused("reason", "is missing", "say why somebody must be back")
    about = finding or entry
    if about is None or (finding and entry):
        raise ValueError("A line stands for a finding or for an entry.")
    boat_id = finding.boat_id if finding else about.inspection.boat_id
    where = Q(finding=finding) if finding else Q(entry=entry)
    for line in DueBack.objects.filter(where, ended_at__isnull=True):
        same_place = (line.component_id, line.spot_id) == (about.component_id, about.spot_id)
        if same_place and (line.due_on, line.kind, line.reason) == (due_on, str(kind), reason):
            return line
        line.ended_at = at
        line.save(update_fields=["ended_at"])
    new: DueBack = DueBack.objects.create(
        yard_id=about.yard_id,
        boat_id=boat_id,
        component_id=about.component_id,
        spot_id=about.spot_id,
        finding=finding,
        entry=entry,
        due_on=due_on,
        kind=str(kind),
        reason=reason,
        set_at=at,
    )
    return new


def due_back_end(*, at: datetime, finding: Finding | None = None, entry: Entry | None = None) -> int:
    """End the open line of a finding or an entry. Returns how many ended, 0 or 1."""
    if (finding is None) == (entry is None):
        raise ValueError("A line stands for a finding or for an entry.")
    where = Q(finding=finding) if finding else Q(entry=entry)
    ended: int = DueBack.objects.filter(where, ended_at__isnull=True).update(ended_at=at)
    return ended


__all__ = ["due_back_end", "due_back_set"]
