"""What a yard's own figures would have changed, before it adopts them."""

from __future__ import annotations

from typing import Any

import pytest

from inspections.models import Assessment, Finding
from inspections.services.rule_editions import rules_adopt
from inspections.services.rule_effect import RuleEffect, effect_of_rules
from tests.conftest import SPRING
from tests.inspections.scenes import Scene, scene
from tests.queries import assert_same_queries
from yard.refusals import Refused

pytestmark = pytest.mark.django_db

# A look that hardly ever sees an open way for water: somebody must be back sooner.
SHORTSIGHTED = {"due_back": {"one_look_sees": {"water_way_open": 0.08}}}


@pytest.fixture
def laid() -> Scene:
    made = scene(SPRING)
    made.store(made.finding())
    return made


def effect(laid: Scene, overrides: dict[str, Any], year: int = 2027) -> RuleEffect:
    return effect_of_rules(yard=laid.yard, overrides=overrides, season_year=year, at=SPRING)


def test_the_rules_of_now_change_nothing_and_nothing_is_written(laid: Scene) -> None:
    there = Assessment.objects.count()
    same = effect(laid, {})
    assert (same.looked_at, same.moved) == (1, ())
    assert all(before == after for _, before, after in same.counts)
    assert effect(laid, SHORTSIGHTED, year=2026).looked_at == 0
    assert Assessment.objects.count() == there


def test_other_figures_move_the_day_as_judging_by_them_then_does(laid: Scene) -> None:
    told = effect(laid, SHORTSIGHTED)
    (moved,) = told.moved
    assert moved.due_after < moved.due_before
    assert sum(before for _, before, _ in told.counts) == sum(after for _, _, after in told.counts) == 1
    # once adopted, they are the rules of now, and the stock ones would move it back
    rules_adopt(yard=laid.yard, by=laid.manager, overrides=SHORTSIGHTED, why="tried", at=SPRING)
    (back,) = effect(laid, {}).moved
    assert (back.due_before, back.due_after) == (moved.due_after, moved.due_before)


def test_figures_that_make_no_sense_are_refused_by_name(laid: Scene) -> None:
    with pytest.raises(Refused) as refused:
        effect(laid, {"moisture": {"wet_pct": -4}})
    assert "moisture" in refused.value.field


def test_it_asks_no_more_for_more_findings(laid: Scene) -> None:
    def grow(to: int) -> None:
        for _ in range(to - Finding.objects.count()):
            laid.store(laid.finding(None, component=laid.component.pk))

    assert_same_queries(lambda: effect(laid, SHORTSIGHTED), grow, to=(1, 4))
