"""The season page of 300 boats in the midst of their spring, against bare Django pages on the same server."""

from __future__ import annotations

import http.client
from functools import partial
from pathlib import Path

import pytest
from django.db import connection
from django.utils import timezone

from tests.bench.bare_pages import CELLS
from tests.bench.measuring import in_turns, ratio, report
from tests.bench.serving import SERVER, served
from tests.bench.spring_fleet import SpringFleet
from tests.processes import LOCALHOST
from tests.queries import queries_of
from tests.web.visitor import Visitor
from yard.models import Member

pytestmark = [pytest.mark.bench, pytest.mark.django_db(transaction=True)]

ROUNDS, WARM_UP = 60, 6
BOATS, ENTRIES, FINDINGS = 300, 30_000, 3_000
BOUND = 4.0
SEASON, TABLE, WORD = "the season page", "a bare table of the boats", "a bare page with a word"


class Browser:
    """Somebody who is signed in, over HTTP."""

    def __init__(self, port: int, member: Member) -> None:
        self.port = port
        self.cookie = f"sessionid={Visitor(member).client.cookies['sessionid'].value}"

    def get(self, address: str) -> str:
        link = http.client.HTTPConnection(LOCALHOST, self.port, timeout=60)
        try:
            link.request("GET", address, headers={"Cookie": self.cookie})
            answer = link.getresponse()
            text = answer.read().decode()
        finally:
            link.close()
        assert answer.status == 200, (answer.status, text)
        return text


def test_the_season_against_bare_pages(tmp_path: Path) -> None:
    now = timezone.now()
    fleet = SpringFleet(at=now)
    fleet.grow(BOATS)
    with connection.cursor() as cursor:  # what a database does by itself, sooner or later
        cursor.execute("VACUUM ANALYZE" if connection.vendor == "postgresql" else "ANALYZE")
    assert (fleet.entries, fleet.findings) >= (ENTRIES, FINDINGS)
    page = f"/season/{now.year}/"
    queries = len(queries_of(partial(Visitor(fleet.manager).page, page)))
    with served(tmp_path / "fleet") as port:
        browser = Browser(port, fleet.manager)
        assert browser.get(page).count('<span class="cell-name">Blocks her</span>') == BOATS
        assert browser.get("/bare/table/").count("<td>") == BOATS * len(CELLS)
        assert fleet.manager.user.username in browser.get("/bare/word/")
        seconds = in_turns(
            {
                SEASON: partial(browser.get, page),
                TABLE: partial(browser.get, "/bare/table/"),
                WORD: partial(browser.get, "/bare/word/"),
            },
            rounds=ROUNDS,
            warm_up=WARM_UP,
        )
    report(
        "season",
        seconds,
        [
            ratio("95 % of the pages, to a bare table", seconds, of=SEASON, to=TABLE, bound=BOUND, percent=95),
            ratio("95 % of the pages, to a word", seconds, of=SEASON, to=WORD, percent=95),
        ],
        facts={
            "boats": BOATS,
            "entries": fleet.entries,
            "findings": fleet.findings,
            "queries": queries,
            "server": SERVER,
        },
    )
