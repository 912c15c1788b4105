"""Worse never comes out milder, over the whole input space and in the orders that the rule data states.

Signs and classes are those of the stock list, so their evidence and contacts come in all the mixtures that a yard
starts with. What the orders do not rank against each other is not compared.
"""

from dataclasses import replace
from datetime import date, timedelta
from enum import Enum
from random import Random
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.judgement.facts import ComponentFacts, EarlierLook, FindingFacts, YardFacts
from inspections.judgement.judgement import Judgement
from inspections.judgement.priority import URGENCY
from inspections.judgement.risk import RISK_RANK
from inspections.judgement.rules import load_rules
from inspections.judgement.vocabulary import Answer, Condition, Load, Moves, SafetyRole, Seal, Sides, Trend, Water
from tests.inspections.judgement.builders import a_sign, judged, moisture, stock_classes, stock_signs
from yard.working_days import WorkingCalendar

SPRING = date(2027, 4, 1)
CALENDARS = (WorkingCalendar(), WorkingCalendar(holiday_country="NO"), WorkingCalendar(frozenset({1, 4})))
# how long one example takes says how busy the machine is, and nothing about judgement
unhurried = settings(deadline=None, max_examples=60)
ORDERED = ("water", "load", "seal", "moves", "trend", "safety_role")


def or_silence(vocabulary: type[Enum]) -> st.SearchStrategy[Any]:
    return st.none() | st.sampled_from(list(vocabulary))


signs = st.lists(st.sampled_from(sorted(stock_signs())), min_size=1, max_size=4, unique=True).map(
    lambda codes: tuple(stock_signs()[code] for code in codes)
)
sizes = st.none() | st.floats(0, 2000)
percentages = st.floats(0, 60)
readings = st.just(()) | percentages.map(moisture) | st.builds(moisture, percentages, percentages)
months = st.none() | st.floats(0, 200)
findings = st.builds(
    FindingFacts,
    observed_on=st.dates(SPRING - timedelta(days=120), SPRING + timedelta(days=400)),
    signs=signs,
    answer=st.just(Answer.FINDING) | st.just(Answer.NOT_SEEN),
    size_mm=sizes,
    readings=readings,
    sides=or_silence(Sides),
    water=or_silence(Water),
    load=or_silence(Load),
    seal=or_silence(Seal),
    moves=or_silence(Moves),
    trend=or_silence(Trend),
    in_load_path=st.none() | st.booleans(),
    unseen_months=months,
    safety_role=or_silence(SafetyRole),
    earlier=st.just(()) | sizes.map(lambda size: (EarlierLook(SPRING - timedelta(days=400), size),)),
)
components = st.sampled_from([stock_classes()[code] for code in sorted(stock_classes())])
yards = st.builds(
    YardFacts,
    launch_on=st.dates(date(2027, 4, 1), date(2027, 6, 30)),
    layup_on=st.dates(date(2027, 9, 1), date(2027, 11, 30)),
    calendar=st.sampled_from(CALENDARS),
)


@st.composite
def ordered_pairs(draw: st.DrawFn) -> tuple[str, str, str]:
    """A field, a value of it and a worse one."""
    field = draw(st.sampled_from(ORDERED))
    chain = draw(st.sampled_from(load_rules().orders[field]))
    better = draw(st.integers(0, len(chain) - 2))
    worse = draw(st.integers(better + 1, len(chain) - 1))
    return field, chain[better], chain[worse]


def bent(finding: FindingFacts, **changes: Any) -> FindingFacts:
    return replace(finding, **changes)


def assert_not_milder(better: Judgement, worse: Judgement) -> None:
    told = f"{better.trace}\n{worse.trace}"
    assert RISK_RANK[worse.risk] <= RISK_RANK[better.risk], told
    assert URGENCY[worse.priority] <= URGENCY[better.priority], told
    assert worse.treatments or not better.treatments, told
    assert worse.due_by_rules_on <= better.due_by_rules_on, told
    assert worse.due_back_on <= better.due_back_on, told


@unhurried
@given(findings, components, yards, ordered_pairs(), st.integers(0, 400))
def test_a_worse_circumstance_never_lowers_the_risk_or_postpones_the_day(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts, pair: tuple[str, str, str], later: int
) -> None:
    field, better, worse = pair
    on = finding.observed_on + timedelta(days=later)
    assert_not_milder(
        judged(bent(finding, **{field: better}), component, yard=yard, on=on),
        judged(bent(finding, **{field: worse}), component, yard=yard, on=on),
    )


@unhurried
@given(findings, components, yards, st.sampled_from(["water", "load"]))
def test_silence_is_never_milder_than_anything_the_class_may_meet(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts, field: str
) -> None:
    silent = judged(bent(finding, **{field: None}), component, yard=yard)
    for word in getattr(component, field):
        assert_not_milder(judged(bent(finding, **{field: word}), component, yard=yard), silent)


@unhurried
@given(findings, components, yards, st.lists(st.integers(1, 5), min_size=2, max_size=2).map(sorted))
def test_less_durable_wood_is_never_milder(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts, classes: list[int]
) -> None:
    better, worse = (replace(component, durability_class=number) for number in classes)
    assert_not_milder(judged(finding, better, yard=yard), judged(finding, worse, yard=yard))


