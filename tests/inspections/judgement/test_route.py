"""The way round a boat: the order of the places, what stands together, and what is said of each."""

from dataclasses import replace
from datetime import date
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.judgement.assess import assess
from inspections.judgement.facts import EarlierLook, FindingFacts
from inspections.judgement.risk import RISK_RANK
from inspections.judgement.route import Leg, Place, Stop, stop_at, way_round
from inspections.judgement.rules import load_rules
from inspections.judgement.vocabulary import Answer, Condition, Load, Priority, RiskLevel, SafetyRole, Water
from tests.inspections.judgement.builders import SEEN_ON, YARD, a_component, stock_classes
from yard.refusals import Refused

MAST_FOOT = a_component(
    class_code="MAST_FOOT",
    safety_role=SafetyRole.RIG,
    load=frozenset({Load.CYCLIC}),
    water=frozenset({Water.INTERIOR, Water.STANDING}),
)
TRIM = a_component(class_code="TRIM", load=frozenset({Load.NONE}), water=frozenset({Water.INTERIOR}))


def sound(year: int) -> tuple[EarlierLook, ...]:
    return (EarlierLook(seen_on=date(year, 4, 1)),)


def seen_as(condition: Condition, year: int = 2026) -> tuple[EarlierLook, ...]:
    return (EarlierLook(seen_on=date(year, 4, 1), condition=condition),)


def walked(*places: Place) -> tuple[Leg, ...]:
    return way_round(places, YARD, SEEN_ON, load_rules())


def order(*places: Place) -> list[int]:
    return [stop.place.key for leg in walked(*places) for stop in leg.stops]


def stop(place: Place) -> Stop:
    return stop_at(place, YARD, SEEN_ON, load_rules())


places = st.builds(
    Place,
    key=st.integers(0, 10_000),
    component=st.sampled_from(list(stock_classes().values())),
    earlier=st.lists(
        st.builds(
            EarlierLook,
            seen_on=st.dates(date(2015, 1, 1), SEEN_ON),
            condition=st.none() | st.sampled_from(list(Condition)),
        ),
        max_size=2,
    ).map(tuple),
    opening=st.sampled_from(["", "", "cabin_sole", "lining", "ceiling"]),
)


@settings(max_examples=60, deadline=None)
@given(place=places)
def test_a_place_carries_the_risk_that_a_not_seen_of_that_day_is_judged_to_have(place: Place) -> None:
    last_seen_on = max((look.seen_on for look in place.earlier), default=None)
    not_seen = FindingFacts(SEEN_ON, answer=Answer.NOT_SEEN, last_seen_on=last_seen_on, earlier=place.earlier)
    judgement = assess(not_seen, place.component, YARD, SEEN_ON, load_rules())
    here = stop(place)
    assert (here.risk, here.severity, here.probability_level) == (
        judgement.risk,
        judgement.severity,
        judgement.probability_level,
    )
    assert judgement.failure_probability == here.shown_probability
    nearly_run = any("has nearly run" in reason for reason in judgement.reasons)
    to_be_opened = bool(place.opening) and judgement.priority is not Priority.WATCH
    assert here.open_up_advised == (to_be_opened and not nearly_run)
    assert any("can wait for the next lay-up" in reason for reason in here.reasons) == (to_be_opened and nearly_run)


@settings(max_examples=50, deadline=None)
@given(given_places=st.lists(places, max_size=8))
def test_risk_never_rises_along_the_way_and_what_opens_together_stands_together(given_places: list[Place]) -> None:
    legs = walked(*given_places)
    assert sorted(stop.place.key for leg in legs for stop in leg.stops) == sorted(one.key for one in given_places)
    riskiest = [min(RISK_RANK[stop.risk] for stop in leg.stops) for leg in legs]
    assert riskiest == sorted(riskiest)
    opened = [leg.opening for leg in legs if leg.opening]
    assert len(opened) == len(set(opened))
    for leg in legs:
        assert {stop.place.opening for stop in leg.stops} == {leg.opening}
        assert len(leg.stops) == 1 or leg.opening
        inside = [RISK_RANK[stop.risk] for stop in leg.stops]
        assert inside == sorted(inside)


def test_of_two_places_with_equal_risk_the_loaded_one_comes_first() -> None:
    # The load makes the second as grave as the first is by what hangs on it.
    load_free = Place(
        1, a_component(load=frozenset({Load.NONE}), safety_role=SafetyRole.WATERTIGHTNESS), sound(2026)
    )
    loaded = Place(2, a_component(load=frozenset({Load.SHOCK})), sound(2026))
    assert (stop(load_free).risk, stop(load_free).severity) == (stop(loaded).risk, stop(loaded).severity)
    assert (stop(load_free).loaded, stop(loaded).loaded) == (False, True)
    assert order(load_free, loaded) == [2, 1]


