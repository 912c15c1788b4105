"""The due-back book: a line is never changed; another day or another purpose is a new line."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction
from django.db.models import Q

from inspections.judgement.vocabulary import DueBackKind
from inspections.models import DueBack, Entry, Finding
from yard.models import Surface
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
    surface: Surface | None = None,
) -> DueBack:
    """Say by when somebody must be back at a finding, a place that an entry says was not seen, or a whole surface.

    The open line stays if it says the same already; otherwise it ends and this one takes its place. The caller
    holds the finding's (or the entry's, or the surface's) row, so that two of them don't set a line at once.

    Raises:
        Refused: no reason.
    """
    if not reason.strip():
        raise Refused("reason", "is missing", "say why somebody must be back")
    about = _about(finding, entry, surface)
    boat_id = about.inspection.boat_id if isinstance(about, Entry) else about.boat_id
    component_id, spot_id = (None, None) if isinstance(about, Surface) else (about.component_id, about.spot_id)
    for line in DueBack.objects.filter(_where(about), ended_at__isnull=True):
        same_place = (line.component_id, line.spot_id) == (component_id, spot_id)
        if same_place and (line.due_on, line.kind, line.reason) == (due_on, str(kind), reason):
            return line
        line.ended_at = at
        line.save(update_fields=["ended_at"])
    new: DueBack = DueBack.objects.create(
        yard_id=about.yard_id,
        boat_id=boat_id,
        component_id=component_id,
        spot_id=spot_id,
        finding=finding,
        entry=entry,
        surface=surface,
        due_on=due_on,
        kind=str(kind),
        reason=reason,
        set_at=at,
    )
    return new


def due_back_end(
    *, at: datetime, finding: Finding | None = None, entry: Entry | None = None, surface: Surface | None = None
) -> int:
    """End the open line of a finding, an entry or a surface. Returns how many ended, 0 or 1."""
    where = _where(_about(finding, entry, surface))
    ended: int = DueBack.objects.filter(where, ended_at__isnull=True).update(ended_at=at)
    return ended


def _about(finding: Finding | None, entry: Entry | None, surface: Surface | None) -> Finding | Entry | Surface:
    given = [each for each in (finding, entry, surface) if each is not None]
    if len(given) != 1:
        raise ValueError("A line stands for a finding, for an entry or for a surface.")
    return given[0]


def _where(about: Finding | Entry | Surface) -> Q:
    if isinstance(about, Finding):
        return Q(finding=about)
    return Q(entry=about) if isinstance(about, Entry) else Q(surface=about)


__all__ = ["due_back_end", "due_back_set"]
