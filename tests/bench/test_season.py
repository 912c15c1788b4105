"""The season page of a yard with 300 boats, against that of one with 10."""

from __future__ import annotations

from functools import partial

import pytest

from tests.bench.measuring import in_turns, ratio, report
from tests.queries import queries_of
from tests.web.test_query_counts import Fleet
from tests.web.visitor import Visitor

pytestmark = [pytest.mark.bench, pytest.mark.django_db]

ROUNDS, WARM_UP = 20, 3
FEW, MANY = 10, 300
PAGE = "/season/2027/"


def test_a_season_of_many_boats_against_one_of_few() -> None:
    visitors, queries = {}, {}
    for boats in (FEW, MANY):
        fleet = Fleet()
        fleet.grow(boats)
        visitor = visitors[boats] = Visitor(fleet.manager)
        # The totals have a row header of their own.
        assert visitor.page(PAGE).count('<th role="rowheader" scope="row">') == boats + 1
        queries[boats] = len(queries_of(partial(visitor.page, PAGE)))
    seconds = in_turns(
        {f"{boats} boats": partial(visitor.page, PAGE) for boats, visitor in visitors.items()},
        rounds=ROUNDS,
        warm_up=WARM_UP,
    )
    report(
        "season",
        seconds,
        [ratio("the season page", seconds, of=f"{MANY} boats", to=f"{FEW} boats")],
        facts={f"queries for {boats} boats": number for boats, number in queries.items()},
    )
