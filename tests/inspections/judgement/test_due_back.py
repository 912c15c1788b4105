"""The day by which somebody must be back: launch, lay-up, intervals and their caps, working days, overdue."""

from datetime import date
from math import inf, prod
from typing import Any

import pytest

from inspections.judgement.assess import work_out
from inspections.judgement.due_back import look_again_on, look_interval
from inspections.judgement.facts import YardFacts
from inspections.judgement.likelihood import rates_of
from inspections.judgement.phase_type import failure_probability
from inspections.judgement.rules import load_rules
from inspections.judgement.vocabulary import Condition, DueBackKind
from tests.inspections.judgement.builders import (
    LAUNCH_ON,
    LAYUP_ON,
    YARD,
    a_component,
    a_finding,
    judged,
    lines_of,
    moisture,
)

C = Condition
SERIOUS: dict[str, Any] = {"load": "cyclic", "in_load_path": True, "moves": "yes"}
DRIVEN: dict[str, Any] = {"seal": "open", "water": "rain"}
STANDS: dict[str, Any] = {"seal": "open"}
RARELY = a_component(recheck_months=36, open_up_months=60)


def test_before_launch_is_the_last_working_day_before_it() -> None:
    # 1 May 2027 is a Saturday
    judgement = judged(a_finding(C.JOINT_MOVES, **SERIOUS))
    assert (judgement.due_back_on, judgement.due_back_kind) == (date(2027, 4, 30), DueBackKind.PUT_RIGHT)
    monday_launch = YardFacts(date(2027, 5, 3), LAYUP_ON)
    assert judged(a_finding(C.JOINT_MOVES, **SERIOUS), yard=monday_launch).due_back_on == date(2027, 4, 30)


def test_this_season_is_by_lay_up_where_the_part_is_not_looked_at_sooner() -> None:
    judgement = judged(a_finding(C.WATER_WAY_OPEN, **DRIVEN), RARELY)
    assert (judgement.due_back_on, judgement.due_back_kind) == (LAYUP_ON, DueBackKind.PUT_RIGHT)


def test_this_season_ends_with_the_look_that_still_catches_it_where_that_is_sooner() -> None:
    # PF 1.41 years over n 4.3: PF/n is 120 days
    grows = a_finding(C.WATER_WAY_OPEN, safety_role="rig", load="static", trend="grown", **DRIVEN)
    judgement = judged(grows)
    assert judgement.priority == "this_season"
    assert (judgement.due_back_on, judgement.due_back_kind) == (date(2027, 7, 30), DueBackKind.PUT_RIGHT)


def test_next_lay_up_begins_with_it_and_is_looked_at_before_where_pf_over_n_asks_for_it() -> None:
    stands = judged(a_finding(C.WATER_WAY_OPEN, **STANDS), RARELY)
    assert (stands.due_back_on, stands.due_back_kind) == (LAYUP_ON, DueBackKind.PUT_RIGHT)
    often = judged(a_finding(C.WATER_WAY_OPEN, **STANDS), a_component(recheck_months=6))
    assert (often.due_back_on, often.due_back_kind) == (date(2027, 10, 1), DueBackKind.LOOK_AGAIN)


@pytest.mark.parametrize(
    ("recheck_months", "due"),
    [
        (1, date(2027, 4, 30)),
        (3, date(2027, 7, 1)),
        (6, date(2027, 10, 1)),
        (12, date(2028, 3, 31)),
        (24, date(2029, 3, 30)),
    ],
)
def test_no_look_comes_later_than_the_class_s_interval_rolled_back(recheck_months: int, due: date) -> None:
    # 1 May 2027 and 1 April 2028 are Saturdays, 1 April 2029 is a Sunday
    watched = a_finding(C.FINISH_ONLY, seal="film_broken")
    judgement = judged(watched, a_component(recheck_months=recheck_months))
    assert (judgement.due_back_on, judgement.due_back_kind) == (due, DueBackKind.LOOK_AGAIN)


def test_looks_come_at_pf_over_n() -> None:
    """n = ln(0.001) / ln(1 - 0.8) = 4.29 for severity 2 and a split, worked out by hand."""
    looks, years = look_interval(2, C.SPLIT_IN_LOAD_PATH, 2.0, load_rules())
    assert looks == pytest.approx(4.292, abs=0.001)
    assert years == pytest.approx(2.0 / 4.292, abs=0.001)
    assert look_interval(4, C.FINISH_ONLY, 2.0, load_rules()) == (1.0, 2.0)
    assert look_interval(1, C.DECAY, inf, load_rules())[1] == inf


