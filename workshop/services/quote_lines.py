"""The lines of a draft: its jobs at today's prices."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from workshop.models import Job, Quote, QuoteLine
from workshop.services.option_groups import groups_tidy
from workshop.services.prices import operations_of, price_list_of, price_of
from yard.refusals import Refused


def lines_write(quote: Quote, jobs: Sequence[Job], at: datetime) -> None:
    """Put these jobs into a draft, in this order, instead of those it had. Choices between those that stay stay.

    Raises:
        Refused: no job, one twice, one of another inspection or not proposed, more work on a job that another quote
            agreed, or one that can't be priced.
    """
    if not jobs:
        raise Refused("jobs", "there is none", "put at least one job in")
    if len({job.pk for job in jobs}) != len(jobs):
        raise Refused("jobs", "one stands there twice", "give each job once")
    for job in jobs:
        if job.inspection_id != quote.inspection_id:
            raise Refused(f"jobs.{job.pk}", "is of another inspection", "quote each boat and season by itself")
    _refuse_more_work_elsewhere(quote, jobs)
    jobs_locked(jobs)
    prices = price_list_of(quote.yard, on_date=at.astimezone(quote.yard.zone).date())
    operations = operations_of(jobs)
    chosen = {line.job_id: line for line in quote.lines.all()}
    lines = []
    for position, job in enumerate(jobs, start=1):
        price = price_of(job, operations[job.pk], prices)
        before = chosen.get(job.pk)
        lines.append(
            QuoteLine(
                yard_id=quote.yard_id,
                quote=quote,
                job=job,
                position=position,
                hours_likely=price.hours_likely,
                hours_ceiling=price.hours_ceiling,
                net_labour=price.net_labour,
                net_materials=price.net_materials,
                vat_rate_pct=prices.labour_vat_rate_pct,
                option_group_id=None if before is None else before.option_group_id,
                recommended=before is not None and before.recommended,
            )
        )
    quote.lines.all().delete()
    QuoteLine.objects.bulk_create(lines)
    groups_tidy(quote)


def lines_write_again(quote: Quote, at: datetime) -> None:
    """Lines of a draft at today's prices: the job or the price list may have changed since."""
    lines_write(quote, [line.job for line in quote.lines.select_related("job").order_by("position")], at)


def jobs_locked(jobs: Sequence[Job]) -> list[Job]:
    """The jobs, locked in the order of their ids, and all of them proposed."""
    locked = list(
        Job.objects.select_for_update(of=("self",), no_key=True)
        .filter(pk__in=[job.pk for job in jobs])
        .order_by("id")
    )
    for job in locked:
        if job.state != Job.State.PROPOSED:
            raise Refused(f"jobs.{job.pk}", f"is {job.get_state_display()}", "take it out of the quote")
    return locked


def _refuse_more_work_elsewhere(quote: Quote, jobs: Sequence[Job]) -> None:
    """More work on an agreed job stands in an addendum to the quote that agreed it."""
    agreed = set(QuoteLine.objects.filter(quote=quote.adds_to_id).values_list("job_id", flat=True))
    for job in jobs:
        if job.extends_id is not None and job.extends_id not in agreed:
            raise Refused(
                f"jobs.{job.pk}",
                "is more work on a job that another quote agreed",
                "draw up an addendum to that quote",
            )


__all__ = ["jobs_locked", "lines_write", "lines_write_again"]
