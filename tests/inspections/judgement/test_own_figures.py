"""The figures of the rules by name, and a yard's own laid over them."""

from __future__ import annotations

from typing import Any

from inspections.judgement.rules import load_rules
from inspections.judgement.rules.own_figures import own_figures, source_of, stock_figures, with_figures
from yard.refusals import Refused


def test_every_stock_figure_laid_over_itself_is_the_stock() -> None:
    assert with_figures({}, stock_figures()) == {}
    assert len(stock_figures()) > 100


def test_each_figure_may_be_laid_over_or_is_refused_by_its_own_name() -> None:
    taken = 0
    for name, stock in stock_figures().items():
        overrides = with_figures({}, {name: stock * 1.01 + 0.001})
        assert list(own_figures(overrides)) == [name]
        field = refused_as(overrides)
        assert not field or name.partition(".")[0] in field, (name, field)
        taken += not field
    assert taken > 100


def refused_as(overrides: dict[str, Any]) -> str:
    """The field of a refusal: whole numbers, orders and bands refuse what makes no sense of them."""
    try:
        assert load_rules(overrides=overrides) != load_rules()
    except Refused as refusal:
        return refusal.field
    return ""


def test_what_else_a_yard_has_of_its_own_stays() -> None:
    own = {
        "signs": {"salt": ["WHITE_BLOOM"]},
        "moisture": {"wet_pct": 19},
        "progression": {"season": {"least_years": 1}},
    }
    assert with_figures(own, {"moisture.soaking_pct": 27.5}) == {
        "signs": {"salt": ["WHITE_BLOOM"]},
        "moisture": {"soaking_pct": 27.5},
    }
    assert own["moisture"] == {"wet_pct": 19}
    assert with_figures(own, own_figures(own)) == own


def test_each_figure_has_its_source_beside_it() -> None:
    assert "Wood Handbook" in source_of("moisture.wet_pct")
    assert "Probability of missing it" in source_of("due_back.acceptable.1")
    assert [name for name in stock_figures() if not source_of(name)] == []
