"""What is asked of the season page by its address, the same for the page and the spreadsheet."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.http import QueryDict

from inspections.judgement.vocabulary import Priority
from web.base.asking import query_without, text_asked
from workshop.planning.way import STAGES, Blocker, Stage
from workshop.selectors.season import SeasonBoat
from yard.weeks import Week, week_read


def _urgency(boat: SeasonBoat) -> tuple[int, ...]:
    return tuple(-boat.row.findings[priority] for priority in Priority)


# Every order ends with the one in which they go in, for sorting keeps what was in order.
ORDERS: Final[dict[str, tuple[str, Callable[[SeasonBoat], Any] | None]]] = {
    "launch": ("by week to launch", None),
    "boat": ("by boat", lambda boat: boat.row.boat.name.casefold()),
    "stage": ("the least far first", lambda boat: STAGES.index(boat.stage)),
    "urgent": ("the most urgent findings first", _urgency),
    "waiting": ("the longest waiting quote first", lambda boat: boat.waiting_since or date.max),
    "not_seen": ("the most places not seen first", lambda boat: -boat.row.not_seen),
    "hours": ("the most hours open first", lambda boat: -boat.work.agreed),
    "due": ("the earliest due back first", lambda boat: boat.row.due_back_on or date.max),
}
CLEAR: Final = "nothing"


@dataclass(frozen=True, slots=True)
class Asked:
    """By what the boats are narrowed and sorted; `blocked` is a kind of block, or that there is none."""

    week: Week | None
    stage: Stage | None
    priority: Priority | None
    blocked: str
    text: str
    order: str
    query: str

    @property
    def narrows(self) -> bool:
        return bool(self.week or self.stage or self.priority or self.blocked or self.text)

    @property
    def by_week(self) -> bool:
        return self.order == "launch"

    def boats(self, boats: Iterable[SeasonBoat]) -> list[SeasonBoat]:
        """Those that fit, sorted."""
        words = self.text.casefold().split()
        fitting = [boat for boat in boats if self._fits(boat, words)]
        key = ORDERS[self.order][1]
        return fitting if key is None else sorted(fitting, key=key)

    def _fits(self, boat: SeasonBoat, words: list[str]) -> bool:
        told = f"{boat.row.boat.name} {boat.row.boat.decider}".casefold() if words else ""
        return (
            (self.week is None or boat.week == self.week)
            and (self.stage is None or boat.stage == self.stage)
            and (self.priority is None or boat.row.findings[self.priority] > 0)
            and (
                not self.blocked
                or (
                    boat.clear
                    if self.blocked == CLEAR
                    else any(block.kind == self.blocked for block in boat.blocks)
                )
            )
            and all(word in told for word in words)
        )


def asked_of(given: QueryDict) -> Asked:
    """Read the address. What there is not narrows nothing."""
    blocked, order = given.get("blocked", ""), given.get("order", "")
    return Asked(
        week=week_read(given.get("week", "")),
        stage=next((stage for stage in Stage if stage == given.get("stage")), None),
        priority=next((priority for priority in Priority if priority == given.get("priority")), None),
        blocked=blocked if blocked in (*Blocker, CLEAR) else "",
        text=text_asked(given),
        order=order if order in ORDERS else "launch",
        query=query_without(given, "page"),
    )


__all__ = ["CLEAR", "ORDERS", "Asked", "asked_of"]