@unhurried
@given(findings, components, yards, st.lists(st.floats(0, 200), min_size=2, max_size=2).map(sorted))
def test_a_climate_that_favours_decay_is_never_milder(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts, indices: list[float]
) -> None:
    better, worse = (replace(yard, scheffer_index=index) for index in indices)
    assert_not_milder(judged(finding, component, yard=better), judged(finding, component, yard=worse))


@unhurried
@given(findings, components, yards, st.data())
def test_a_condition_further_along_is_never_milder(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts, data: st.DataObject
) -> None:
    """A sign that leaves no doubt of a condition, against one of a condition that comes before it on the way."""
    chain = data.draw(st.sampled_from([one[1:] for one in load_rules().orders["condition"] if len(one) > 2]))
    better = data.draw(st.integers(0, len(chain) - 2))
    worse = data.draw(st.integers(better + 1, len(chain) - 1))
    rules = load_rules(overrides={"signs": {"conclusive": {"A_SIGN": list(chain)}}})
    one, other = (
        judged(replace(finding, signs=(a_sign(Condition(chain[at])),)), component, yard=yard, rules=rules)
        for at in (better, worse)
    )
    assert_not_milder(one, other)


@unhurried
@given(findings, components, yards, st.sampled_from(sorted(stock_signs())))
def test_one_more_sign_never_makes_it_milder(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts, code: str
) -> None:
    more = replace(finding, signs=(*finding.signs, stock_signs()[code]))
    assert_not_milder(judged(finding, component, yard=yard), judged(more, component, yard=yard))


@unhurried
@given(findings, components, yards, st.floats(0, 200), st.floats(0, 200))
def test_longer_out_of_sight_never_makes_it_milder(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts, one: float, other: float
) -> None:
    shorter, longer = sorted((one, other))
    assert_not_milder(
        judged(replace(finding, unseen_months=shorter), component, yard=yard),
        judged(replace(finding, unseen_months=longer), component, yard=yard),
    )


@unhurried
@given(findings, components, yards, st.dates(date(2010, 1, 1), SPRING), st.dates(date(2010, 1, 1), SPRING))
def test_an_earlier_last_sight_never_makes_it_milder(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts, one: date, other: date
) -> None:
    seen = replace(finding, observed_on=SPRING, unseen_months=None)
    assert_not_milder(
        judged(replace(seen, last_seen_on=max(one, other)), component, yard=yard),
        judged(replace(seen, last_seen_on=min(one, other)), component, yard=yard),
    )


@unhurried
@given(findings, components, yards, st.floats(0, 2000), st.floats(0, 2000), st.floats(0, 2000))
def test_more_measured_growth_never_makes_it_milder(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts, before: float, one: float, other: float
) -> None:
    measured = replace(finding, earlier=(EarlierLook(SPRING - timedelta(days=400), before),))
    smaller, larger = sorted((one, other))
    assert_not_milder(
        judged(replace(measured, size_mm=smaller), component, yard=yard),
        judged(replace(measured, size_mm=larger), component, yard=yard),
    )


@unhurried
@given(findings, components, yards)
def test_damage_in_the_load_path_is_never_milder_than_beside_it(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts
) -> None:
    beside, within = replace(finding, in_load_path=False), replace(finding, in_load_path=True)
    assert_not_milder(judged(beside, component, yard=yard), judged(within, component, yard=yard))


@unhurried
@given(findings, components, yards, st.integers(0, 2000), st.integers(0, 2000))
def test_time_never_lowers_the_risk(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts, one: int, other: int
) -> None:
    sooner, later = (finding.observed_on + timedelta(days=days) for days in sorted((one, other)))
    before = judged(finding, component, yard=yard, on=sooner)
    after = judged(finding, component, yard=yard, on=later)
    assert RISK_RANK[after.risk] <= RISK_RANK[before.risk]
    assert URGENCY[after.priority] <= URGENCY[before.priority]
    assert after.due_by_rules_on <= before.due_by_rules_on


@unhurried
@given(findings, components, yards, st.randoms(use_true_random=False))
def test_the_order_of_signs_and_readings_does_not_matter(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts, random: Random
) -> None:
    other = bent(
        finding,
        signs=tuple(random.sample(finding.signs, len(finding.signs))),
        readings=tuple(random.sample(finding.readings, len(finding.readings))),
    )
    assert judged(other, component, yard=yard) == judged(finding, component, yard=yard)


@unhurried
@given(findings, components, yards, st.integers(0, 2000))
def test_every_judgement_has_reasons_a_working_day_and_keeps_to_the_caps(
    finding: FindingFacts, component: ComponentFacts, yard: YardFacts, later: int
) -> None:
    on = finding.observed_on + timedelta(days=later)
    judgement = judged(finding, component, yard=yard, on=on)
    assert judgement.reasons
    assert yard.calendar.is_working(judgement.due_back_on)
    assert judgement.due_back_on >= on
    assert judgement.overdue is (judgement.due_by_rules_on < on)
    # eight days hold every run of closed days of the calendars above
    cap = finding.observed_on + timedelta(days=component.recheck_months * 31 + 8)
    assert judgement.due_by_rules_on <= cap
    if finding.unseen_months is not None:
        left = max(component.open_up_months - finding.unseen_months, 0)
        assert judgement.due_by_rules_on <= finding.observed_on + timedelta(days=left * 31 + 8)
