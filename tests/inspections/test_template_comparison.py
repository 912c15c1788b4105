"""Two versions of a template beside each other, and a draft that is changed piece by piece: pure, no database."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from inspections.templates import document, editing
from inspections.templates.comparison import Pair, compare
from inspections.templates.document import Check, TemplateDocument
from inspections.templates.quantities import QUANTITIES, UNITS, unit_refusals
from tests.factories.inspections import CHECKS, OPENING_STEPS

TEXT = document.read(OPENING_STEPS, CHECKS)
CORNERS, MOISTURE = TEXT.checks
TABLET_WORDS = Path(__file__).resolve().parents[2] / "web" / "static" / "web" / "tablet" / "words"


def asking(*checks: Check) -> TemplateDocument:
    return replace(TEXT, checks=checks)


def told(pairs: tuple[Pair[Check], ...]) -> list[tuple[str, str, bool]]:
    return [(pair.shown.key, pair.outcome, pair.moved) for pair in pairs]


def test_what_was_added_changed_moved_and_taken_out_is_told() -> None:
    sill, rail = replace(CORNERS, key="sill"), replace(CORNERS, key="rail")
    louder = replace(MOISTURE, look_for="After rain", photo_wanted=True)
    found = compare(asking(CORNERS, MOISTURE, rail), asking(rail, louder, sill))
    assert told(found.checks) == [
        ("corners", "gone", False),
        ("rail", "same", False),
        ("moisture", "changed", True),
        ("sill", "added", False),
    ]
    assert found.checks[2].changed == ("photo_wanted", "look_for")
    assert found.counted() == {"added": 1, "changed": 1, "gone": 1, "moved": 1}
    assert [pair.outcome for pair in found.opening_steps] == ["same"]


def test_the_order_of_signs_is_no_difference_and_that_of_checks_is() -> None:
    turned = replace(CORNERS, usual_signs=CORNERS.usual_signs[::-1])
    assert not compare(asking(CORNERS, MOISTURE), asking(turned, MOISTURE)).differs
    swapped = compare(asking(CORNERS, MOISTURE), asking(MOISTURE, CORNERS))
    assert [pair.moved for pair in swapped.checks].count(True) == 1


@hypothesis_settings(max_examples=60)
@given(before=st.permutations("abcdef"), after=st.permutations("abcdef"), kept=st.integers(0, 6))
def test_nothing_is_lost_or_told_twice_and_back_again_is_the_mirror(
    before: list[str], after: list[str], kept: int
) -> None:
    one = asking(*(replace(CORNERS, key=key) for key in before))
    other = asking(*(replace(CORNERS, key=key) for key in after[:kept]))
    there, back = compare(one, other), compare(other, one)
    assert sorted(pair.shown.key for pair in there.checks) == sorted("abcdef")
    assert [pair.shown.key for pair in there.checks if pair.outcome != "gone"] == after[:kept]
    assert there.counted()["gone"] == back.counted()["added"] == 6 - kept
    assert there.counted()["moved"] == back.counted()["moved"]
    assert there.differs == (before != after[:kept])


@pytest.mark.parametrize(
    ("text", "taken", "key"),
    [
        ("Are the lower corners tight?", (), "lower_corners_tight"),
        ("Are the lower corners tight?", ("lower_corners_tight",), "lower_corners_tight_2"),
        ("Is it?", (), "is_it"),
        ("Größe über Deck", (), "groe_uber_deck"),
        ("???", ("check",), "check_2"),
        ("x" * 300, (), "x" * 40),
    ],
)
def test_a_key_is_made_of_telling_words_and_never_taken_over(text: str, taken: tuple[str, ...], key: str) -> None:
    assert editing.fresh_key(text, taken, otherwise="check") == key
    document.read([], [{"key": key, "prompt": "?", "answer_kind": "signs"}])


def test_an_item_moves_within_the_list_and_not_out_of_it() -> None:
    items = [{"key": key} for key in "abc"]

    def moved(key: str, by: int) -> str:
        return "".join(str(item["key"]) for item in editing.item_moved(items, key, by))

    assert [moved("a", 1), moved("c", -1), moved("a", -1), moved("c", 5), moved("b", -9), moved("z", 1)] == [
        "bac",
        "acb",
        "abc",
        "abc",
        "bac",
        "abc",
    ]


def test_checks_come_over_with_the_steps_they_wait_for_and_keys_of_their_own() -> None:
    other_step = replace(TEXT.opening_steps[0], text="Headlining down")
    source = TemplateDocument((other_step,), (replace(CORNERS, after=("lining",)), MOISTURE))
    brought = editing.brought_over(TEXT, source, checks=["corners"], steps=[], taken={"corners", "corners_2"})
    assert [step.key for step in brought.opening_steps] == ["lining", "lining_2"]
    assert [(check.key, check.after) for check in brought.checks] == [
        ("corners", ("lining",)),
        ("moisture", ()),
        ("corners_3", ("lining_2",)),
    ]
    assert editing.brought_over(brought, source, checks=["corners"], steps=["lining"], taken=()) == brought  # once
    assert document.read(brought.opening_steps_json(), brought.checks_json()) == brought


def test_without_a_step_no_check_waits_for_it() -> None:
    steps, checks = editing.step_removed(OPENING_STEPS, CHECKS, "lining")
    assert (steps, [check["after"] for check in checks]) == ([], [[], []])
    assert document.read(steps, checks).checks[0].after == ()


@pytest.mark.parametrize("language", ["en", "de"])
def test_the_tablet_has_words_for_every_quantity_and_unit(language: str) -> None:
    words = json.loads((TABLET_WORDS / f"{language}.json").read_text())
    for quantity in QUANTITIES:
        assert f"quantity.{quantity.code}" in words
        assert quantity.minimum < quantity.maximum
        if language == "en":
            assert words[f"quantity.{quantity.code}"] == quantity.name
            assert words[f"unit.{quantity.unit}"] == quantity.unit_name
    assert {name for name in words if name.startswith("unit.")} == {f"unit.{unit}" for unit in UNITS}


def test_a_unit_is_one_of_the_known_and_the_one_of_its_quantity() -> None:
    assert MOISTURE.reading is not None

    def refused(quantity: str, unit: str) -> list[str]:
        asked = replace(MOISTURE.reading, quantity=quantity, unit=unit)  # type: ignore[type-var]
        return [refusal.field for refusal in unit_refusals(asking(CORNERS, replace(MOISTURE, reading=asked)))]

    assert refused("moisture_pct", "pct") == refused("own_gap_mm", "mm") == []
    assert refused("moisture_pct", "mm") == refused("own_gap", "inch") == ["checks[1].reading.unit"]
