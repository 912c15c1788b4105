"""Which findings share an opening up and so become one job, and how much work a finding is."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from typing import Final

from yard.refusals import Refused

# Operations that are counted by length.
LENGTH_UNITS: Final = frozenset({"m"})

# A repair reaches beyond what shows: nobody sets up for less than this. Common practice, no source.
LEAST_LENGTH_M: Final = Decimal("0.25")
MOST_SIZE_MM: Final = Decimal(100_000)

# Advice to do nothing now is no work to be asked for.
NO_WORK: Final = frozenset({"WATCH"})

# Taking the same thing off serves every finding behind it.
COUNTED_ONCE: Final = frozenset({"OPEN_UP"})


@dataclass(frozen=True, slots=True)
class Opening:
    """A step that opens a component up; what has the same `shares` comes off once for all that lies behind it."""

    key: str
    takes_off: bool
    shares: str = ""


def quantity_of(unit: str, size_mm: Decimal | None) -> Decimal:
    """Units of work [unit of the operation] on one finding.

    Args:
        unit: of the operation, as in the catalogue.
        size_mm: largest extent of the finding [mm], 0 to 100 000; None where it was not measured.

    Returns:
        Metres, at least 0.25, for what is counted by length and was measured; otherwise 1, for a manager to mend.

    Raises:
        Refused: a size outside its range.
    """
    if size_mm is not None and not 0 <= size_mm <= MOST_SIZE_MM:
        raise Refused("size_mm", f"is {size_mm} mm", f"give 0 to {MOST_SIZE_MM} mm")
    if unit not in LENGTH_UNITS or size_mm is None:
        return Decimal(1)
    metres = (size_mm / 1000).quantize(Decimal("0.01"), rounding=ROUND_CEILING)
    return max(metres, LEAST_LENGTH_M)


def shared_opening(openings: Iterable[Opening], after: Collection[str]) -> str:
    """What has to come off before a place can be reached, if other places may lie behind the same thing.

    Cleaning is no opening up: a whole bottom that is washed makes no single job of all that is found on it. Nor do
    two places go together because a third lies behind the covers of both: the owner would be left with one yes or
    no to everything.

    Args:
        openings: the steps of the place's component, in their order.
        after: keys of the steps that come before the place is looked at.

    Returns:
        `shares` of the first thing that comes off; empty where nothing does, or where nobody else needs it off.
    """
    return next((each.shares for each in openings if each.takes_off and each.key in after and each.shares), "")


__all__ = [
    "COUNTED_ONCE",
    "LEAST_LENGTH_M",
    "LENGTH_UNITS",
    "NO_WORK",
    "Opening",
    "quantity_of",
    "shared_opening",
]
