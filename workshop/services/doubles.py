"""Joining findings that are one sign seen twice, where no work stands in the way."""

from __future__ import annotations

from contextlib import suppress
from datetime import datetime

from django.db import transaction

from inspections.models import Finding, FindingJoin, Inspection
from inspections.services.joining import finding_join
from workshop.models import Job
from workshop.models.jobs import SURFACE_KEY
from workshop.services.proposing import jobs_propose
from yard.models import Member
from yard.refusals import Refused

# Somebody outside the yard has been asked about them, or hands are on them.
BEYOND = (
    Job.State.QUOTED,
    Job.State.APPROVED,
    Job.State.DECLINED,
    Job.State.NOT_CHOSEN,
    Job.State.IN_WORK,
    Job.State.STOPPED,
    Job.State.DONE,
)


@transaction.atomic
def doubles_join(*, joined: Finding, kept: Finding, reason: str, by: Member, at: datetime) -> FindingJoin:
    """Let one finding speak for its double. What is proposed for the double alone is taken out of its job.

    Raises:
        Refused: a job on the one that would go is with the decider, answered or under way, or is the work on a
            whole surface; or as for `finding_join`.
    """
    # With the inspection's row nobody proposes or parts its jobs meanwhile.
    inspection = Inspection.objects.select_for_update(no_key=True).get(pk=joined.inspection_id)
    jobs = Job.objects.filter(operations__finding=joined).order_by("id").distinct()
    locked = Job.objects.select_for_update(of=("self",), no_key=True).filter(pk__in=[job.pk for job in jobs])
    for job in locked.order_by("id"):
        if job.state in BEYOND:
            raise Refused(
                "finding",
                f"the job “{job.title}” on it is {job.get_state_display()}",
                "keep this one and join the other to it",
            )
        if job.state == Job.State.PROPOSED and job.key.startswith(SURFACE_KEY):
            raise Refused(
                "finding", f"it is done with “{job.title}”", "take it out of that job first, or keep this one"
            )
    join = finding_join(joined=joined, kept=kept, reason=reason, by=by, at=at)
    # At once, so that no quote goes out with both; a catalogue that lacks an operation is the worker's to tell.
    with suppress(Refused):
        jobs_propose(inspection=inspection, at=at)
    return join


__all__ = ["doubles_join"]
