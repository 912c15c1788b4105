"""What several jobs need together: each material by job and in all, and the packs to fetch for it.

What keeps once it is opened is added up over all jobs before it is rounded to packs. What can't be kept is opened
for each job anew, as the job pays for it, so there the packs of the jobs are added up.

What is booked to a job was fetched for it already: it is taken off that job's own need, never below nothing, and
never off another job's.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from workshop.estimating.packs import PackCount, PackSize, cheapest_packs
from workshop.pricing.job_price import MaterialLine, MaterialPrice, quantity_told
from yard.refusals import Refused

ZERO: Final = Decimal(0)
NOTHING: Final[Mapping[tuple[int, str], Decimal]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class JobNeed:
    """What one job needs of a material, in its unit.

    Attributes:
        needed: in all, with waste.
        booked: what the job has used of it already; may be more than it needs.
        quantity: still to be fetched.
        packs: for that, where they are opened for this job alone.
    """

    job: int
    needed: Decimal
    booked: Decimal
    quantity: Decimal
    packs: tuple[PackCount, ...]


@dataclass(frozen=True, slots=True)
class Picked:
    """A material to fetch.

    Attributes:
        code, name, unit: of the price list.
        by_job: in the order of the jobs.
        needed: of all jobs, in the unit, with waste.
        quantity: of it, what is still to be fetched; 0 where all of it is booked.
        packs: to fetch; none where it is cut or counted off, or takes more packs than is plausible.
        left_over: what the packs hold beyond the quantity, in the unit; None without packs.
        keeps: what is opened keeps for the next job.
    """

    code: str
    name: str
    unit: str
    by_job: tuple[JobNeed, ...]
    needed: Decimal
    quantity: Decimal
    packs: tuple[PackCount, ...]
    left_over: Decimal | None
    keeps: bool

    @property
    def fetched(self) -> Decimal:
        """What is needed and booked already."""
        return self.needed - self.quantity


def picked(
    needs: Mapping[int, Sequence[MaterialLine]],
    prices: Mapping[str, MaterialPrice],
    booked: Mapping[tuple[int, str], Decimal] = NOTHING,
) -> tuple[Picked, ...]:
    """Add up what some jobs need.

    Args:
        needs: material lines of each job, by its id, in the order in which jobs are told.
        prices: the price list, by code; every material that is needed stands on it.
        booked: what was used already, by job and code, in the material's unit.

    Returns:
        One line per material, by name.
    """
    by_code: dict[str, list[JobNeed]] = {}
    for job, lines in needs.items():
        for line in lines:
            need = _need(job, line, booked.get((job, line.code), ZERO), prices[line.code])
            by_code.setdefault(line.code, []).append(need)
    together = [_together(prices[code], tuple(by_job)) for code, by_job in by_code.items()]
    return tuple(sorted(together, key=lambda one: (one.name.casefold(), one.code)))


def _need(job: int, line: MaterialLine, booked: Decimal, price: MaterialPrice) -> JobNeed:
    """What is still to be fetched for a job; whole pieces, as it is told."""
    booked = max(booked, ZERO)
    rest = quantity_told(max(line.quantity - booked, ZERO), line.unit)
    packs = line.packs
    if booked and packs:
        packs = _for_all(rest, price.packs)
    return JobNeed(job, line.quantity, booked, rest, packs)


def _together(price: MaterialPrice, by_job: tuple[JobNeed, ...]) -> Picked:
    quantity = sum((need.quantity for need in by_job), ZERO)
    packs = _summed(by_job) if price.whole_packs else _for_all(quantity, price.packs)
    held = sum((each.count * each.pack.size for each in packs), Decimal(0))
    return Picked(
        code=price.code,
        name=price.name,
        unit=price.unit,
        by_job=by_job,
        needed=sum((need.needed for need in by_job), ZERO),
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