def test_a_graver_risk_comes_before_a_load() -> None:
    # Nothing pulls at the plank, but it was soft two years ago, and the boat floats on it.
    soft = replace(
        a_component(load=frozenset({Load.NONE}), water=frozenset({Water.STANDING})),
        safety_role=SafetyRole.WATERTIGHTNESS,
    )
    plank = Place(1, soft, seen_as(Condition.DECAY, 2024))
    cleat = Place(2, a_component(load=frozenset({Load.CYCLIC})), sound(2026))
    assert RISK_RANK[stop(plank).risk] < RISK_RANK[stop(cleat).risk]
    assert order(cleat, plank) == [1, 2]


def test_the_longer_closed_of_two_like_places_comes_first_and_the_never_seen_before_both() -> None:
    lately, long_ago, never = (
        Place(1, MAST_FOOT, sound(2026)),
        Place(2, MAST_FOOT, sound(2022)),
        Place(3, MAST_FOOT),
    )
    for given_order in permutations((lately, long_ago, never)):
        assert order(*given_order) == [3, 2, 1]


def test_an_opening_stands_where_its_riskiest_place_stands() -> None:
    foot = Place(1, MAST_FOOT, sound(2020), opening="cabin_sole")
    trim_below = Place(2, TRIM, sound(2026), opening="cabin_sole")
    between = Place(3, a_component(load=frozenset({Load.CYCLIC})), sound(2024))
    assert RISK_RANK[stop(foot).risk] < RISK_RANK[stop(between).risk] <= RISK_RANK[stop(trim_below).risk]
    assert order(trim_below, between, foot) == [1, 2, 3]


def test_places_without_an_opening_and_equal_in_everything_keep_their_order() -> None:
    like = [Place(key, TRIM, sound(2026)) for key in (5, 3, 9, 1)]
    assert order(*like) == [5, 3, 9, 1]


def test_nothing_to_look_at_is_no_way() -> None:
    assert walked() == ()


@pytest.mark.parametrize(
    ("place", "said"),
    [
        (Place(1, MAST_FOOT), "No look at it is on record."),
        (Place(1, MAST_FOOT, sound(2025)), "Found sound on 1 April 2025."),
        (
            Place(1, MAST_FOOT, seen_as(Condition.WATER_IN), found="high moisture reading"),
            "Found on 1 April 2026: high moisture reading, judged as: water is in.",
        ),
        (
            Place(1, MAST_FOOT, sound(2024), opening="sole"),
            "Closed for 36 months; a part like this is opened up at least every 24.",
        ),
        (Place(1, MAST_FOOT, opening="sole"), "A part like this is opened up at least every 24 months."),
        (Place(1, MAST_FOOT), "At work there: standing water and load that comes and goes."),
    ],
)
def test_the_reasons_say_what_was_there_how_long_ago_and_what_works_on_it(place: Place, said: str) -> None:
    assert said in stop(place).reasons


def test_the_last_reason_says_what_is_at_stake_with_its_figures() -> None:
    here = stop(Place(1, MAST_FOOT, sound(2020)))
    assert here.reasons[-1].startswith("If it fails, the rig can come down; unseen it is a ")
    assert f"severity {here.severity}, likelihood {here.probability_level}" in here.reasons[-1]


def test_a_dry_unloaded_place_has_nothing_at_work() -> None:
    assert not any("At work" in reason for reason in stop(Place(1, TRIM)).reasons)


def test_opening_up_is_advised_when_the_risk_passes_what_is_borne() -> None:
    def because(*earlier: EarlierLook, opening: str = "sole") -> str:
        return stop(Place(1, MAST_FOOT, earlier, opening=opening)).open_up_because

    assert because(*sound(2026)) == ""
    assert because(*sound(2020)) == "the risk is too high to go afloat with"
    assert because(*sound(2020), opening="") == ""  # nothing comes off: it is only looked at
    quiet = Place(1, TRIM, sound(2024), opening="lining")
    assert stop(quiet).risk in (RiskLevel.LOW, RiskLevel.MEDIUM)
    assert stop(quiet).open_up_because == "it has been closed for longer than a part like this may be"
    assert stop(replace(quiet, earlier=())).open_up_because == "no look behind it is on record"


def test_what_has_nearly_run_its_time_can_wait_for_the_lay_up_and_says_so() -> None:
    part = Place(1, a_component(open_up_months=60), (EarlierLook(date(2022, 9, 1)),), opening="sole")
    here = stop(part)
    assert not here.open_up_advised
    assert here.reasons[-1] == (
        "Opening it up can wait for the next lay-up: the time that such a part may stay closed has nearly run."
    )


def test_a_worse_last_find_never_stands_behind_a_sound_place() -> None:
    for condition in Condition:
        assert (
            stop(Place(1, MAST_FOOT, seen_as(condition))).probability
            >= stop(Place(1, MAST_FOOT, sound(2026))).probability
        )


def test_a_look_of_the_day_after_is_refused() -> None:
    with pytest.raises(Refused, match=r"earlier\.seen_on|last_seen_on"):
        stop(Place(1, MAST_FOOT, (EarlierLook(date(2027, 4, 2)),)))
