"""What several jobs need together: each material by job and in all, and the packs to fetch for it.

What keeps once it is opened is added up over all jobs before it is rounded to packs. What can't be kept is opened
for each job anew, as the job pays for it, so there the packs of the jobs are added up.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from workshop.estimating.packs import PackCount, PackSize, cheapest_packs
from workshop.pricing.job_price import MaterialLine, MaterialPrice
from yard.refusals import Refused


@dataclass(frozen=True, slots=True)
class JobNeed:
    """What one job needs of a material, in its unit; `packs` where they are opened for this job alone."""

    job: int
    quantity: Decimal
    packs: tuple[PackCount, ...]


@dataclass(frozen=True, slots=True)
class Picked:
    """A material to fetch.

    Attributes:
        code, name, unit: of the price list.
        by_job: in the order of the jobs.
        quantity: of all jobs, in the unit.
        packs: to fetch; none where it is cut or counted off, or takes more packs than is plausible.
        left_over: what the packs hold beyond the quantity, in the unit; None without packs.
        keeps: what is opened keeps for the next job.
    """

    code: str
    name: str
    unit: str
    by_job: tuple[JobNeed, ...]
    quantity: Decimal
    packs: tuple[PackCount, ...]
    left_over: Decimal | None
    keeps: bool


def picked(needs: Mapping[int, Sequence[MaterialLine]], prices: Mapping[str, MaterialPrice]) -> tuple[Picked, ...]:
    """Add up what some jobs need.

    Args:
        needs: material lines of each job, by its id, in the order in which jobs are told.
        prices: the price list, by code; every material that is needed stands on it.

    Returns:
        One line per material, by name.
    """
    by_code: dict[str, list[JobNeed]] = {}
    for job, lines in needs.items():
        for line in lines:
            by_code.setdefault(line.code, []).append(JobNeed(job, line.quantity, line.packs))
    together = [_together(prices[code], tuple(by_job)) for code, by_job in by_code.items()]
    return tuple(sorted(together, key=lambda one: (one.name.casefold(), one.code)))


def _together(price: MaterialPrice, by_job: tuple[JobNeed, ...]) -> Picked:
    quantity = sum((need.quantity for need in by_job), Decimal(0))
    packs = _summed(by_job) if price.whole_packs else _for_all(quantity, price.packs)
    held = sum((each.count * each.pack.size for each in packs), Decimal(0))
    return Picked(
        code=price.code,
        name=price.name,
        unit=price.unit,
        by_job=by_job,
        quantity=quantity,
        packs=packs,
        left_over=held - quantity if packs else None,
        keeps=not price.whole_packs,
    )


def _summed(by_job: Sequence[JobNeed]) -> tuple[PackCount, ...]:
    counts: Counter[PackSize] = Counter()
    for need in by_job:
        for each in need.packs:
            counts[each.pack] += each.count
    return tuple(PackCount(count, pack) for pack, count in sorted(counts.items(), key=lambda item: -item[0].size))


def _for_all(quantity: Decimal, sizes: tuple[PackSize, ...]) -> tuple[PackCount, ...]:
    if not sizes:
        return ()
    try:
        return cheapest_packs(quantity, sizes).packs
    except Refused:
        # A thousand packs and more: the amount is told, and somebody looks at the unit.
        return ()


__all__ = ["JobNeed", "Picked", "picked"]
