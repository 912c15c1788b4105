"""A yard of 300 boats with 30,000 findings judged again by the worker, against one of 30 boats."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.db import connection

from inspections.judgement.assess import assess
from inspections.models import Assessment, Entry
from inspections.selectors.rules import rules_of
from inspections.services.asking import REJUDGE_BATCH, REJUDGE_YARD
from inspections.services.assessments import batches_to_rejudge
from inspections.services.fact_building import Facts, entries_to_judge, facts_of
from inspections.services.rechecks import learned_rates
from tests.bench.large_yard import LargeYard
from tests.bench.measuring import ratio, report
from yard.models import OutboxRow, Yard
from yard.outbox import run_row
from yard.outbox.nightly import nightly_rows_write
from yard.selectors import today_at

pytestmark = [pytest.mark.bench, pytest.mark.django_db]

FEW, MANY = 30, 300
NIGHT = datetime(2027, 4, 2, 1, 0, tzinfo=UTC)


@dataclass
class Counter:
    """How often the database is asked."""

    asked: int = 0

    def __call__(self, execute: Callable[..., Any], *args: Any) -> Any:
        self.asked += 1
        return execute(*args)


@dataclass
class Night:
    """What the worker took for all of a yard: to learn its rates and ask for the batches, and for each batch."""

    asking_seconds: float = 0.0
    seconds: list[float] = field(default_factory=list)
    queries: list[int] = field(default_factory=list)


def night(yard: Yard, now: datetime) -> Night:
    """The row of the night, and the rows of the batches that it asks for."""
    nightly_rows_write(now=now - timedelta(days=1))
    whole = OutboxRow.objects.get(task=REJUDGE_YARD, yard=yard, done_at__isnull=True)
    OutboxRow.objects.filter(pk=whole.pk).update(not_before=now)
    took = Night()
    with time_machine.travel(now, tick=True):
        begun = time.perf_counter()
        assert run_row(whole.pk, now=now)
        took.asking_seconds = time.perf_counter() - begun
        for row in OutboxRow.objects.filter(task=REJUDGE_BATCH, yard=yard, done_at__isnull=True).order_by("pk"):
            counter = Counter()
            with connection.execute_wrapper(counter):
                begun = time.perf_counter()
                assert run_row(row.pk, now=now)
                took.seconds.append(time.perf_counter() - begun)
            took.queries.append(counter.asked)
    assert not OutboxRow.objects.filter(task__in=[REJUDGE_YARD, REJUDGE_BATCH], yard=yard, done_at=None).exists()
    return took


def judging_alone(yard: Yard) -> list[float]:
    """The seconds that judging takes of each batch, with all that it needs already in memory."""
    rules, today, seconds = rules_of(yard), today_at(yard, NIGHT), []
    for batch in batches_to_rejudge(yard=yard):
        open_ones = Entry.objects.of_yard(yard).filter(batch.holds(), finding__state__in=["open", "watched"])
        entries = entries_to_judge(yard, open_ones.values_list("pk", flat=True))
        facts = [one for one in facts_of(yard, entries).values() if isinstance(one, Facts)]
        assert len(facts) == len(entries)
        begun = time.perf_counter()
        for one in facts:
            assess(one.finding, one.component, one.yard, today, rules)
        seconds.append(time.perf_counter() - begun)
    return seconds


def test_a_night_of_many_boats_through_the_worker() -> None:
    few, many = LargeYard(), LargeYard()
    few.grow(FEW)
    begun = time.perf_counter()
    many.grow(MANY)
    laid = time.perf_counter() - begun
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")  # a yard of this size was not laid a moment ago
    first = {yard.boats: night(yard.yard, NIGHT) for yard in (few, many)}
    assert Assessment.objects.filter(yard=many.yard, made_at=NIGHT).count() == many.findings
    quiet = {yard.boats: night(yard.yard, NIGHT + timedelta(days=1)) for yard in (few, many)}
    assert Assessment.objects.filter(yard=many.yard, made_at__gt=NIGHT).count() < many.findings / 100
    learned = learned_rates(yard=many.yard, today=today_at(many.yard, NIGHT), rules=rules_of(many.yard))
    batches = len(first[MANY].seconds)
    written, unchanged = sum(first[MANY].seconds), sum(quiet[MANY].seconds)
    seconds = {
        "a batch, all of it written": first[MANY].seconds,
        "a batch, nothing changed": quiet[MANY].seconds,
        "judging alone": judging_alone(many.yard),
    }
    report(
        "rejudging",
        seconds,
        [
            ratio("a batch that is written", seconds, of="a batch, all of it written", to="judging alone"),
            ratio("a batch without news", seconds, of="a batch, nothing changed", to="judging alone"),
        ],
        facts={
            "findings": many.findings,
            "batches": batches,
            "seconds, all written": round(written, 1),
            "findings a second, all written": round(many.findings / written),
            "seconds, nothing changed": round(unchanged, 1),
            "findings a second, nothing changed": round(many.findings / unchanged),
            f"queries a batch, written, of {FEW} and {MANY} boats": [_most(first[FEW]), _most(first[MANY])],
            f"queries a batch, nothing changed, of {FEW} and {MANY} boats": [_most(quiet[FEW]), _most(quiet[MANY])],
            "rates learned": len(learned),
            "seconds, learning and asking for the batches": round(first[MANY].asking_seconds, 1),
            "seconds, laying": round(laid, 1),
        },
    )
    # They grow with the batches: no batch of many boats asks more than the greediest of few.
    assert _most(quiet[MANY]) <= _most(quiet[FEW])
    assert _most(first[MANY]) <= _most(first[FEW])


def _most(night: Night) -> int:
    return max(night.queries)
