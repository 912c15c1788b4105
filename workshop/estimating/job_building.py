"""Which findings share an opening up and so become one job, and how much work a finding is."""

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from typing import Final, Generic, TypeVar

from yard.refusals import Refused

Place = TypeVar("Place", bound=Hashable)

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
class Opening(Generic[Place]):
    """A step that opens a component up; steps with the same `shares` are one piece of work."""

    component: Place
    shares: str


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


def opening_keys(openings: Iterable[Opening[Place]]) -> Mapping[Place, str]:
    """The key of the shared opening up of each component that shares one.

    Two components go together when a step of theirs has the same `shares`, or when a third one joins them. The
    key depends on the openings of the inspection and on no finding: it stays the same while findings come in.

    Returns:
        For each component with a shared step the alphabetically first `shares` of its group.
    """
    leader: dict[str, str] = {}

    def first_of(shares: str) -> str:
        while leader[shares] != shares:
            shares = leader[shares]
        return shares

    last_of: dict[Place, str] = {}
    for opening in openings:
        if not opening.shares:
            continue
        leader.setdefault(opening.shares, opening.shares)
        before = last_of.setdefault(opening.component, opening.shares)
        early, late = sorted((first_of(before), first_of(opening.shares)))
        leader[late] = early
    return {component: first_of(shares) for component, shares in last_of.items()}


__all__ = [
    "COUNTED_ONCE",
    "LEAST_LENGTH_M",
    "LENGTH_UNITS",
    "NO_WORK",
    "Opening",
    "opening_keys",
    "quantity_of",
]
