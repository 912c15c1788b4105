"""A treatment's hours taken over from the yard's own records: by a manager, with the reason, never by itself."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from inspections.services.asking import ask_for_jobs
from workshop.estimating.hours import ThreePoint
from workshop.models import HoursAdopted, Job, Treatment
from workshop.selectors.learned_hours import TreatmentHours, learned_hours_of
from yard.models import Member
from yard.refusals import Refused

REASON_LENGTH = 2000


@transaction.atomic
def hours_adopt(*, treatment: Treatment, by: Member, hours: ThreePoint, why: str, at: datetime) -> HoursAdopted:
    """Estimate by what the yard's own hours say from now on.

    What is quoted stays as it was sent. Proposed jobs that no member has put a hand to are estimated anew. What is
    adopted already is not adopted again.

    Args:
        treatment: the yard's own copy.
        hours: the proposed hours per unit as the manager has seen them.

    Raises:
        Refused: no manager of the yard, no reason, too few jobs, nothing new, or figures that have moved since.
    """
    held: Treatment = Treatment.objects.select_for_update(of=("self",), no_key=True).select_related("yard").get(
        pk=treatment.pk
    )  # fmt: skip
    if by.yard_id != held.yard_id or not by.is_manager:
        raise Refused("by", f"{by.name} is no manager of this yard", "ask a manager")
    if not 1 <= len(why.strip()) <= REASON_LENGTH:
        raise Refused("why", "is missing or too long", f"say why, in at most {REASON_LENGTH} characters")
    said = next((each for each in learned_hours_of(held.yard) if each.treatment.pk == held.pk), None)
    if said is not None and said.adopted is not None and hours == said.stands:
        return said.adopted
    proposed = _adoptable(said)
    if hours != proposed:
        raise Refused("hours", "are not what the records say by now", "look at the figures again")
    adoption = HoursAdopted(
        yard_id=held.yard_id,
        treatment=held,
        hours_low_before=held.hours_low,
        hours_likely_before=held.hours_likely,
        hours_high_before=held.hours_high,
        hours_low=Decimal(proposed.low),
        hours_likely=Decimal(proposed.likely),
        hours_high=Decimal(proposed.high),
        jobs=said.told.learned.records if said is not None else 0,
        why=why.strip(),
        adopted_by=by,
        adopted_at=at,
    )
    adoption.save(force_insert=True)
    held.hours_low, held.hours_likely, held.hours_high = (
        adoption.hours_low, adoption.hours_likely, adoption.hours_high
    )  # fmt: skip
    held.save(update_fields=["hours_low", "hours_likely", "hours_high"])
    waiting = Job.objects.of_yard(held.yard).filter(
        state=Job.State.PROPOSED, edited_by__isnull=True, operations__treatment=held
    )
    ask_for_jobs(sorted(set(waiting.values_list("inspection_id", flat=True))), yard=held.yard, at=at)
    return adoption


def _adoptable(said: TreatmentHours | None) -> ThreePoint:
    if said is None or said.told.proposed is None:
        jobs = 0 if said is None else said.told.learned.records
        raise Refused("hours", f"have {jobs} done jobs behind them", "wait until there are ten")
    if not said.adoptable:
        raise Refused("hours", "are what the catalogue says already", "there is nothing more to do")
    return said.told.proposed


__all__ = ["REASON_LENGTH", "hours_adopt"]
