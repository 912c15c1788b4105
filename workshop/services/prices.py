"""The yard's prices and a job's work, read from the tables for the computation that prices it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal

from workshop.estimating.hours import ThreePoint
from workshop.estimating.job_building import COUNTED_ONCE
from workshop.estimating.packs import PackSize
from workshop.models import Job, Material, Operation
from workshop.pricing.job_price import JobPrice, MaterialPrice, MaterialUse, OperationCost, PriceList, job_price
from workshop.pricing.together import Saving, saving_together
from yard.models import HourlyRate, Yard
from yard.refusals import Refused
from yard.selectors import vat_rates_on


def price_list_of(yard: Yard, *, on_date: date) -> PriceList:
    """What the yard asks, with the VAT rates of a day, in four queries."""
    vat = vat_rates_on(yard, on_date)
    return PriceList(
        currency=yard.currency,
        labour_vat_rate_pct=vat.work,
        hourly_rates={rate.trade: rate.amount for rate in HourlyRate.objects.of_yard(yard)},
        materials={
            material.code: MaterialPrice(
                code=material.code,
                name=material.name,
                unit=material.unit,
                unit_price=material.unit_price,
                waste_pct=material.waste_pct,
                least_per_job=material.least_per_job,
                vat_rate_pct=vat.of(material.vat_class_id),
                packs=tuple(
                    PackSize(pack.size, pack.price, pack.name, pack.plural) for pack in material.packs.all()
                ),
                whole_packs=material.charged_by == Material.ChargedBy.PACK,
            )
            for material in Material.objects.of_yard(yard).prefetch_related("packs")
        },
    )


def operations_of(jobs: Iterable[Job]) -> Mapping[int, list[Operation]]:
    """The operations of some jobs with what they are on, by job, in one query."""
    found: dict[int, list[Operation]] = {job.pk: [] for job in jobs}
    rows = Operation.objects.filter(job__in=list(found)).select_related(
        "treatment", "finding__spot", "finding__entry", "finding__component__surface", "surface"
    )
    for operation in rows.order_by("job", "position", "id"):
        found[operation.job_id].append(operation)
    return found


def price_of(job: Job, operations: Iterable[Operation], prices: PriceList) -> JobPrice:
    """Price a job at today's prices.

    Raises:
        Refused: there is no work in it, or a rate or price is missing; the field begins with `jobs.<id>`.
    """
    try:
        return job_price([cost_of(operation) for operation in operations], prices)
    except Refused as refusal:
        raise refusal.under(f"jobs.{job.pk}") from refusal


def saving_of(job: Job, operations: Iterable[Operation], prices: PriceList) -> Saving:
    """What a job saves against doing each of its findings as a job of its own, at the same prices.

    Raises:
        Refused: as for `price_of`.
    """
    places: dict[str, list[OperationCost]] = {}
    for operation in operations:
        places.setdefault(operation.place_key, []).append(cost_of(operation))
    try:
        return saving_together(list(places.values()), prices)
    except Refused as refusal:
        raise refusal.under(f"jobs.{job.pk}") from refusal


def cost_of(operation: Operation) -> OperationCost:
    """An operation as the computation takes it."""
    treatment = operation.treatment
    return OperationCost(
        treatment=treatment.code,
        trade=treatment.trade,
        hours=ThreePoint(operation.hours_low, operation.hours_likely, operation.hours_high),
        setup_hours=treatment.setup_hours,
        quantity=operation.quantity,
        materials=tuple(MaterialUse(need["item"], Decimal(need["likely"])) for need in treatment.materials),
        once=treatment.code in COUNTED_ONCE,
    )


__all__ = ["cost_of", "operations_of", "price_list_of", "price_of", "saving_of"]
