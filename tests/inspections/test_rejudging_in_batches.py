"""A large yard is judged again batch by batch: the same judgements, and questions that grow with the batches."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
import time_machine

from inspections.handlers import rejudge_one_batch
from inspections.judgement.rules import load_rules
from inspections.models import Assessment, Entry
from inspections.services import assessments
from inspections.services.asking import REJUDGE_BATCH, REJUDGE_YARD
from inspections.services.assessments import batches_to_rejudge, entries_to_rejudge, rejudge_yard
from inspections.services.rechecks import learned_rates
from tests.inspections.scenes import Scene, scene
from tests.queries import queries_of
from yard.models import ComponentClass, OutboxRow
from yard.outbox import drain
from yard.outbox.nightly import nightly_rows_write
from yard.selectors import today_at

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

NIGHT = timedelta(days=1)


def batches_of(size: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(assessments, "BATCH", size)


def graver(ours: Scene) -> None:
    """What every judgement of the yard has to be made anew for."""
    ComponentClass.objects.of_yard(ours.yard).update(safety_role="rig")


def test_every_entry_is_in_one_batch_and_no_batch_is_too_large(
    ours: Scene, theirs: Scene, spring: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    sister = scene(spring, ours.yard)
    for one, findings in ((ours, 4), (sister, 5), (theirs, 2)):
        one.store(*(one.finding() for _ in range(findings)), one.not_seen(one.moisture))
    batches_of(3, monkeypatch)
    held = [
        list(Entry.objects.of_yard(ours.yard).filter(batch.holds()).values_list("pk", flat=True))
        for batch in batches_to_rejudge(yard=ours.yard)
    ]
    assert [len(batch) for batch in held] == [3, 3, 3, 2]
    entries = Entry.objects.of_yard(ours.yard).values_list("pk", flat=True)
    assert sorted(pk for batch in held for pk in batch) == sorted(entries)


def test_batches_come_to_the_same_judgements_as_the_whole(
    ours: Scene, spring: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    sister = scene(spring, ours.yard)
    for one in (ours, sister):
        one.store(*(one.finding(size_mm=str(size)) for size in (5, 40, 90)), one.not_seen(one.moisture))
    said = []
    for size in (2, 100):
        batches_of(size, monkeypatch)
        assert rejudge_yard(yard=ours.yard, at=ours.at + NIGHT) == 8
        said.append(
            list(
                Assessment.objects.filter(superseded_at__isnull=True)
                .order_by("entry")
                .values_list("entry", "document", "inputs_digest", "due_back_on")
            )
        )
        graver(ours)
        rejudge_yard(yard=ours.yard, at=ours.at + NIGHT)
        ComponentClass.objects.of_yard(ours.yard).update(safety_role="watertightness")
    assert said[0] == said[1]
    assert len(said[0]) == 8


def test_the_questions_grow_with_the_batches_and_not_with_the_findings(
    ours: Scene, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: dict[tuple[int, int], int] = {}
    for findings in (10, 15, 20):
        ours.store(*(ours.finding() for _ in range(findings - Entry.objects.count())))
        for size in (5, 10, 20):
            batches_of(size, monkeypatch)
            rejudge_yard(yard=ours.yard, at=ours.at + NIGHT)
            asked[findings, size] = len(queries_of(lambda: rejudge_yard(yard=ours.yard, at=ours.at + NIGHT)))
    assert asked[20, 5] - asked[15, 5] == asked[15, 5] - asked[10, 5] > 0
    assert asked[20, 20] == asked[10, 20] == asked[10, 10]
    assert asked[20, 10] == asked[10, 5]


def test_writing_too_asks_by_batch(ours: Scene, monkeypatch: pytest.MonkeyPatch) -> None:
    ours.store(*(ours.finding() for _ in range(10)))
    rejudge_yard(yard=ours.yard, at=ours.at + NIGHT)
    asked = {}
    for findings, size in ((10, 5), (20, 10)):
        ours.store(*(ours.finding() for _ in range(findings - Entry.objects.count())))
        batches_of(100, monkeypatch)
        rejudge_yard(yard=ours.yard, at=ours.at + NIGHT)
        graver(ours) if size == 5 else ComponentClass.objects.update(safety_role="watertightness")
        batches_of(size, monkeypatch)
        before = Assessment.objects.count()
        # What the yard has learned is read once a day, not once a batch.
        learned_rates(yard=ours.yard, today=today_at(ours.yard, ours.at + 2 * NIGHT), rules=load_rules())
        asked[size] = len(queries_of(lambda: rejudge_yard(yard=ours.yard, at=ours.at + 2 * NIGHT)))
        assert Assessment.objects.count() == before + findings
    assert asked[5] == asked[10]


def test_the_worker_takes_a_large_yard_batch_by_batch(
    ours: Scene, theirs: Scene, monkeypatch: pytest.MonkeyPatch
) -> None:
    ours.store(*(ours.finding() for _ in range(7)))
    theirs.store(theirs.finding())
    rejudge_yard(yard=ours.yard, at=ours.at)
    graver(ours)
    batches_of(3, monkeypatch)
    nightly_rows_write(now=ours.at + NIGHT)
    night = OutboxRow.objects.get(task=REJUDGE_YARD, yard=ours.yard, done_at__isnull=True)
    OutboxRow.objects.exclude(pk=night.pk).update(done_at=ours.at)
    drain(now=night.not_before)
    batches = OutboxRow.objects.filter(task=REJUDGE_BATCH)
    assert [(row.yard_id, row.done_at is not None) for row in batches] == [(ours.yard.pk, True)] * 3
    standing = Assessment.objects.filter(superseded_at__isnull=True)
    assert set(standing.values_list("yard", "severity")) == {(ours.yard.pk, 2)}
    assert standing.count() == 7


def test_a_batch_that_was_read_on_another_day_is_judged_as_of_this_one(ours: Scene) -> None:
    ours.store(ours.finding(), ours.finding())
    (batch,) = batches_to_rejudge(yard=ours.yard)
    rejudge_yard(yard=ours.yard, at=ours.at)
    first, last = ((key, str(entry)) for key, entry in (batch.first, batch.last))
    with time_machine.travel(ours.at, tick=False):
        finish = rejudge_one_batch(ours.yard.pk, first, last)
    graver(ours)  # after it was read: nothing had changed then
    finish(ours.at + timedelta(minutes=1))
    assert Assessment.objects.count() == 2
    finish(ours.at + NIGHT)
    assert Assessment.objects.count() == 4
    assert entries_to_rejudge(yard=ours.yard, batch=batch, at=ours.at + NIGHT) == []
