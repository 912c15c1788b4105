"""The findings queue: what nobody has dealt with yet, by priority; several are ticked and dealt with at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.db import transaction
from django.http import HttpResponse, HttpResponseBase, HttpResponseRedirect, QueryDict
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inspections.judgement.vocabulary import Priority
from inspections.models import Finding, SetAside
from inspections.models.findings import FindingState
from inspections.selectors.findings import NEW
from inspections.services.acknowledging import findings_acknowledge
from inspections.services.asking import ask_for_assessment
from inspections.services.second_look_asks import second_look_ask
from web.base.downloads import CSV, download
from web.base.members import MemberRequest, for_managers, for_members
from web.base.pages import back_to_list, page
from web.office.findings_asked import UNJUDGED, Asked, asked_of
from workshop.report.findings_sheet import findings_csv
from workshop.selectors.findings_queue import ORDERS, QueueLine, findings_queue, queue_lines
from workshop.services.jobs_made import jobs_make
from workshop.services.quote_words import place_of
from yard.models import ComponentClass, Member, Yard
from yard.refusals import Refused
from yard.selectors import boats_named, today_at

LINES_A_PAGE: Final = 50
LINES_AT_ONCE: Final = 500
MOST_TICKED: Final = 200


@require_safe
@for_members
def findings(request: MemberRequest) -> HttpResponse:
    """What is new, what is open, or all; the address narrows and sorts it."""
    return _shown(request)


@require_safe
@for_members
def spreadsheet(request: MemberRequest) -> HttpResponseBase:
    """Every finding that is asked for, as CSV."""
    yard = request.member.yard
    asked = _asked(request)
    if asked.refused is not None:
        return _shown(request)
    today = today_at(yard, timezone.now())
    rows = findings_queue(yard, asked.by).order_by(*ORDERS[asked.order][1])

    def lines() -> Iterable[QueueLine]:
        for start in range(0, rows.count(), LINES_AT_ONCE):
            yield from queue_lines(yard, list(rows[start : start + LINES_AT_ONCE]), today)

    return download(findings_csv(lines(), yard).encode(), CSV, f"findings-{today.isoformat()}.csv")


@require_POST
@for_managers
def act(request: MemberRequest) -> HttpResponse:
    """Deal with the ticked ones, all or none of them."""
    given = request.POST
    ticked = ticked_findings(request.member.yard, given)
    try:
        if not ticked:
            raise Refused("findings", "none is ticked", "tick those that you mean")
        if len(ticked) > MOST_TICKED:
            raise Refused("findings", f"{len(ticked)} are ticked", f"tick at most {MOST_TICKED}")
        if given.get("how") == "join":
            return HttpResponseRedirect(doubles_address(finding.pk for finding in ticked))
        with transaction.atomic():
            told = _deal(given.get("how", ""), ticked, given, request.member)
    except Refused as refusal:
        return _shown(request, refused=refusal)
    messages.success(request, told)
    return back_to_list(request, "web:findings", "tick")


def doubles_address(findings: Iterable[UUID]) -> str:
    """Where these findings are compared and joined."""
    query = QueryDict(mutable=True)
    query.setlist("finding", [str(key) for key in findings])
    return f"{reverse('web:doubles')}?{query.urlencode()}"


def ticked_findings(yard: Yard, given: QueryDict) -> list[Finding]:
    """The yard's findings that a form or an address names, in the order in which they were found."""
    rows = Finding.objects.of_yard(yard).filter(pk__in=_keys(given)).select_related(
        "boat", "component", "spot", "inspection", "entry__component", "entry__spot", "entry__author"
    )  # fmt: skip
    return list(rows.order_by("found_at", "pk"))


def _deal(how: str, ticked: Sequence[Finding], given: Mapping[str, str], by: Member) -> str:
    """Do it, and say what was done."""
    now, many = timezone.now(), _many(len(ticked))
    if how == "seen":
        findings_acknowledge(findings=ticked, by=by, at=now)
        return f"{many} noted as seen."
    if how == "assess":
        ask_for_assessment([finding.entry_id for finding in ticked], yard=by.yard, at=now)
        return f"{many} judged again by the rules in a moment. Load the page again to see what came out."
    if how == "jobs":
        made = jobs_make(findings=ticked, by=by, at=now)
        jobs = f"{len(made.jobs)} job{'s' if len(made.jobs) != 1 else ''} made"
        return f"{jobs}; {made.served} had one already." if made.served else f"{jobs}."
    if how == "second_look":
        for finding in ticked:
            _ask_back(finding, given.get("note", ""), by)
        return f"{many} to be looked at again; it stands on the tablet once that has fetched the boat."
    raise Refused("how", "is not known", "use one of the buttons")


def _ask_back(finding: Finding, note: str, by: Member) -> None:
    try:
        second_look_ask(finding=finding, note=note, by=by, at=timezone.now())
    except Refused as refusal:
        if refusal.field == "note":
            raise
        place = place_of(finding.component, finding.entry.elsewhere, finding.spot)
        raise Refused("finding", f"{finding.boat.name}, {place}: {refusal.problem}", refusal.remedy) from refusal


def _many(findings: int) -> str:
    return f"{findings} finding{'s' if findings != 1 else ''}"


def _keys(given: QueryDict) -> set[UUID]:
    keys = set()
    for text in given.getlist("finding")[: MOST_TICKED + 1]:
        try:
            keys.add(UUID(text))
        except ValueError:
            continue
    return keys


def _asked(request: MemberRequest) -> Asked:
    yard = request.member.yard
    return asked_of(request.GET, yard, boats_named(yard, Finding), _classes(yard))


def _classes(yard: Yard) -> list[ComponentClass]:
    found = Finding.objects.of_yard(yard).order_by().values("component__component_class")
    return list(ComponentClass.objects.of_yard(yard).filter(pk__in=found).order_by("name", "pk"))


def _shown(request: MemberRequest, *, refused: Refused | None = None) -> HttpResponse:
    yard, given = request.member.yard, request.POST
    boats, classes = boats_named(yard, Finding), _classes(yard)
    asked = asked_of(request.GET, yard, boats, classes)
    today = today_at(yard, timezone.now())
    rows = findings_queue(yard, asked.by).order_by(*ORDERS[asked.order][1])
    sheet = Paginator(rows, LINES_A_PAGE).get_page(request.GET.get("page"))
    lines = queue_lines(yard, list(sheet), today)
    of_yard = Finding.objects.of_yard(yard)
    return page(
        request,
        "findings.html",
        {
            "here": "findings",
            "asked": asked,
            "sheet": sheet,
            "lines": lines,
            "ticked": {line.finding.pk for line in lines} if asked.all_ticked else _keys(given),
            "note": given.get("note", ""),
            "shows": [
                ("new", "New", of_yard.filter(NEW).count()),
                ("open", "Open", of_yard.filter(state__in=Finding.LASTING).count()),
                ("all", "All", of_yard.count()),
            ],
            "set_aside": SetAside.objects.of_yard(yard).filter(settled_at__isnull=True).count(),
            "boats": boats,
            "classes": classes,
            "priorities": [*((each.value, each.label) for each in Priority), (UNJUDGED, "not judged yet")],
            "states": FindingState.choices,
            "orders": [(key, told) for key, (told, _) in ORDERS.items()],
        },
        refused=refused or asked.refused,
    )


__all__ = ["act", "doubles_address", "findings", "spreadsheet", "ticked_findings"]
