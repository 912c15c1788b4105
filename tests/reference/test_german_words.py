"""The stock catalogue in German: everything that an owner can be shown, and nothing that is no longer there."""

from __future__ import annotations

import json
import re
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from tests.reference.catalogue_files import CATALOGUE, by_code, stock
from workshop.estimating.finish_words import SENTENCES, Age, sentence
from workshop.quoting.if_left import COMES_TO, RUNS_ON
from workshop.quoting.words_in import BUILD_DE
from yard.models import Build
from yard.stock_words import stock_word

GERMAN: dict[str, Any] = json.loads((CATALOGUE / "german.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", ["signs", "treatments", "materials", "component_classes", "cautions"])
def test_every_entry_has_a_german_name_and_none_is_left_over(name: str) -> None:
    assert set(GERMAN[name]) == set(by_code(name))


def test_every_caution_is_told_as_a_whole() -> None:
    for code, caution in by_code("cautions").items():
        told = GERMAN["cautions"][code]
        # as many figures, and no less than two thirds as long
        assert re.findall(r"\d+", told["text"]) == re.findall(r"\d+", caution["text"]), code
        assert len(told["text"]) > len(caution["text"]) * 2 / 3, code


def test_every_step_that_opens_something_up_and_every_pack_has_german_words() -> None:
    steps = {
        step["text"].rstrip(".")
        for template in stock("templates")
        for step in template["opening_steps"]
        if step["kind"] == "take_off"
    }
    assert set(GERMAN["opening_steps"]) == steps
    packs = {
        pack[name] for item in stock("materials") for pack in item.get("packs", ()) for name in ("name", "plural")
    }
    assert set(GERMAN["packs"]) == packs


def test_names_can_stand_in_a_list() -> None:
    # a sign's begins with a noun, a treatment's has a capital only there; nothing is left in English
    assert all(name[0].isupper() for name in GERMAN["signs"].values())
    for name in ("signs", "treatments", "component_classes"):
        english = {item["name"].lower() for item in stock(name)}
        assert not english & {told.lower() for told in GERMAN[name].values()}


def test_a_text_of_the_yard_s_own_stays_as_it_is() -> None:
    assert stock_word("signs", "Open glue line", "de") == "Leimfuge offen"
    assert stock_word("signs", "Open glue line", "en") == "Open glue line"
    assert stock_word("signs", "Open glue line at the scarph", "de") == "Open glue line at the scarph"


def test_what_comes_of_it_and_every_build_have_german_words() -> None:
    assert set(BUILD_DE) == set(Build.values)
    assert RUNS_ON["de"].keys() == RUNS_ON["en"].keys()
    assert COMES_TO["de"].keys() == COMES_TO["en"].keys()


def test_the_cycle_of_a_finish_says_the_same_in_german() -> None:
    assert SENTENCES["de"].keys() == SENTENCES["en"].keys()
    for key, told in SENTENCES["de"].items():
        assert sorted(re.findall(r"{\w+}", told)) == sorted(re.findall(r"{\w+}", SENTENCES["en"][key])), key
    said = sentence("stripped", day=date(2027, 4, 1), age=Age(37))
    assert said.inside("de").replace("\u00a0", " ") == (
        "Zuletzt abgezogen am 1. April 2027; seither vergangen: 3 Jahre und 1 Monat."
    )
    area = sentence("patches", patched=Decimal("0.50"), area=Decimal("2.25"), share=22)
    assert area.inside("de") == "Ausbesserungen seither: 0,5 m² von 2,25 m², 22 %."
