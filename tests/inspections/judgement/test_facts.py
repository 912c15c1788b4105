"""The door of judgement: what can't be is refused, what is only extreme is taken."""

from collections.abc import Callable
from datetime import date

import pytest

from inspections.judgement.facts import (
    ClimateMonth,
    EarlierLook,
    FindingFacts,
    Reading,
    SignFacts,
    YardFacts,
)
from inspections.judgement.vocabulary import Condition, Water
from tests.inspections.judgement.builders import SEEN_ON, a_component, a_finding, judged, moisture
from yard.refusals import Refused

IMPOSSIBLE: dict[str, tuple[Callable[[], object], str]] = {
    "moisture of 140 %": (lambda: Reading("moisture", 140, "%"), "moisture"),
    "moisture below nothing": (lambda: Reading("moisture_beside", -1, "%"), "moisture_beside"),
    "moisture in another unit": (lambda: Reading("moisture", 14, "g"), "moisture"),
    "reading that is no number": (lambda: Reading("play", float("nan"), "mm"), "play"),
    "reading of nothing": (lambda: Reading("", 3, "mm"), "readings"),
    "wood hotter than it can be": (lambda: Reading("moisture", 14, "%", 95), "wood_temperature_c"),
    "negative crack": (lambda: a_finding(size_mm=-3), "size_mm"),
    "crack longer than any boat": (lambda: a_finding(size_mm=200_000), "size_mm"),
    "negative earlier crack": (lambda: EarlierLook(date(2026, 4, 1), -1), "earlier.size_mm"),
    "earlier look after this one": (
        lambda: a_finding(earlier=(EarlierLook(date(2027, 4, 2)),)),
        "earlier.seen_on",
    ),
    "last seen after the look": (lambda: a_finding(last_seen_on=date(2027, 4, 2)), "last_seen_on"),
    "negative months": (lambda: a_finding(unseen_months=-1), "unseen_months"),
    "water of no known kind": (lambda: a_finding(water="wet"), "water"),
    "load of no known kind": (lambda: a_finding(load="heavy"), "load"),
    "sign without a code": (lambda: SignFacts("", (Condition.DECAY,)), "signs"),
    "sign that nothing is known of": (lambda: SignFacts("SQUEAK", ()), "signs"),
    "sign of no known condition": (lambda: SignFacts("SQUEAK", ("haunted",)), "signs"),  # type: ignore[arg-type]
    "finding without a sign": (lambda: a_finding(signs=()), "signs"),
    "sound place": (lambda: a_finding(answer="sound"), "answer"),
    "component without a class": (lambda: a_component(class_code=""), "class_code"),
    "looks never": (lambda: a_component(recheck_months=0), "recheck_months"),
    "opened every thirty years": (lambda: a_component(open_up_months=360), "open_up_months"),
    "boat of the year 12": (lambda: a_component(boat_year=12), "boat_year"),
    "thirteenth month": (lambda: ClimateMonth(13, 10, 80, 12), "climate.month"),
    "humidity above all": (lambda: ClimateMonth(4, 10, 101, 12), "climate.relative_humidity_pct"),
    "more rain days than days": (lambda: ClimateMonth(4, 10, 80, 32), "climate.rain_days"),
    "lay-up before launch": (lambda: YardFacts(date(2027, 5, 1), date(2027, 4, 1)), "layup_on"),
    "month given twice": (
        lambda: YardFacts(
            date(2027, 5, 1),
            date(2027, 10, 1),
            climate=(ClimateMonth(4, 9, 80, 12), ClimateMonth(4, 9, 80, 12)),
        ),
        "climate",
    ),
}


@pytest.mark.parametrize("case", IMPOSSIBLE)
def test_what_can_not_be_is_refused_with_field_reason_and_remedy(case: str) -> None:
    make, field = IMPOSSIBLE[case]
    with pytest.raises(Refused) as refusal:
        make()
    assert refusal.value.field == field
    assert refusal.value.problem
    assert refusal.value.remedy


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"observed_on": date(2019, 5, 2)}, "observed_on"),
        ({"last_seen_on": date(2019, 5, 2)}, "last_seen_on"),
        ({"earlier": (EarlierLook(date(2019, 5, 2)),)}, "earlier.seen_on"),
    ],
    ids=["look", "last sight", "earlier look"],
)
def test_a_day_before_the_boat_was_built_is_refused(changes: dict[str, object], field: str) -> None:
    with pytest.raises(Refused, match="before the boat was built") as refusal:
        judged(a_finding(**changes), a_component(boat_year=2021))
    assert refusal.value.field == field


@pytest.mark.parametrize(
    "changes",
    [
        {"readings": moisture(0)},
        {"readings": moisture(120, 0)},
        {"readings": (Reading("moisture", 8, "%", wood_temperature_c=-6),)},
        {"size_mm": 0},
        {"size_mm": 100_000},
        {"unseen_months": 1_200},
        {"last_seen_on": SEEN_ON},
        {"observed_on": date(1995, 2, 28)},
    ],
    ids=["bone dry", "soaking", "frost", "nothing", "whole ship", "a century", "same day", "long ago"],
)
def test_extreme_but_possible_input_is_judged(changes: dict[str, object]) -> None:
    assert judged(a_finding(**changes)).reasons


def test_an_empty_word_is_a_word_not_recorded() -> None:
    finding = a_finding(water="", load="", seal="", moves="", trend="", sides="", safety_role="")
    assert (finding.water, finding.load, finding.seal, finding.sides) == (None, None, None, None)
    assert a_finding(water="rain").water is Water.RAIN


def test_of_several_readings_the_wettest_here_and_the_driest_beside_count() -> None:
    finding = a_finding(readings=moisture(19, 15) + moisture(24, 13))
    assert (finding.moisture_pct, finding.moisture_beside_pct) == (24, 13)
    assert a_finding().moisture_pct is None


def test_the_size_before_is_that_of_the_latest_measured_look() -> None:
    finding = a_finding(
        earlier=(
            EarlierLook(date(2026, 4, 1)),
            EarlierLook(date(2025, 4, 1), 40),
            EarlierLook(date(2024, 4, 1), 30),
        )
    )
    assert finding.measured_before is not None
    assert finding.measured_before.size_mm == 40


def test_a_place_not_seen_needs_no_sign() -> None:
    assert FindingFacts(observed_on=SEEN_ON, answer="not_seen").signs == ()  # type: ignore[arg-type]
