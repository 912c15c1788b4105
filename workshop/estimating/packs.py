"""Which whole packs to buy for an amount: the cheapest that cover it.

A small whole-number problem, solved exactly: a search over the amount still to be covered, guided by what it would
cost at the best price per unit (A*, Hart, Nilsson and Raphael, IEEE Transactions on Systems Science and Cybernetics
4(2), 1968). The guide never overestimates, so that the first cover it comes upon is the cheapest.
"""

import heapq
import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Context, Decimal
from fractions import Fraction
from typing import Final

from yard.refusals import Refused

LARGEST_AMOUNT: Final = Decimal(1_000_000)
LARGEST_SIZE: Final = Decimal(100_000)
LARGEST_PRICE: Final = Decimal(1_000_000)
MOST_SIZES: Final = 12
# As finely as sizes and prices are written.
DECIMALS: Final = 4
# Nobody carries more of the largest pack to one job or one week; it keeps the search small.
MOST_PACKS: Final = 1_000

_EXACT: Final = Context(prec=60)


@dataclass(frozen=True, slots=True)
class PackSize:
    """A pack as it is sold.

    Attributes:
        size: what it holds, in the material's unit, over 0 to 100 000, at most 4 decimals.
        price: net price of one, 0 to 1 000 000, at most 4 decimals.
        name: what one is called, like cartridge.
        plural: what several are called.

    Raises:
        Refused: size or price is no decimal number, outside its range, or has too many decimals.
    """

    size: Decimal
    price: Decimal
    name: str = "pack"
    plural: str = "packs"

    def __post_init__(self) -> None:
        _check("size", self.size, LARGEST_SIZE)
        _check("price", self.price, LARGEST_PRICE)
        if self.size == 0:
            raise Refused("size", "is 0", "Give what one pack holds, more than 0.")
        for field, value in (("size", self.size), ("price", self.price)):
            if value != round(value, DECIMALS):
                raise Refused(field, f"has too many decimals: {value}", f"Give at most {DECIMALS} decimals.")


@dataclass(frozen=True, slots=True)
class PackCount:
    """Several packs of one size."""

    count: int
    pack: PackSize


@dataclass(frozen=True, slots=True)
class PacksBought:
    """What is bought for an amount.

    Attributes:
        packs: how many of each size, the largest first.
        price: net price of all of them.
        quantity: what they hold together, in the material's unit.
        left_over: what is not needed of it, in the material's unit.
    """

    packs: tuple[PackCount, ...]
    price: Decimal
    quantity: Decimal
    left_over: Decimal


def cheapest_packs(amount: Decimal, sizes: Sequence[PackSize]) -> PacksBought:
    """The cheapest whole packs that hold an amount; of equally cheap ones those that leave least over, then fewest.

    Args:
        amount: what is needed, with waste, in the material's unit, 0 to 1 000 000.
        sizes: in what the material is sold, 1 to 12 sizes, each once.

    Returns:
        The packs; none for an amount of 0.

    Raises:
        Refused: the amount is no decimal number or outside its range, there is no size, too many, one twice, or the
            amount would take more than 1000 packs of the largest.

    Source: integer programming; checked against trying every combination.

    Example:
        >>> tins = [PackSize(Decimal(375), Decimal(19)), PackSize(Decimal(1000), Decimal(42))]
        >>> bought = cheapest_packs(Decimal(1200), tins)
        >>> [(each.count, str(each.pack.size)) for each in bought.packs], str(bought.price)
        ([(1, '1000'), (1, '375')], '61')
    """
    _check("amount", amount, LARGEST_AMOUNT)
    _check_sizes(amount, sizes)
    if amount == 0:
        return PacksBought((), Decimal(0), Decimal(0), Decimal(0))
    offers = sorted(sizes, key=lambda pack: -pack.size)
    whole = [int(pack.size.scaleb(DECIMALS)) for pack in offers]
    prices = [int(pack.price.scaleb(DECIMALS)) for pack in offers]
    # Every cover is a multiple of what all sizes have in common, so the amount may be counted up to one as well.
    step = math.gcd(*whole)
    units = [size // step for size in whole]
    needed = int((_EXACT.divide(amount.scaleb(DECIMALS), Decimal(step))).to_integral_value(ROUND_CEILING))
    counts = _search(needed, units, prices)
    packs = tuple(PackCount(counts[at], pack) for at, pack in enumerate(offers) if counts[at])
    quantity = sum((each.count * each.pack.size for each in packs), Decimal(0))
    price = sum((each.count * each.pack.price for each in packs), Decimal(0))
    return PacksBought(packs, price, quantity, _EXACT.subtract(quantity, amount))


def _search(needed: int, units: Sequence[int], prices: Sequence[int]) -> Counter[int]:
    """How many of each offer cover what is needed."""
    best = min(range(len(units)), key=lambda at: (Fraction(prices[at], units[at]), -units[at]))

    def guide(cost: int, rest: int) -> int:
        """Cost so far and the least it can still take, times the units of the best offer to stay with integers."""
        return cost * units[best] + max(rest, 0) * prices[best]

    # guide, left over (of a cover), packs, cost, still to be covered, the last pack, where it was added to
    begin = (guide(0, needed), 0, 0, 0, needed, -1)
    open_states = [begin]
    added: dict[int, tuple[int, int]] = {}
    closed: set[int] = set()
    while True:
        _, _, packs, cost, rest, last = heapq.heappop(open_states)
        if rest in closed:
            continue
        closed.add(rest)
        if last >= 0:
            added[rest] = (last, rest + units[last])
        if rest <= 0:
            return _counted(rest, needed, added)
        for at, size in enumerate(units):
            if rest - size not in closed:
                dearer = cost + prices[at]
                state = (guide(dearer, rest - size), max(size - rest, 0), packs + 1, dearer, rest - size, at)
                heapq.heappush(open_states, state)


def _counted(rest: int, needed: int, added: dict[int, tuple[int, int]]) -> Counter[int]:
    counts: Counter[int] = Counter()
    while rest != needed:
        last, rest = added[rest]
        counts[last] += 1
    return counts


def _check_sizes(amount: Decimal, sizes: Sequence[PackSize]) -> None:
    if not 1 <= len(sizes) <= MOST_SIZES:
        raise Refused("sizes", f"there are {len(sizes)}", f"Give 1 to {MOST_SIZES} sizes of pack.")
    if len({pack.size for pack in sizes}) != len(sizes):
        raise Refused("sizes", "one stands there twice", "Give each size once.")
    largest = max(pack.size for pack in sizes)
    if amount > MOST_PACKS * largest:
        raise Refused(
            "amount", f"takes over {MOST_PACKS} packs of {largest}", "Give larger packs; look at the unit."
        )


def _check(field: str, value: object, largest: Decimal) -> None:
    if not isinstance(value, Decimal) or not value.is_finite():
        raise Refused(field, f"is not a decimal number: {value!r}", "Give a decimal number, like 0.25.")
    if value < 0:
        raise Refused(field, f"is negative: {value}", "Give 0 or more.")
    if value > largest:
        raise Refused(field, f"is over {largest}: {value}", f"Give at most {largest}; look at the unit.")


__all__ = ["PackCount", "PackSize", "PacksBought", "cheapest_packs"]
