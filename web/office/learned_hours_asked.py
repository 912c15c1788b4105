"""What is asked of the treatments with done jobs behind them by the address, for the page and the spreadsheet."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.http import QueryDict

from web.base.asking import query_without, text_asked, word_asked
from workshop.selectors.learned_hours import TreatmentHours


def _apart(said: TreatmentHours) -> float:
    """How many times more or less than the catalogue the hours come to."""
    stands, told = said.stands.quantile(0.5), said.told.median_hours
    return max(stands / told, told / stands) if stands > 0 and told > 0 else 1.0


def _by_name(said: TreatmentHours) -> Any:
    return said.treatment.name.casefold(), said.treatment.code


ORDERS: Final[dict[str, tuple[str, Callable[[TreatmentHours], Any]]]] = {
    "name": ("by name", _by_name),
    "jobs": ("the most jobs first", lambda said: (-said.told.learned.records, _by_name(said))),
    "apart": ("the furthest from what stands first", lambda said: (-_apart(said), _by_name(said))),
}
STANDS: Final[dict[str, tuple[str, Callable[[TreatmentHours], bool]]]] = {
    "adoptable": ("that can be adopted", lambda said: said.adoptable),
    "adopted": ("that stand by your own hours", lambda said: said.adopted is not None),
    "few": ("with too few jobs yet", lambda said: said.told.proposed is None),
}


@dataclass(frozen=True, slots=True)
class Asked:
    """What the list is narrowed to and how it is sorted."""

    stands: str
    text: str
    order: str
    query: str

    @property
    def narrows(self) -> bool:
        return bool(self.stands or self.text)

    def rows(self, told: Sequence[TreatmentHours]) -> list[TreatmentHours]:
        return sorted((said for said in told if self._fits(said)), key=ORDERS[self.order][1])

    def _fits(self, said: TreatmentHours) -> bool:
        words = f"{said.treatment.name} {said.treatment.code}".casefold()
        return (not self.stands or STANDS[self.stands][1](said)) and all(
            word in words for word in self.text.casefold().split()
        )


def asked_of(given: QueryDict) -> Asked:
    """Read the address. A word that there is not narrows nothing."""
    return Asked(
        stands=word_asked(given, "stands", STANDS),
        text=text_asked(given),
        order=word_asked(given, "order", ORDERS, "name"),
        query=query_without(given, "page"),
    )


__all__ = ["ORDERS", "STANDS", "Asked", "asked_of"]
