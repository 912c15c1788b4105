"""Many tablets at once, and large batches: nothing lost, nothing doubled, no more questions for more entries."""

import threading
from collections import Counter
from collections.abc import Callable
from datetime import timedelta
from functools import partial
from typing import Any

import pytest
from django.db import connection
from django.db.models import QuerySet

from inspections.models import Entry, Finding, Reading, SetAside, StepEntry
from inspections.services.entries import EntryResult
from inspections.services.inspections import inspection_close, inspection_open
from tests.factories import ComponentFactory
from tests.factories.inspections import made_id
from tests.inspections.scenes import Scene, scene
from tests.queries import queries_of
from yard.models import DeviceToken, OutboxRow, Spot
from yard.services.device_codes import device_code_make, device_code_use
from yard.tag_codes import tag_new

with_real_transactions = [pytest.mark.django_db(transaction=True), pytest.mark.both_databases]


def at_once(*actions: Callable[[], None]) -> None:
    """Run actions in threads of their own with connections of their own, starting together."""
    start = threading.Barrier(len(actions))
    wrong: list[BaseException] = []

    def run(action: Callable[[], None]) -> None:
        try:
            start.wait(10)
            action()
        except BaseException as error:
            wrong.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(action,)) for action in actions]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert wrong == []


def close(one: Scene) -> None:
    inspection_close(inspection=one.inspection, at=one.at, by=one.manager)


class TestTabletsAtOnce:
    pytestmark = with_real_transactions

    def test_the_same_batch_of_two_tablets_with_steps_is_kept_once(self, ours: Scene) -> None:
        step = {
            "id": str(made_id(900_001)),
            "step": ours.inspection.opening_steps.get().pk,
            "outcome": "done",
            "observed_at": ours.at.isoformat(),
            "sequence": 1,
        }
        batch = [ours.finding(sequence=3), step, ours.wet(sequence=2)]
        results: list[list[str]] = []

        def send() -> None:
            results.append([result.outcome for result in ours.submit(*batch)])

        at_once(send, send)
        assert sorted(results) == [["already_there"] * 3, ["stored"] * 3]
        assert (Entry.objects.count(), StepEntry.objects.count(), Spot.objects.count()) == (2, 1, 1)

    def test_a_device_code_lets_one_of_two_tablets_in(self, ours: Scene) -> None:
        _, code = device_code_make(by=ours.manager, device_name="tablet 2", at=ours.at)
        let_in: list[bool] = []
        at_once(*[lambda: let_in.append(device_code_use(code=code, at=ours.at) is not None)] * 2)
        assert sorted(let_in) == [False, True]
        assert DeviceToken.objects.filter(shared=True).count() == 1

    def test_overlapping_batches_of_one_boat_lose_and_double_nothing(self, ours: Scene) -> None:
        sheets = [ours.finding() if number % 3 == 0 else ours.sound() for number in range(30)]
        corrected = ours.finding(spot={"id": sheets[0]["spot"]["id"]}, supersedes=sheets[0]["id"])
        batches = [sheets[:20], sheets[10:], [*sheets[5:25], corrected], list(reversed(sheets))]
        results: dict[int, list[EntryResult]] = {}

        def send(number: int, batch: list[dict[str, Any]]) -> Callable[[], None]:
            def action() -> None:
                results[number] = ours.submit(*batch)

            return action

        at_once(*(send(number, batch) for number, batch in enumerate(batches)))
        # Whoever came first stored it; for the others it was there already. Only the correction may have come
        # before what it corrects, and is then refused and sent again.
        outcomes = Counter(result.outcome for batch in results.values() for result in batch)
        again = ours.submit(corrected)[0].outcome
        assert again in ("stored", "already_there")
        assert outcomes["stored"] + (again == "stored") == 31
        assert outcomes["refused"] == (again == "stored")
        assert outcomes["set_aside"] == 0
        assert set(map(str, Entry.objects.values_list("pk", flat=True))) == {
            sheet["id"] for sheet in [*sheets, corrected]
        }
        assert Finding.objects.count() == Spot.objects.count() == 10
        assert OutboxRow.objects.filter(task="inspections.assess").count() == 11

    def test_the_same_new_spot_from_two_tablets_is_one(self, ours: Scene) -> None:
        first, second = ours.finding(), ours.finding()
        second["spot"] = dict(first["spot"])
        at_once(lambda: ours.store(first), lambda: ours.store(second))
        assert Spot.objects.count() == 1
        assert Finding.objects.filter(spot=first["spot"]["id"]).count() == 2

    def test_the_same_id_for_two_boats_is_stored_for_one_of_them(self, ours: Scene) -> None:
        sister = scene(ours.at, ours.yard)
        mine, hers = ours.sound(), sister.sound()
        hers["id"] = mine["id"]
        outcomes: list[str] = []
        at_once(
            lambda: outcomes.append(ours.submit(mine)[0].outcome),
            lambda: outcomes.append(sister.submit(hers)[0].outcome),
        )
        assert sorted(outcomes) == ["refused", "stored"]
        assert Entry.objects.count() == 1

    def test_the_same_sticker_on_two_boats_is_on_one_of_them(self, ours: Scene) -> None:
        sister = scene(ours.at, ours.yard)
        tag = tag_new()
        mine, hers = ours.finding(), sister.finding()
        mine["spot"]["tag"] = hers["spot"]["tag"] = tag
        results: list[EntryResult] = []
        at_once(lambda: results.extend(ours.submit(mine)), lambda: results.extend(sister.submit(hers)))
        assert sorted(result.outcome for result in results) == ["refused", "stored"]
        assert [result.refusals[0].field for result in results if result.refusals] == ["spot.tag"]
        assert Spot.objects.filter(tag=tag).count() == 1

    def test_an_entry_that_meets_the_closing_is_stored_or_set_aside(self, ours: Scene) -> None:
        ours.store(ours.sound(), ours.wet())
        late = ours.finding()
        results: list[EntryResult] = []
        at_once(
            lambda: results.extend(ours.submit(late)),
            lambda: close(ours),
        )
        (result,) = results
        kept: dict[str, QuerySet[Any]] = {
            "stored": Entry.objects.filter(pk=late["id"]),
            "set_aside": SetAside.objects.filter(entry_id=late["id"]),
        }
        assert kept[result.outcome].count() == 1
        assert sum(rows.count() for rows in kept.values()) == 1

    def test_two_clicks_open_one_inspection(self, ours: Scene) -> None:
        from yard.refusals import Refused

        refused: list[str] = []

        def open_it() -> None:
            try:
                inspection_open(boat=ours.boat, season_year=2028, at=ours.at + timedelta(days=340), by=None)
            except Refused as refusal:
                refused.append(refusal.field)

        at_once(open_it, open_it, open_it)
        assert refused == ["season_year", "season_year"]
        assert ours.boat.inspections.filter(season_year=2028).count() == 1


