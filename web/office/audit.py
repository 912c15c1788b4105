"""Who did what when: a page for managers, and the same as a spreadsheet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final

from django.http import HttpResponse, HttpResponseBase, QueryDict
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from web.base.asking import day_asked, query_without, row_asked, word_asked
from web.base.downloads import moment_cell
from web.base.downloads import spreadsheet as as_spreadsheet
from web.base.members import MemberRequest, for_managers
from web.base.pages import page
from workshop.selectors.audit import KINDS, ORDERS, AuditLine, Narrowed, audit_lines, audit_page
from yard.models import DeedKind, Member, Yard
from yard.refusals import Refused
from yard.selectors import today_at
from yard.services.deeds import deed_note

HEAD = ("when", "who", "what", "told", "from")
# Which page tells more of a thing: one of its own, by its key, or one that it stands on.
PAGES: Final = {
    "boat": "boat",
    "component": "part",
    "finding": "finding",
    "inspection": "inspection",
    "owner": "owner",
    "quote": "quote",
    "spot": "spot",
    "template": "template",
}
SHARED_PAGES: Final = {
    "climate": "settings-seasons",
    "hourlyrate": "settings-money",
    "hours": "learned-hours",
    "rules": "settings-rules",
    "season": "settings-seasons",
    "vatclass": "settings-money",
    "yard": "settings",
}


@dataclass(frozen=True, slots=True)
class Asked:
    """What the address narrows to; what is not understood is told in `refused`."""

    by: Narrowed
    since: date | None
    until: date | None
    query: str
    refused: Refused | None

    @property
    def narrows(self) -> bool:
        return bool(self.by.person or self.by.kind or self.since or self.until)


@require_safe
@for_managers
def audit(request: MemberRequest) -> HttpResponse:
    yard = request.member.yard
    people = list(Member.objects.of_yard(yard).order_by("name", "pk"))
    asked = _asked(request.GET, yard, people)
    lines, more = audit_page(yard, asked.by, after=request.GET.get("after", ""))
    context = {
        "here": "people",
        "lines": [(line, _page_of(line)) for line in lines],
        "more": more,
        "people": people,
        "kinds": KINDS,
        "orders": list(ORDERS.items()),
        "asked": asked,
    }
    return page(request, "audit.html", context, refused=asked.refused)


@require_safe
@for_managers
def spreadsheet(request: MemberRequest) -> HttpResponseBase:
    """Every line that is asked for, as CSV. That it was taken out is itself a line from then on."""
    yard, now = request.member.yard, timezone.now()
    asked = _asked(request.GET, yard, list(Member.objects.of_yard(yard)))
    if asked.refused is not None:
        return audit(request)
    rows = (
        (moment_cell(line.at, yard), line.who, line.kind, line.told, line.from_address)
        for line in audit_lines(yard, asked.by)
    )
    answer = as_spreadsheet(HEAD, rows, f"who-did-what-{today_at(yard, now).isoformat()}.csv")
    deed_note(yard=yard, kind=DeedKind.EXPORTED, by=request.member, told="who did what", at=now)
    return answer


def _page_of(line: AuditLine) -> str:
    """The address of the page that tells more; empty where none does."""
    if line.thing in PAGES:
        return reverse(f"web:{PAGES[line.thing]}", args=[line.key])
    return reverse(f"web:{SHARED_PAGES[line.thing]}") if line.thing in SHARED_PAGES else ""


def _asked(given: QueryDict, yard: Yard, people: list[Member]) -> Asked:
    """Read the address. A person, a kind or an order that there is not narrows nothing."""
    days: dict[str, date | None] = {}
    refused = None
    for name in ("since", "until"):
        days[name] = day_asked(given, name)
        if given.get(name) and days[name] is None:
            refused = Refused(name, "is no day", "give one like 2027-05-01")
    since, until = days["since"], days["until"]
    by = Narrowed(
        person=row_asked(given, "person", people),
        kind=word_asked(given, "kind", KINDS),
        since=None if since is None else datetime.combine(since, time.min, yard.zone),
        until=None if until is None else datetime.combine(until + timedelta(days=1), time.min, yard.zone),
        order=word_asked(given, "order", ORDERS, "newest"),
    )
    return Asked(by, since, until, query_without(given, "after"), refused)


__all__ = ["audit", "spreadsheet"]
