"""Which classes of part a boat of a build usually has. Pure.

A class says what it fits: a hull of wood, any hull, or what may be of wood on a hull of something else. Common
practice, no source: a skin of planks, of lands or of sheets is one or another, never two.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, Protocol, TypeVar

WOODEN_BUILDS: Final = frozenset({"carvel", "clinker", "cold_moulded", "plywood", "strip"})
FITS_EVERY_HULL: Final = "any_hull"
FITS_A_WOODEN_HULL: Final = "wooden_hull"

# In which order somebody goes over a boat; groups of a yard's own come after these.
GROUPS: Final = ("hull", "deck", "deckhouse", "cockpit", "rig", "steering", "anchoring", "machinery", "safety_gear")

# A yard's own classes of skin aren't known here, and are offered to every wooden hull.
SKINS: Final = {
    "PLK_CARVEL": frozenset({"carvel", "strip"}),
    "PLK_CLINKER": frozenset({"clinker"}),
    "PLK_PLY_SHEET": frozenset({"cold_moulded", "plywood"}),
}


class StockClass(Protocol):
    @property
    def code(self) -> str: ...
    @property
    def group(self) -> str: ...
    @property
    def fits(self) -> list[str]: ...


Class = TypeVar("Class", bound=StockClass)


def is_usual(part: StockClass, build: str) -> bool:
    """Whether a boat of this build usually has such a part, or may have it without anybody being surprised."""
    if build not in SKINS.get(part.code, frozenset({build})):
        return False
    return FITS_EVERY_HULL in part.fits or (build in WOODEN_BUILDS and FITS_A_WOODEN_HULL in part.fits)


def stock_list(classes: Iterable[Class], build: str) -> tuple[list[Class], list[Class]]:
    """The classes usual on a boat of this build, and the others, each by group and else in the order given."""
    usual: list[Class] = []
    others: list[Class] = []
    for part in sorted(classes, key=_place_of_group):
        (usual if is_usual(part, build) else others).append(part)
    return usual, others


def _place_of_group(part: StockClass) -> tuple[int, str]:
    return (GROUPS.index(part.group), "") if part.group in GROUPS else (len(GROUPS), part.group)


__all__ = ["GROUPS", "SKINS", "WOODEN_BUILDS", "is_usual", "stock_list"]
