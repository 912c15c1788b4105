"""The findings queue: what was found, the most urgent first, with what the office has made of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import reduce
from operator import or_
from typing import Any, Final
from uuid import UUID

from django.db.models import Exists, F, OuterRef, Q, QuerySet

from inspections.models import Entry, Finding, FindingJoin, SecondLookAsk, Sign
from inspections.selectors.findings import findings_with_judgement
from inspections.selectors.second_looks import second_looks
from inspections.services.second_look_asks import asks_not_answered
from workshop.models import Job, Operation, Treatment
from workshop.services.quote_words import place_of
from yard.models import Boat, ComponentClass, Yard
from yard.words import with_words

SHOWS: Final = ("new", "open", "all")
ORDERS: Final[dict[str, tuple[str, tuple[Any, ...]]]] = {
    "urgent": ("the most urgent first", ("urgency", F("standing_due_back_on").asc(nulls_last=True), "pk")),
    "due": ("the earliest day first", (F("standing_due_back_on").asc(nulls_last=True), "urgency", "pk")),
    "newest": ("the newest first", ("-found_at", "-pk")),
    "oldest": ("the oldest first", ("found_at", "pk")),
    "boat": ("by boat", ("boat__name", "boat", "urgency", F("standing_due_back_on").asc(nulls_last=True), "pk")),
}
TEXTS: Final = ("boat__name", "component__name", "component__position", "spot__name", "spot__tag", "entry__note",
                "entry__elsewhere")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Narrowed:
    """What the queue is narrowed to; what is empty narrows nothing.

    Args:
        show: new, open or all.
        priority: a code, or `unjudged`.
        since: told, judged or ended at this moment or later.
        text: each of its words stands in the boat's name, the place or the note.
    """

    show: str = "open"
    boat: Boat | None = None
    priority: str = ""
    component_class: ComponentClass | None = None
    state: str = ""
    no_job: bool = False
    since: datetime | None = None
    text: str = ""


@dataclass(frozen=True, slots=True)
class QueueLine:
    """A finding as the queue tells it.

    Args:
        finding: with its judgement (`findings_with_judgement`).
        place: in words.
        signs: in the yard's words.
        days: since it was found.
        advised: names of treatments, in the order of work.
        jobs: that serve it and were not dropped.
        doubt: why its judgement asks for a second look; empty where it doesn't.
        asked: for a second look, and not answered.
        alike: open findings at the same spot, or with the same sign at the same part.
        joined_to: the finding that speaks for it.
    """

    finding: Any
    place: str
    signs: tuple[str, ...]
    days: int
    advised: tuple[str, ...]
    jobs: tuple[Job, ...]
    doubt: str
    asked: SecondLookAsk | None
    alike: tuple[UUID, ...]
    joined_to: UUID | None


def findings_queue(yard: Yard, by: Narrowed) -> QuerySet[Any]:
    """The findings that fit, in no particular order; see `ORDERS`."""
    served = Operation.objects.filter(finding=OuterRef("pk")).exclude(job__state=Job.State.DROPPED)
    rows: QuerySet[Any] = findings_with_judgement(yard).annotate(has_job=Exists(served))
    if by.show == "new":
        rows = rows.filter(is_new=True)
    elif by.show == "open":
        rows = rows.filter(state__in=Finding.LASTING)
    if by.boat is not None:
        rows = rows.filter(boat=by.boat)
    if by.priority:
        rows = rows.filter(standing_priority=None if by.priority == "unjudged" else by.priority)
    if by.component_class is not None:
        rows = rows.filter(component__component_class=by.component_class)
    if by.state:
        rows = rows.filter(state=by.state)
    if by.no_job:
        rows = rows.filter(has_job=False)
    if by.since is not None:
        moments = ("entry__received_at", "judged__made_at", "overruled__made_at", "ended_at")
        rows = rows.filter(reduce(or_, (Q(**{f"{name}__gte": by.since}) for name in moments)))
    return with_words(rows, by.text, TEXTS)


def queue_lines(yard: Yard, findings: Sequence[Any], today: date) -> list[QueueLine]:
    """The findings in their order with all that is told of them, in a fixed number of queries."""
    keys = [finding.pk for finding in findings]
    names = dict(Sign.objects.of_yard(yard).values_list("code", "name"))
    treatments = dict(Treatment.objects.of_yard(yard).values_list("code", "name"))
    open_ones = [finding.pk for finding in findings if finding.ended_at is None]
    doubts, asked = second_looks(yard, open_ones), asks_not_answered(open_ones)
    jobs, alike = _jobs(keys), _alike(yard, findings)
    joined = dict(
        FindingJoin.objects.filter(joined__in=keys, undone_at__isnull=True).values_list("joined_id", "kept_id")
    )
    lines = []
    for finding in findings:
        judged = finding.standing_assessments
        codes = judged[0].treatments if judged else []
        entry: Entry = finding.entry
        lines.append(
            QueueLine(
                finding=finding,
                place=place_of(finding.component, entry.elsewhere, finding.spot),
                signs=tuple(names.get(code, code) for code in entry.signs),
                days=max(0, (today - finding.found_at.astimezone(yard.zone).date()).days),
                advised=tuple(treatments.get(code, code) for code in codes),
                jobs=jobs.get(finding.pk, ()),
                doubt=doubts.get(finding.pk, ""),
                asked=asked.get(finding.pk),
                alike=alike.get(finding.pk, ()),
                joined_to=joined.get(finding.pk),
            )
        )
    return lines


def _jobs(findings: Iterable[UUID]) -> dict[UUID, tuple[Job, ...]]:
    rows = Operation.objects.filter(finding__in=list(findings)).exclude(job__state=Job.State.DROPPED)
    found: dict[UUID, dict[int, Job]] = {}
    for operation in rows.select_related("job").order_by("job"):
        if operation.finding_id is not None:
            found.setdefault(operation.finding_id, {})[operation.job_id] = operation.job
    return {finding: tuple(jobs.values()) for finding, jobs in found.items()}


def _alike(yard: Yard, findings: Sequence[Any]) -> Mapping[UUID, tuple[UUID, ...]]:
    """By finding, what may be the same sign seen twice. Only open ones can be."""
    open_ones = [one for one in findings if one.ended_at is None and one.component_id is not None]
    rows = (
        Finding.objects.of_yard(yard)
        .filter(component__in={one.component_id for one in open_ones}, state__in=Finding.LASTING)
        .order_by("found_at", "pk")
        .values_list("pk", "component_id", "spot_id", "entry__signs")
    )
    at_part: dict[int | None, list[tuple[UUID, UUID | None, frozenset[str]]]] = {}
    for pk, component_id, spot_id, signs in rows:
        at_part.setdefault(component_id, []).append((pk, spot_id, frozenset(signs)))
    return {
        one.pk: tuple(
            pk
            for pk, spot_id, signs in at_part.get(one.component_id, ())
            if pk != one.pk and ((spot_id is not None and spot_id == one.spot_id) or signs & set(one.entry.signs))
        )
        for one in open_ones
    }


__all__ = ["ORDERS", "SHOWS", "Narrowed", "QueueLine", "findings_queue", "queue_lines"]
