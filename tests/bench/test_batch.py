"""A batch of 60 entries with 10 findings through the real API, against a bare view on the same server."""

from __future__ import annotations

import http.client
import json
import os
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.utils import timezone

from tests.bench.bare_models import PLAIN, tables_drop, tables_make
from tests.bench.batches import ENTRIES, FINDINGS, aboard
from tests.bench.measuring import in_turns, ratio, report
from tests.bench.serving import SERVER, served
from tests.processes import LOCALHOST

pytestmark = [pytest.mark.bench, pytest.mark.django_db(transaction=True)]

ROUNDS, WARM_UP = 40, 8
SERVICE, OWN_TABLES, PLAIN_TABLES = "the service", "bare view, own tables", "bare view, plain tables"


@pytest.fixture
def plain_tables() -> Iterator[None]:
    with connection.schema_editor() as editor:
        tables_make(editor)
    yield
    with connection.schema_editor() as editor:
        tables_drop(editor)


@pytest.fixture
def port(tmp_path: Path, plain_tables: None) -> Iterator[int]:
    with served(tmp_path / "fleet") as where:
        yield where


def post(port: int, address: str, body: bytes, key: str = "") -> Any:
    headers = {"Content-Type": "application/json"} | ({"Authorization": f"Bearer {key}"} if key else {})
    link = http.client.HTTPConnection(LOCALHOST, port, timeout=60)
    try:
        link.request("POST", address, body, headers)
        answer = link.getresponse()
        text = answer.read()
    finally:
        link.close()
    assert answer.status == 200, text
    return json.loads(text)


def written() -> dict[str, int]:
    """How many rows there are of each kind that a batch writes."""
    return {str(model._meta.model_name): model._default_manager.count() for model in PLAIN}


def test_a_batch_against_a_bare_view(port: int) -> None:
    boat = aboard(timezone.now())

    def service() -> bytes:
        return json.dumps({"entries": boat.batch()}).encode()

    def bare() -> bytes:
        return json.dumps(boat.for_bare_view(boat.batch())).encode()

    def by_service(body: bytes) -> None:
        results = post(port, boat.address, body, boat.key)["results"]
        assert [result["outcome"] for result in results] == ["stored"] * ENTRIES, results

    def by_bare_view(address: str, body: bytes) -> None:
        assert post(port, address, body)["stored"] == of_a_batch

    ways: dict[str, tuple[Callable[[bytes], None], Callable[[], bytes]]] = {
        SERVICE: (by_service, service),
        OWN_TABLES: (partial(by_bare_view, "/bare/own-tables/"), bare),
        PLAIN_TABLES: (partial(by_bare_view, "/bare/plain-tables/"), bare),
    }
    # All write as many rows as the service does for a batch: the bare views are held to it at every answer.
    before = written()
    by_service(service())
    of_a_batch = {name: number - before[name] for name, number in written().items()}
    assert (of_a_batch["entry"], of_a_batch["finding"]) == (ENTRIES, FINDINGS)

    bodies = {way: [make() for _ in range(WARM_UP + ROUNDS)] for way, (_, make) in ways.items()}
    seconds = in_turns(
        {way: partial(_send_next, send, bodies[way]) for way, (send, _) in ways.items()},
        rounds=ROUNDS,
        warm_up=WARM_UP,
    )
    assert written()["entry"] == before["entry"] + ENTRIES * (1 + 2 * (WARM_UP + ROUNDS))
    report(
        "batch",
        seconds,
        [
            ratio("60 entries with 10 findings", seconds, of=SERVICE, to=OWN_TABLES, bound=3),
            ratio("the same against plain tables", seconds, of=SERVICE, to=PLAIN_TABLES, bound=3),
        ],
        facts={
            "rows of a batch": sum(of_a_batch.values()),
            "server": SERVER,
            "broker": "yes" if os.environ.get("CELERY_BROKER_URL") else "no",
        },
    )


def _send_next(send: Callable[[bytes], None], bodies: list[bytes]) -> None:
    send(bodies.pop())
