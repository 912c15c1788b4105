"""Places not seen: the clock runs on role and load."""

from datetime import date
from typing import Any

import pytest

from inspections.judgement.facts import EarlierLook, FindingFacts
from inspections.judgement.judgement import Judgement
from inspections.judgement.priority import URGENCY
from inspections.judgement.rules import load_rules
from inspections.judgement.vocabulary import Condition, DueBackKind, Priority
from tests.inspections.judgement.builders import SEEN_ON, a_component, a_finding, judged, stock_classes, stock_signs


def not_seen(**told: Any) -> FindingFacts:
    return FindingFacts(**{"observed_on": SEEN_ON, "answer": "not_seen", **told})


def mast_step(**told: Any) -> Judgement:
    return judged(not_seen(**told), stock_classes()["MAST_STEP"])


def test_a_place_not_seen_needs_no_sign_to_be_judged() -> None:
    judgement = mast_step(unseen_months=36)
    assert judgement.condition is Condition.UNSEEN
    assert judgement.priority is Priority.WATCH


def test_within_its_interval_it_waits_then_is_planned_and_past_it_is_opened_before_launch() -> None:
    assert mast_step(unseen_months=44).priority is Priority.WATCH
    for months in (45, 60):
        assert mast_step(unseen_months=months).priority is Priority.NEXT_LAYUP
    judgement = mast_step(unseen_months=61)
    assert judgement.priority is Priority.BEFORE_LAUNCH
    assert judgement.due_back_kind is DueBackKind.OPEN_UP
    assert judgement.treatments == ("OPEN_UP",)
    assert judgement.overdue


def test_time_alone_raises_it() -> None:
    finding = not_seen(last_seen_on=date(2024, 5, 2))
    component = stock_classes()["MAST_STEP"]
    assert judged(finding, component, on=date(2027, 5, 2)).priority is Priority.WATCH
    assert judged(finding, component, on=date(2029, 5, 2)).priority is Priority.NEXT_LAYUP
    assert judged(finding, component, on=date(2029, 5, 3)).priority is Priority.BEFORE_LAUNCH


def test_months_given_on_the_day_of_the_look_run_on_from_there() -> None:
    judgement = judged(not_seen(unseen_months=59), stock_classes()["MAST_STEP"], on=date(2027, 6, 2))
    assert judgement.priority is Priority.BEFORE_LAUNCH
    assert any("for 61 months" in reason for reason in judgement.reasons)


@pytest.mark.parametrize(
    ("share", "level"), [(0.5, "E"), (1.0, "E"), (1.02, "D"), (2.0, "D"), (2.25, "C"), (4.5, "C"), (5.0, "B")]
)
def test_the_level_rises_with_the_share_of_the_interval(share: float, level: str) -> None:
    judgement = judged(not_seen(unseen_months=24 * share), a_component())
    assert judgement.probability_level == level


def test_never_seen_is_said_and_taken_seriously() -> None:
    judgement = mast_step()
    assert judgement.priority is Priority.BEFORE_LAUNCH
    assert not judgement.overdue
    assert any("Nothing tells when" in reason for reason in judgement.reasons)


def test_trim_out_of_sight_does_not_hold_the_launch() -> None:
    judgement = judged(not_seen(unseen_months=30, load="none", water="rain", in_load_path=False), a_component())
    assert judgement.priority is Priority.THIS_SEASON


def test_a_hidden_face_past_its_interval_is_opened_whatever_was_found_in_front_of_it() -> None:
    judgement = judged(a_finding(Condition.WATER_WAY_OPEN, seal="open", water="rain", unseen_months=30))
    assert {one.condition for one in judgement.conditions if one.holds} == {
        Condition.WATER_WAY_OPEN,
        Condition.UNSEEN,
    }
    assert "OPEN_UP" in judgement.treatments


def test_some_parts_are_drawn_rather_than_looked_at() -> None:
    chainplate = judged(not_seen(unseen_months=70), stock_classes()["CHAINPLATE"])
    assert chainplate.treatments == ("DRAW_CHAINPLATE",)


def test_a_mark_in_front_of_a_hidden_face_is_still_seen_to() -> None:
    signs = stock_signs()
    told: dict[str, Any] = {"water": "rain", "seal": "intact", "trend": "grown", "unseen_months": 3}
    cracked = a_finding(signs=(signs["CRACK_WOOD"],), **told)
    and_hidden = a_finding(signs=(signs["CRACK_WOOD"], signs["NOT_SEEN"]), **told)
    assert judged(cracked).priority is Priority.NEXT_LAYUP
    assert judged(and_hidden).priority is Priority.NEXT_LAYUP


def test_at_the_end_of_its_interval_the_probability_stands_where_remote_begins() -> None:
    judgement = judged(not_seen(unseen_months=24), a_component())
    assert judgement.failure_probability == pytest.approx(load_rules().progression.bands[3][1], rel=1e-6)


def test_mild_water_and_load_slow_it_only_within_its_interval() -> None:
    mild = {"water": "interior", "load": "static", "in_load_path": False}
    within, past = 12, 25
    for months, same in ((within, False), (past, True)):
        worst, milder = (
            judged(not_seen(unseen_months=months, **told), a_component()).failure_probability for told in ({}, mild)
        )
        assert (worst == milder) is same


def test_what_was_last_seen_there_runs_on_over_the_time_since() -> None:
    told: dict[str, Any] = {"last_seen_on": date(2025, 4, 1), "load": "cyclic", "in_load_path": True}
    sound = not_seen(**told, earlier=(EarlierLook(date(2025, 4, 1)),))
    soft = not_seen(**told, earlier=(EarlierLook(date(2025, 4, 1), condition=Condition.DECAY),))
    assert judged(sound, a_component()).probability_level == "E"
    judgement = judged(soft, a_component())
    assert judgement.probability_level == "A"
    assert any("last seen: decay" in line for line in judgement.trace)


@pytest.mark.parametrize(
    "face", [{"trend": "unchanged"}, {"size_mm": 40, "earlier": (EarlierLook(date(2026, 4, 1), 40),)}]
)
def test_a_face_that_stands_still_does_not_excuse_what_nobody_saw_behind_it(face: dict[str, Any]) -> None:
    priorities = [
        judged(
            a_finding(signs=(stock_signs()["NOT_SEEN"],), answer="not_seen", unseen_months=months, **face)
        ).priority
        for months in (12, 20, 24, 25, 60)
    ]
    urgencies = [URGENCY[priority] for priority in priorities]
    assert urgencies == sorted(urgencies, reverse=True)
    assert priorities[0] == Priority.WATCH
    assert Priority.WATCH not in priorities[1:]
