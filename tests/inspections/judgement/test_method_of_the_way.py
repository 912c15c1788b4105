"""The worked example of the way round on the method's page."""

from dataclasses import replace
from datetime import date

from inspections.judgement.facts import EarlierLook
from inspections.judgement.route import Place, way_round
from inspections.judgement.rules import load_rules
from inspections.judgement.vocabulary import Load, RiskLevel, SafetyRole
from tests.inspections.judgement.builders import SEEN_ON, YARD, a_component, stock_classes
from tests.inspections.judgement.test_method import said

STEP = replace(stock_classes()["MAST_STEP"], durability_class=3)
JOINT = a_component(safety_role=SafetyRole.NONE, load=frozenset({Load.NONE}))


def sound_on(day: date) -> tuple[EarlierLook, ...]:
    return (EarlierLook(day),)


def test_two_mast_steps_and_what_lies_under_the_same_sole() -> None:
    said("Two mast steps on 1 April, one closed for 60 months and one for 72")
    first = Place(1, STEP, sound_on(date(2022, 4, 1)), opening="sole")
    second = Place(2, STEP, sound_on(date(2021, 4, 1)), opening="hatch")
    joint = Place(3, JOINT, sound_on(date(2026, 4, 1)), opening="sole")
    legs = way_round((joint, first, second), YARD, SEEN_ON, load_rules())
    assert [[stop.place.key for stop in leg.stops] for leg in legs] == [[2], [1, 3]]
    said("The second step is serious and comes first, to be opened now")
    assert (legs[0].stops[0].risk, legs[0].open_up_advised) == (RiskLevel.SERIOUS, True)
    said("the first, which can wait for the lay-up")
    assert not legs[1].open_up_advised
    assert "can wait for the next lay-up" in legs[1].stops[0].reasons[-1]
    said("a toerail joint of severity 4")
    assert legs[1].stops[1].severity == 4
