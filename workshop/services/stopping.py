"""A job that stops halfway: what it waits for, and what holds the boat meanwhile."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from workshop.models import Hold, Job
from workshop.services.jobs import hold_lay, job_locked
from workshop.services.steps import refuse_foreign
from yard.models import Member
from yard.refusals import Refused


@transaction.atomic
def job_stop(
    *,
    job: Job,
    by: Member,
    kind: str,
    what: str,
    who: Member | None,
    expected_on: date,
    meanwhile: str,
    at: datetime,
) -> Hold:
    """Stop a job that is in work. It goes on by itself when the last thing it waits for is here.

    The day on which the proper repair is due comes by judgement and goes into the due-back book.

    Args:
        by: who stops it.
        who: gets what is waited for.
        meanwhile: what holds the boat: sealed now, a cover, a support.

    Raises:
        Refused: it is not in work, nobody is named, an unknown kind, or missing words.
    """
    job = job_locked(job, Job.State.IN_WORK, doing="stopped")
    refuse_foreign(job, by)
    if who is None:
        raise Refused("who", "is missing", "name who gets it")
    if who.yard_id != job.yard_id:
        raise Refused("who", f"{who} is not of this yard", "name a member of the yard")
    hold = hold_lay(
        job=job,
        kind=kind,
        what=what,
        who=who,
        expected_on=expected_on,
        meanwhile=meanwhile,
        at=at,
        stopped_work=True,
    )
    job.state, job.changed_at = Job.State.STOPPED, at
    job.save(update_fields=["state", "changed_at"])
    return hold


__all__ = ["job_stop"]