def batch_of(one: Scene, number: int) -> list[dict[str, Any]]:
    """Findings at new spots with readings and photos, corrections of them, places not seen, sound places."""
    sheets: list[dict[str, Any]] = []
    for position in range(number):
        reading = {"quantity": "moisture_beside", "value": "14", "unit": "pct"}
        photos = [f"{one._made:064x}", f"{one._made + 1_000_000:064x}"]
        if position % 6 == 0:
            sheets.append(one.finding(readings=[reading], photos=photos))
        elif position % 10 == 9:
            sheets.append(one.not_seen())
        elif position % 10 == 7:
            before = sheets[6 * (position // 10)]
            sheets.append(one.sound(supersedes=before["id"]))
        else:
            sheets.append(one.wet())
    return sheets


def submit_into(results: list[EntryResult], one: Scene, sheets: list[dict[str, Any]]) -> None:
    results += one.submit(*sheets)


@pytest.mark.django_db
@pytest.mark.both_databases
def test_a_batch_of_60_asks_no_more_than_a_batch_of_10(ours: Scene) -> None:
    counted: dict[int, list[str]] = {}
    earlier: list[dict[str, Any]] = [ours.finding(), ours.not_seen()]
    for number in (10, 60):
        ours.store(*earlier)
        sheets = [*batch_of(ours, number), *(ours.sound(supersedes=sheet["id"]) for sheet in earlier)]
        results: list[EntryResult] = []
        counted[number] = queries_of(partial(submit_into, results, ours, sheets))
        assert [result.outcome for result in results] == ["stored"] * len(sheets)
        OutboxRow.objects.update(done_at=ours.at)
        earlier = [ours.finding(), ours.not_seen()]
    few, many = counted[10], counted[60]
    # SQLite takes 999 values in a statement, so that its INSERTs of many rows are cut into several.
    asked = [statement for statement in many if not statement.startswith("INSERT")]
    assert len(asked) == len([statement for statement in few if not statement.startswith("INSERT")])
    if connection.vendor == "postgresql":
        assert len(many) == len(few)
    assert len(few) <= 35
    assert Reading.objects.count() > 40


@pytest.mark.django_db
def test_sending_again_asks_even_less(ours: Scene) -> None:
    sheets = batch_of(ours, 60)
    first = queries_of(lambda: ours.store(*sheets))
    again = queries_of(lambda: ours.submit(*sheets))
    assert len(again) < len(first)
    assert not [statement for statement in again if statement.startswith(("INSERT", "UPDATE"))]


@pytest.mark.django_db
def test_a_batch_of_many_components_asks_no_more(ours: Scene) -> None:
    components = [
        ComponentFactory.create(boat=ours.boat, component_class=ours.component.component_class, name=f"frame {n}")
        for n in range(20)
    ]

    def batch(number: int) -> list[dict[str, Any]]:
        sheets = []
        for component in components[:number]:
            sheet = ours.finding()
            del sheet["check"]
            sheets.append({**sheet, "component": component.pk})
        return sheets

    two, twenty = batch(2), batch(20)
    few = queries_of(lambda: ours.store(*two))
    many = queries_of(lambda: ours.store(*twenty))
    assert len(many) == len(few)