def test_pf_counts_all_ways_to_failure_together() -> None:
    """By PF one place in ten has failed, by whichever of its ways."""
    finding = a_finding(C.DECAY, load="cyclic", in_load_path=True, safety_role="rig", **DRIVEN)
    (decayed,) = [line for line in lines_of(finding) if line.weighed.condition is C.DECAY]
    around = work_out(finding, a_component(), YARD, finding.observed_on, load_rules()).around
    chains = [
        rates_of(way, finding, YARD, around, load_rules())[0] for way in load_rules().progression.ways[C.DECAY]
    ]
    survives = prod(
        1 - failure_probability(rates_per_year=rates, years=decayed.likelihood.pf_years) for rates in chains
    )
    assert len(chains) > 1
    assert 1 - survives == pytest.approx(0.1, rel=1e-4)


@pytest.mark.parametrize(
    ("observed_on", "years", "due"),
    [
        (date(2027, 4, 1), 0.01, date(2027, 4, 30)),  # ashore: nothing works on it before the launch
        (date(2027, 4, 1), 0.5, date(2027, 10, 1)),
        (date(2027, 4, 1), 5.0, date(2028, 4, 1)),  # the class's cap
        (date(2027, 6, 1), 0.01, date(2027, 6, 15)),  # afloat: not sooner than is worth while
        (date(2027, 6, 1), inf, date(2028, 6, 1)),
    ],
)
def test_the_day_of_the_next_look(observed_on: date, years: float, due: date) -> None:
    assert look_again_on(observed_on, a_component(), LAUNCH_ON, years, load_rules()) == due


def test_a_doubtful_reading_is_taken_again_within_four_weeks() -> None:
    judgement = judged(a_finding(C.WATER_IN, readings=moisture(27, 27)))
    assert (judgement.due_back_on, judgement.due_back_kind) == (date(2027, 4, 29), DueBackKind.LOOK_AGAIN)


def test_hidden_faces_are_opened_by_the_end_of_their_interval() -> None:
    judgement = judged(a_finding(C.FINISH_ONLY, last_seen_on=date(2025, 6, 1)))
    assert (judgement.due_back_on, judgement.due_back_kind) == (date(2027, 6, 1), DueBackKind.OPEN_UP)
    assert not judgement.overdue


def test_the_end_of_their_interval_rolls_back_to_a_working_day() -> None:
    judgement = judged(a_finding(C.FINISH_ONLY, last_seen_on=date(2025, 6, 6)))  # 6 June 2027 is a Sunday
    assert (judgement.due_back_on, judgement.due_back_kind) == (date(2027, 6, 4), DueBackKind.OPEN_UP)


def test_a_boat_in_the_water_is_seen_to_at_once() -> None:
    afloat = a_finding(C.JOINT_MOVES, observed_on=date(2027, 7, 3), **SERIOUS)  # a Saturday
    judgement = judged(afloat)
    assert judgement.due_back_on == date(2027, 7, 5)
    assert not judgement.overdue
    assert any("in the water already" in reason for reason in judgement.reasons)


def test_where_no_working_day_is_left_the_launch_has_to_wait() -> None:
    sunday_launch = YardFacts(date(2027, 4, 4), LAYUP_ON)
    judgement = judged(a_finding(C.JOINT_MOVES, observed_on=date(2027, 4, 3), **SERIOUS), yard=sunday_launch)
    assert judgement.due_back_on == date(2027, 4, 5)
    assert any("the launch has to wait" in reason for reason in judgement.reasons)


def test_what_is_found_after_lay_up_belongs_to_the_next_season() -> None:
    autumn = a_finding(C.JOINT_MOVES, observed_on=date(2027, 11, 2), **SERIOUS)
    judgement = judged(autumn)
    assert judgement.due_back_on == date(2028, 4, 28)  # 1 May 2028 is a Monday
    assert any("next season's days" in line for line in judgement.trace)


def test_judging_again_later_does_not_move_the_day() -> None:
    finding = a_finding(C.WATER_WAY_OPEN, **DRIVEN)
    assert judged(finding, on=date(2027, 9, 30)).due_back_on == LAYUP_ON
    assert judged(finding, on=LAYUP_ON).overdue is False


def test_what_is_overdue_says_so_and_is_due_on_the_next_working_day() -> None:
    finding = a_finding(C.WATER_WAY_OPEN, **DRIVEN)
    judgement = judged(finding, on=date(2027, 10, 16))  # a Saturday
    assert judgement.overdue
    assert (judgement.due_back_on, judgement.due_by_rules_on) == (date(2027, 10, 18), LAYUP_ON)
    assert any("was due on 15 October 2027 and is overdue" in reason for reason in judgement.reasons)


def test_a_day_before_the_look_counts_as_the_day_of_the_look() -> None:
    finding = a_finding(C.WATER_WAY_OPEN, **DRIVEN)
    assert judged(finding, on=date(2027, 3, 1)) == judged(finding)


def test_the_last_day_of_a_month_stays_within_the_month() -> None:
    watched = a_finding(C.FINISH_ONLY, seal="film_broken", observed_on=date(2027, 8, 31))
    assert judged(watched, a_component(recheck_months=6)).due_back_on == date(2028, 2, 29)
