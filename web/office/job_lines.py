"""The proposed jobs of an inspection as a manager ticks them for a quote."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from django.utils import timezone

from inspections.judgement.vocabulary import Priority
from inspections.models import Finding, Inspection
from workshop.models import Job
from workshop.pricing.job_price import JobPrice
from workshop.pricing.together import Saving
from workshop.report.words import tag_text
from workshop.services.prices import operations_of, price_list_of, price_of, saving_of
from workshop.services.quote_words import place_of
from workshop.services.standing import standing_of
from yard.refusals import Refused
from yard.selectors import today_at


@dataclass(frozen=True, slots=True)
class JobLine:
    """A job with what it is for. `price` is None where it can't be priced; `why_not` says why.

    `saving` is what doing its findings together saves, None where that is nothing; `findings` are those that can be
    taken out of it, with their places.
    """

    job: Job
    priority: Priority
    places: tuple[str, ...]
    price: JobPrice | None
    why_not: str
    saving: Saving | None
    findings: tuple[tuple[UUID, str], ...]

    @property
    def divisible(self) -> bool:
        """Whether something is left when one of its findings is taken out."""
        return len(self.places) > 1


def job_lines(inspection: Inspection) -> list[JobLine]:
    """The proposed jobs, the most urgent first: so they are ticked and so the decider is asked."""
    jobs = list(Job.objects.filter(inspection=inspection, state=Job.State.PROPOSED).order_by("id"))
    operations = operations_of(jobs)
    findings = [operation.finding for rows in operations.values() for operation in rows if operation.finding]
    standing = standing_of(findings)
    prices = price_list_of(inspection.yard, on_date=today_at(inspection.yard, timezone.now()))
    order = list(Priority)
    lines = []
    for job in jobs:
        served = {each.finding.pk: each.finding for each in operations[job.pk] if each.finding is not None}
        surfaces = [each.surface.name for each in operations[job.pk] if each.surface is not None]
        stands = [standing[key] for key in served if key in standing]
        # the strip of a whole surface is upkeep, done while she is laid up
        otherwise = Priority.NEXT_LAYUP if surfaces else Priority.WATCH
        priority = min((each.priority for each in stands), key=order.index, default=otherwise)
        price, saving, why_not = None, None, ""
        try:
            price = price_of(job, operations[job.pk], prices)
            saving = saving_of(job, operations[job.pk], prices)
        except Refused as refusal:
            why_not = f"{refusal.problem}; {refusal.remedy}"
        spots = [finding.spot for finding in served.values()]
        named = [spot.name if spot is not None else "a place without a spot" for spot in spots]
        places = tuple(dict.fromkeys([*named, *surfaces])) if surfaces else tuple(named)
        parts = tuple((key, _told_apart(finding)) for key, finding in served.items())
        told = saving if saving is not None and saving.worth_telling else None
        lines.append(JobLine(job, priority, places, price, why_not, told, parts))
    return sorted(lines, key=lambda line: (not line.job.unsafe_to_leave, order.index(line.priority), line.job.pk))


def _told_apart(finding: Finding) -> str:
    """Its place, with the code on the sticker: two spots may have one name."""
    place = place_of(finding.component, finding.entry.elsewhere, finding.spot)
    return place if finding.spot is None else f"{place}, {tag_text(finding.spot.tag)}"


__all__ = ["JobLine", "job_lines"]
