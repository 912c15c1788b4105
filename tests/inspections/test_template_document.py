"""The text of a template: read back as it was, refused with the place of what makes no sense."""

import json
from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest
from django.conf import settings

from inspections.templates import document
from tests.factories.inspections import CHECKS, OPENING_STEPS, SIGNS
from yard.refusals import RefusedMany

Change = Callable[[list[dict[str, Any]], list[dict[str, Any]]], object]


def stock(name: str) -> list[dict[str, Any]]:
    items: list[dict[str, Any]] = json.loads((settings.FIXTURES_FOLDER / "catalogue" / f"{name}.json").read_text())[
        "items"
    ]
    return items


@pytest.mark.parametrize("item", stock("templates"), ids=lambda item: item["component_class"])
def test_the_stock_templates_are_read_and_written_back_unchanged(item: dict[str, Any]) -> None:
    text = document.read(
        item["opening_steps"], item["checks"], sign_codes={sign["code"] for sign in stock("signs")}
    )
    assert text.opening_steps_json() == item["opening_steps"]
    assert text.checks_json() == item["checks"]


def refused_places(change: Change) -> list[str]:
    steps, checks = deepcopy(OPENING_STEPS), deepcopy(CHECKS)
    change(steps, checks)
    with pytest.raises(RefusedMany) as raised:
        document.read(steps, checks, sign_codes=frozenset(SIGNS))
    return [refusal.field for refusal in raised.value.refusals]


@pytest.mark.parametrize(
    ("change", "places"),
    [
        (lambda _, checks: checks[1]["reading"].update(maximum="4"), ["checks[1].reading.maximum"]),
        (lambda _, checks: checks[1]["reading"].update(maximum="130"), ["checks[1].reading.maximum"]),
        (lambda _, checks: checks[1]["reading"].update(minimum="dry"), ["checks[1].reading.minimum"]),
        (lambda _, checks: checks[1]["reading"].update(minimum="4.001"), ["checks[1].reading.minimum"]),
        (lambda _, checks: checks[1]["reading"].pop("unit"), ["checks[1].reading.unit"]),
        (lambda _, checks: checks[1].update(reading=None), ["checks[1].reading"]),
        (lambda _, checks: checks[0].update(reading=checks[1]["reading"]), ["checks[0].reading"]),
        (lambda _, checks: checks[0].update(key="Lower corners"), ["checks[0].key"]),
        (lambda _, checks: checks[1].update(key="corners"), ["checks[1].key"]),
        (lambda _, checks: checks[0].update(prompt=" "), ["checks[0].prompt"]),
        (lambda _, checks: checks[0].update(prompt="x" * 301), ["checks[0].prompt"]),
        (lambda _, checks: checks[0].update(answer_kind="photo"), ["checks[0].answer_kind"]),
        (lambda _, checks: checks[0].update(usual_signs=["CRACK_WOOD", "RUMOUR"]), ["checks[0].usual_signs[1]"]),
        (lambda _, checks: checks[0].update(contact=["wood_to_stone"]), ["checks[0].contact[0]"]),
        (lambda _, checks: checks[0].update(after=["floor"]), ["checks[0].after[0]"]),
        (lambda _, checks: checks[0].update(both_sides="both"), ["checks[0].both_sides"]),
        (lambda _, checks: checks[0].update(colour="red"), ["checks[0].colour"]),
        (lambda steps, _: steps[0].update(kind="break"), ["opening_steps[0].kind"]),
        (lambda steps, _: steps.append(dict(steps[0])), ["opening_steps[1].key"]),
        (lambda _, checks: checks.clear(), ["checks"]),
        (lambda _, checks: checks.append("soft?"), ["checks[2]"]),
        (
            lambda steps, checks: (steps[0].update(text=""), checks[1]["reading"].update(maximum="x")),
            ["opening_steps[0].text", "checks[1].reading.maximum"],
        ),
    ],
    ids=[
        "maximum not above minimum", "moisture above what wood holds", "minimum no figure", "too many places",
        "no unit", "reading missing", "reading at a check for signs", "key with blanks", "key twice", "no prompt",
        "prompt too long", "unknown answer kind", "unknown sign", "unknown contact", "unknown opening step",
        "flag as word", "unknown name", "unknown kind of step", "step twice", "nothing asked", "no object",
        "several at once",
    ],
)  # fmt: skip
def test_what_makes_no_sense_is_refused_with_its_place(change: Change, places: list[str]) -> None:
    assert refused_places(change) == places


@pytest.mark.parametrize("value", [None, "text", 5, {"key": "a"}], ids=str)
def test_lists_that_are_none_are_refused(value: object) -> None:
    with pytest.raises(RefusedMany) as raised:
        document.read([], value)
    assert raised.value.field == "checks"


def test_without_the_yards_signs_no_code_is_refused() -> None:
    checks = deepcopy(CHECKS)
    checks[0]["usual_signs"] = ["OF_LAST_YEAR"]
    assert document.read(OPENING_STEPS, checks).checks[0].usual_signs == ("OF_LAST_YEAR",)
