"""What a job saves against doing its findings one by one.

Together, what has to be set up is set up once, what opens the place up is done once, and whole packs and least
quantities are shared. Both ways are priced as they would be told: the saving is the difference of figures that
could stand in a quote.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from workshop.pricing.job_price import OperationCost, PriceList, job_price

NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True)
class Saving:
    """What doing it together saves: hours as they are told [h], and net; 0 or more.

    The net is that of labour and materials, so it can be more than nothing where no quarter of an hour is saved.
    """

    hours: Decimal = NOTHING
    net: Decimal = NOTHING

    @property
    def worth_telling(self) -> bool:
        """Whether money is saved by it."""
        return self.net > 0


def saving_together(places: Sequence[Sequence[OperationCost]], prices: PriceList) -> Saving:
    """What is saved by doing the work on several places as one job.

    Rounding to the quarter of an hour can make the one job dearer by a little than the sum of many small ones; no
    saving is told then.

    Args:
        places: the operations on each finding, or each whole surface, none of them empty.
        prices: of the yard.

    Raises:
        Refused: as for `job_price`.
    """
    if len(places) < 2:
        return Saving()
    alone = [job_price(operations, prices) for operations in places]
    together = job_price([operation for operations in places for operation in operations], prices)
    hours = sum((price.hours_likely for price in alone), NOTHING) - together.hours_likely
    net = sum((price.net for price in alone), NOTHING) - together.net
    return Saving(max(hours, NOTHING), max(net, NOTHING))


__all__ = ["Saving", "saving_together"]
