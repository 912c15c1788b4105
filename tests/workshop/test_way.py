"""How far a boat is, and what blocks her."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import pytest

from workshop.planning.way import (
    STAGES,
    Blocker,
    BoatFacts,
    HoldFacts,
    JobFacts,
    QuoteFacts,
    Stage,
    blocks_of,
    is_clear,
    stage_of,
)

TODAY = date(2027, 4, 12)
BOOKED = BoatFacts(decider="Ida Holm", launch_on=date(2027, 5, 1))
OPENED = replace(BOOKED, opened=True, steps=3, steps_said=1, checks=9)
LOOKED_AT = replace(OPENED, steps_said=3, answered=9, closed=True)
SENT = QuoteFacts(number=7, sent=True, since=TODAY - timedelta(days=4), jobs=3, decided=1, questions=0)
DRAFT = replace(SENT, sent=False, decided=0)


def told(boat: BoatFacts) -> list[str]:
    return [block.told for block in blocks_of(boat, TODAY)]


# A spring, step by step: what is known of her, how far she is, what blocks her.
SPRING: list[tuple[BoatFacts, Stage, list[str]]] = [
    (BOOKED, Stage.BOOKED, ["inspection to be opened"]),
    (
        replace(OPENED, steps_said=0),
        Stage.BOOKED,
        ["3 steps of opening up to do", "9 checks to answer"],
    ),
    (
        replace(OPENED, answered=8, not_seen=2),
        Stage.OPENED_UP,
        ["2 steps of opening up to do", "1 check to answer", "2 places not seen"],
    ),
    (replace(OPENED, steps_said=0, answered=8), Stage.OPENED_UP, ["1 check to answer"]),
    (
        replace(OPENED, answered=9, photos_missing=1),
        Stage.OPENED_UP,
        ["1 photo not here yet"],
    ),
    (replace(OPENED, answered=9), Stage.OPENED_UP, ["inspection to be closed"]),
    (replace(LOOKED_AT, unjudged=2), Stage.INSPECTED, ["2 findings not judged yet"]),
    (replace(LOOKED_AT, jobs=JobFacts(proposed=1)), Stage.JUDGED, ["1 job to be quoted"]),
    (replace(LOOKED_AT, jobs=JobFacts(proposed=3), quotes=(DRAFT,)), Stage.JUDGED, ["quote 7 to be sent"]),
    (
        replace(LOOKED_AT, quotes=(SENT,)),
        Stage.QUOTED,
        ["quote 7 has waited 4 days: Ida Holm to decide on 2 of 3"],
    ),
    (
        replace(LOOKED_AT, quotes=(replace(SENT, since=TODAY, decided=0, questions=1),)),
        Stage.QUOTED,
        ["1 question to be answered", "quote 7 went out today: Ida Holm to decide on 3 of 3"],
    ),
    (
        replace(
            LOOKED_AT,
            jobs=JobFacts(approved=2),
            holds=(HoldFacts("a tool", TODAY + timedelta(days=3)), HoldFacts("a tool", TODAY + timedelta(days=9))),
        ),
        Stage.DECIDED,
        ["holds: a tool, expected in 3 days", "2 jobs to be done"],
    ),
    (replace(LOOKED_AT, jobs=JobFacts(approved=1, stopped=1)), Stage.IN_WORK, ["2 jobs to be done"]),
    (replace(LOOKED_AT, jobs=JobFacts(done=1, verified=1)), Stage.IN_WORK, ["1 job to be verified"]),
    (replace(LOOKED_AT, jobs=JobFacts(verified=2)), Stage.VERIFIED, []),
    (replace(LOOKED_AT, afloat_on=TODAY, jobs=JobFacts(verified=2)), Stage.AFLOAT, []),
]


@pytest.mark.parametrize(("boat", "stage", "blocks"), SPRING)
def test_a_spring_step_by_step(boat: BoatFacts, stage: Stage, blocks: list[str]) -> None:
    assert (stage_of(boat), told(boat)) == (stage, blocks)


def test_a_spring_never_goes_back() -> None:
    stages = [STAGES.index(stage_of(boat)) for boat, _, _ in SPRING]
    assert all(before <= after for before, after in pairwise(stages))
    assert set(stages) == set(range(len(STAGES)))


@pytest.mark.parametrize(
    ("known", "stage", "blocks"),
    [
        # Nothing came of what was found: she is ready as soon as all is judged.
        ({}, Stage.VERIFIED, []),
        # An addendum is out while the work goes on: the work is what she is at.
        (
            {"jobs": JobFacts(in_work=1), "quotes": (SENT,)},
            Stage.IN_WORK,
            ["quote 7 has waited 4 days: Ida Holm to decide on 2 of 3", "1 job to be done"],
        ),
        # Everything of the first quote is verified; what a later one asks leads her back to it.
        (
            {"jobs": JobFacts(verified=2), "quotes": (SENT,)},
            Stage.QUOTED,
            ["quote 7 has waited 4 days: Ida Holm to decide on 2 of 3"],
        ),
        ({"set_aside": 1}, Stage.VERIFIED, ["1 entry set aside"]),
        ({"launch_on": TODAY - timedelta(days=1)}, Stage.VERIFIED, ["launch day passed 1 day ago"]),
        ({"launch_on": TODAY}, Stage.VERIFIED, []),
        (
            {"afloat_on": TODAY, "launch_on": TODAY - timedelta(days=9), "before_launch": 2},
            Stage.AFLOAT,
            ["2 findings were to be put right before launch"],
        ),
        (
            {"jobs": JobFacts(approved=1), "holds": (HoldFacts("dry wood", TODAY - timedelta(days=1)),)},
            Stage.DECIDED,
            ["holds: dry wood, expected 1 day ago", "1 job to be done"],
        ),
    ],
)
def test_what_does_not_go_straight(known: dict[str, Any], stage: Stage, blocks: list[str]) -> None:
    boat = replace(LOOKED_AT, **known)
    assert (stage_of(boat), told(boat)) == (stage, blocks)


def test_places_not_seen_are_told_and_keep_no_boat_ashore() -> None:
    blocks = blocks_of(replace(LOOKED_AT, not_seen=1), TODAY)
    assert [block.kind for block in blocks] == [Blocker.NOT_SEEN]
    assert is_clear(blocks)
    assert not is_clear(blocks_of(replace(LOOKED_AT, not_seen=1, set_aside=1), TODAY))
