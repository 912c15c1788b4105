"""Work that only holds a place: it ends no finding, and the proper repair stays due."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from inspections.judgement.vocabulary import DueBackKind
from inspections.models import Finding
from inspections.services.due_back import due_back_set
from inspections.services.findings import finding_set_state
from workshop.models import Job

REASON: Final = "Sealed and held; the proper repair is due."


def held_by(job: Job, finding: Finding, at: datetime) -> bool:
    """Put a finding on hold where the job only holds it, and say in the due-back book when it is to be put right.

    Returns:
        False where the job is a repair; nothing is changed then.
    """
    if job.proper_by is None:
        return False
    finding_set_state(finding=finding, state=Finding.State.HELD, at=at)
    due_back_set(due_on=job.proper_by, kind=DueBackKind.PUT_RIGHT, reason=REASON, finding=finding, at=at)
    return True


__all__ = ["REASON", "held_by"]
