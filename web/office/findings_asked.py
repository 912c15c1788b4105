"""What is asked of the findings queue by its address, the same for the page, its form and the spreadsheet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time

from django.http import QueryDict

from inspections.judgement.vocabulary import Priority
from inspections.models.findings import FindingState
from web.base.asking import day_asked, query_without, text_asked
from workshop.selectors.findings_queue import ORDERS, SHOWS, Narrowed
from yard.models import Boat, ComponentClass, Yard
from yard.refusals import Refused

UNJUDGED = "unjudged"


@dataclass(frozen=True, slots=True)
class Asked:
    """What the queue is narrowed to and how it is sorted. What is not understood is told in `refused`.

    Args:
        query: the address without its page and ticks.
        rest: the same without what is shown, for the ways from new to open to all.
    """

    by: Narrowed
    since: date | None
    order: str
    all_ticked: bool
    query: str
    rest: str
    refused: Refused | None

    @property
    def narrows(self) -> bool:
        by = self.by
        return bool(by.boat or by.priority or by.component_class or by.state or by.no_job or by.since or by.text)


def asked_of(given: QueryDict, yard: Yard, boats: list[Boat], classes: list[ComponentClass]) -> Asked:
    """Read the address. A boat, a word or an order that there is not narrows nothing."""
    show, order = given.get("show", ""), given.get("order", "")
    priority, state = given.get("priority", ""), given.get("state", "")
    since = day_asked(given, "since")
    wrong = bool(given.get("since")) and since is None
    return Asked(
        by=Narrowed(
            show=show if show in SHOWS else "new",
            boat=next((boat for boat in boats if str(boat.pk) == given.get("boat")), None),
            priority=priority if priority in (*(each.value for each in Priority), UNJUDGED) else "",
            component_class=next((each for each in classes if str(each.pk) == given.get("class")), None),
            state=state if state in FindingState.values else "",
            no_job=given.get("no_job") == "yes",
            since=None if since is None else datetime.combine(since, time.min, yard.zone),
            text=text_asked(given),
        ),
        since=since,
        order=order if order in ORDERS else "urgent",
        all_ticked=given.get("tick") == "all",
        query=query_without(given, "page", "tick"),
        rest=query_without(given, "page", "tick", "show"),
        refused=Refused("since", "is no day", "give one like 2027-05-01") if wrong else None,
    )


__all__ = ["UNJUDGED", "Asked", "asked_of"]
