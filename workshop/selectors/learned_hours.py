"""What a yard's own work logs say of the hours in its catalogue."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Sum

from workshop.estimating.hours import ThreePoint
from workshop.estimating.job_building import COUNTED_ONCE
from workshop.estimating.learning import DoneOperation, HoursRecord, ToldHours, split_hours, told_hours
from workshop.models import HoursAdopted, Job, Operation, Treatment, WorkLog
from yard.models import Yard

# A job tells what it took once nothing more is to be booked but corrections.
DONE = (Job.State.DONE, Job.State.VERIFIED)


@dataclass(frozen=True, slots=True)
class TreatmentHours:
    """A treatment with what its records say.

    Attributes:
        treatment: the yard's own copy.
        stands: hours per unit as the catalogue has them today [h].
        told: what the records say, held against the catalogue as it was before any of them was adopted.
        adopted: the adoption that the catalogue's figures are from; None where they are from elsewhere.
    """

    treatment: Treatment
    stands: ThreePoint
    told: ToldHours
    adopted: HoursAdopted | None

    @property
    def adoptable(self) -> bool:
        """Whether there are enough jobs, and they say something else than the catalogue."""
        return self.told.proposed is not None and self.told.proposed != self.stands


def learned_hours_of(yard: Yard) -> tuple[TreatmentHours, ...]:
    """The treatments of which jobs that are done tell something, by name, in four queries."""
    records = _records_of(yard)
    adoptions: dict[int, list[HoursAdopted]] = {}
    for adoption in HoursAdopted.objects.of_yard(yard).select_related("adopted_by").order_by("-adopted_at", "-pk"):
        adoptions.setdefault(adoption.treatment_id, []).append(adoption)
    treatments = Treatment.objects.of_yard(yard).order_by("name", "code")
    return tuple(
        _told(treatment, records[treatment.code], adoptions.get(treatment.pk, []))
        for treatment in treatments
        if treatment.code in records
    )


def hours_of(treatment: Treatment) -> ThreePoint:
    """Hours per unit as the catalogue has them [h]."""
    return ThreePoint(treatment.hours_low, treatment.hours_likely, treatment.hours_high)


def _records_of(yard: Yard) -> dict[str, list[HoursRecord]]:
    booked = dict(
        WorkLog.objects.of_yard(yard)
        .filter(job__state__in=DONE)
        .values_list("job")
        .annotate(hours=Sum("hours"))
        .order_by("job")
    )
    done: dict[int, list[DoneOperation]] = {}
    rows = Operation.objects.of_yard(yard).filter(job__state__in=DONE).order_by("job", "position", "pk")
    for job, code, low, likely, high, setup_hours, quantity in rows.values_list(
        "job", "treatment__code", "hours_low", "hours_likely", "hours_high", "treatment__setup_hours", "quantity"
    ):
        once = code in COUNTED_ONCE
        done.setdefault(job, []).append(
            DoneOperation(code, ThreePoint(low, likely, high), setup_hours, quantity, once)
        )
    records: dict[str, list[HoursRecord]] = {}
    for job, operations in done.items():
        for record in split_hours(operations, booked.get(job, Decimal(0))):
            records.setdefault(record.treatment, []).append(record)
    return records


def _told(
    treatment: Treatment, records: Sequence[HoursRecord], adoptions: Sequence[HoursAdopted]
) -> TreatmentHours:
    """Held against the figures before the adoptions that lead to today's; what was changed by hand since stands."""
    stands = before = hours_of(treatment)
    adopted = None
    for adoption in adoptions:
        if adoption.hours != before:
            break
        adopted = adopted or adoption
        before = adoption.hours_before
    return TreatmentHours(treatment, stands, told_hours(before, records), adopted)


__all__ = ["TreatmentHours", "hours_of", "learned_hours_of"]
