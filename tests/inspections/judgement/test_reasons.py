"""The words: plain for an owner, complete for a shipwright, and a document for other programs."""

import json
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from inspections.judgement.facts import EarlierLook
from inspections.judgement.judgement import Judgement
from inspections.judgement.vocabulary import Condition, Priority
from tests.inspections.judgement.builders import (
    SEEN_ON,
    a_finding,
    a_sign,
    judged,
    moisture,
    stock_classes,
    stock_signs,
)

C = Condition
DRIVEN: dict[str, Any] = {"seal": "open", "water": "rain"}


def a_judgement() -> Judgement:
    return judged(a_finding(C.WATER_WAY_OPEN, **DRIVEN))


def test_an_owner_reads_what_it_is_what_is_at_stake_how_likely_and_by_when() -> None:
    finding = a_finding(
        signs=(stock_signs()["CRACK_BOTH_SIDES"],),
        safety_role="rig",
        load="cyclic",
        in_load_path=True,
        size_mm=150,
        earlier=(EarlierLook(date(2026, 4, 2), 120),),
        **DRIVEN,
    )
    assert judged(finding, stock_classes()["BOWSPRIT"]).reasons == (
        "Seen: the same crack on both faces.",
        "The wood is split where it carries its load.",
        "Besides: a way in for water is open.",
        "It grew from 120 mm to 150 mm since 2 April 2026.",
        "At work there: rain and load that comes and goes.",
        "If it fails, the rig can come down (severity 1, from 1 the gravest to 4).",
        (
            "As it is, there is a real chance that it fails within the season (about 13 in 100; likelihood B, "
            "from A to E): a high risk."
        ),
        "It comes before launch: the risk is too high to go afloat with.",
        "The launch is on 1 May 2027.",
        "Put it right by 30 April 2027.",
    )


def test_a_name_keeps_its_capital_where_it_is_an_abbreviation() -> None:
    signs = tuple(a_sign(C.FINISH_ONLY, code=name, name=name) for name in ("GRP lining loose", "A nick", "Wear"))
    assert judged(a_finding(signs=signs)).reasons[0] == "Seen: A nick, GRP lining loose and wear."


def test_what_was_to_be_opened_long_ago_does_not_read_as_if_it_could_wait() -> None:
    reasons = judged(a_finding(signs=(stock_signs()["NOT_SEEN"],), answer="not_seen", unseen_months=30)).reasons
    assert "Repairs, if it wants any, can wait for the next lay-up." in reasons
    assert "It was to be opened by 1 October 2026 and is overdue. Open it up and look now." in reasons


def test_a_split_that_nothing_loads_is_not_said_to_carry_a_load() -> None:
    reasons = judged(a_finding(signs=(stock_signs()["CRACK_BOTH_SIDES"],))).reasons
    assert any(reason.startswith("The wood is split, though nothing loads it") for reason in reasons)


def test_of_a_part_that_is_gone_nothing_is_taken_for_the_worst() -> None:
    reasons = judged(a_finding(signs=(), answer="not_fitted", water=None, load=None)).reasons
    assert reasons[0] == "The part is gone."
    assert not any("the worst" in reason for reason in reasons)


def test_a_boat_afloat_is_told_to_stay_in_the_harbour() -> None:
    told = {"observed_on": date(2027, 7, 10), "safety_role": "personal_safety", "load": "shock", "moves": "yes"}
    reasons = judged(a_finding(signs=(stock_signs()["SOFT_PROBE"],), in_load_path=True, **told)).reasons
    assert any("stay in the harbour" in reason for reason in reasons)


def test_readings_are_told_with_what_they_mean() -> None:
    reasons = judged(a_finding(C.WATER_IN, readings=moisture(27, 26))).reasons
    assert "The meter shows 27 % here and 26 % in sound wood beside it." in reasons
    assert any("Weather or salt may explain that" in reason for reason in reasons)


def test_a_watched_place_says_what_would_bring_somebody_back_sooner() -> None:
    reasons = judged(a_finding(C.FINISH_ONLY, seal="film_broken")).reasons
    assert "Come back sooner if it is 5 mm larger, reads 4 points wetter, or shows any play." in reasons


@pytest.mark.parametrize("code", stock_signs())
def test_owners_are_spared_codes_and_get_whole_sentences(code: str) -> None:
    for told in ({}, {"water": "", "load": "", "seal": "", "moves": "", "trend": "", "in_load_path": None}):
        judgement = judged(a_finding(signs=(stock_signs()[code],), unseen_months=30, **told))
        for reason in judgement.reasons:
            assert reason.endswith(".")
            assert reason[0].isupper()
            assert "_" not in reason
            assert code not in reason.split()


def test_the_trace_names_rules_days_evidence_figures_and_source() -> None:
    trace = "\n".join(a_judgement().trace)
    assert "rules 2; seen on 2027-04-01, judged as of 2027-04-01" in trace
    assert "water_way_open holds: named by A_SIGN; for seal_open_to_water; against nothing" in trace
    assert "risk 4E low (MIL-STD-882E Table III), this_season because water drives it on" in trace
    assert "PF 6.68 years over n 1.0: a look every 80.2 months (NAVAIR 00-25-403)" in trace
    assert "durability class 4, Scheffer index 65" in trace


def test_the_document_is_plain_json_with_every_field() -> None:
    document = a_judgement().as_document()
    assert json.loads(json.dumps(document)) == document
    assert document["priority"] == "this_season"
    assert document["due_back_on"] == "2027-10-15"
    assert document["rules_version"] == "2"
    assert document["hold"] == {
        "treatment": "CLEAR_DRAIN",
        "say": "keep water off it under a cover",
        "until": "2027-10-15",
    }
    assert document["conditions"] == [
        {
            "condition": "water_way_open",
            "holds": True,
            "evidence_for": ["seal_open_to_water"],
            "evidence_against": [],
            "severity": 4,
            "probability_level": "E",
            "risk": "low",
        }
    ]


def test_a_judgement_without_a_reason_is_none() -> None:
    with pytest.raises(ValueError, match="without a reason"):
        replace(a_judgement(), reasons=())


def test_judgements_differ_where_somebody_would_act_otherwise() -> None:
    judgement = a_judgement()
    assert not judgement.differs_from(judgement)
    assert judgement.differs_from(replace(judgement, priority=Priority.NEXT_LAYUP))
    assert judgement.differs_from(replace(judgement, rules_version="3"))
    assert judgement.differs_from({})


def test_the_calendar_alone_makes_no_difference() -> None:
    finding = a_finding(C.WATER_WAY_OPEN, unseen_months=30, **DRIVEN)
    monday, tuesday = judged(finding, on=date(2027, 4, 5)), judged(finding, on=date(2027, 4, 6))
    assert monday.overdue
    assert monday.due_back_on != tuesday.due_back_on
    assert not tuesday.differs_from(monday)
    assert not tuesday.differs_from(monday.as_document())


def test_becoming_overdue_makes_a_difference() -> None:
    finding = a_finding(C.WATER_WAY_OPEN, **DRIVEN)
    assert judged(finding, on=date(2027, 10, 16)).differs_from(judged(finding, on=SEEN_ON))
