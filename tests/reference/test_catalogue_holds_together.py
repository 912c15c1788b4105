"""The stock catalogue by itself: every code leads somewhere, every figure is one, every place is looked at.

Vocabularies: `yard.vocabulary` and `inspections.judgement.vocabulary`. That a part needs a question for each way
it meets another is common practice, no source.
"""

import json
import re
from decimal import Decimal
from typing import Any

import pytest

from inspections.judgement.vocabulary import Condition
from tests.reference.catalogue_files import CATALOGUE, FILES, Item, by_code, stock
from yard.vocabulary import Contact, Load, SafetyRole, Water

PLAIN_DECIMAL = re.compile(r"\d+(\.\d+)?")
CODE = re.compile(r"[A-Z][A-Z0-9_]*")
KEY = re.compile(r"[a-z][a-z0-9_]*")
NAME_OF_A_PACK = re.compile(r"[a-z]+")

SHAPES = {
    "component_classes": "code name group fits contact load water safety_role hidden_by look_first_at"
    " recheck_months open_up_months usual_signs basis",
    "signs": "code name record_as size_unit meaning confirm_by made_worse_by conditions raises lowers basis",
    "treatments": "code name unit suits_signs suits_conditions suits_classes steps tools needs hours_low"
    " hours_likely hours_high setup_hours materials extras minimum_temperature_c maximum_moisture_pct"
    " needs_shelter needs_dry_weather cautions limits basis",
    "cautions": "code title text",
    "materials": "code name unit unit_price vat_class waste_pct least_per_job charged_by packs basis",
    "templates": "component_class title opening_steps checks",
}
# No finding leads to these: they are done to a whole surface that has had its time.
FOR_WHOLE_SURFACES = {"STRIP_REPAINT"}
CHECK_SHAPE = "key prompt answer_kind reading usual_signs contact after both_sides photo_wanted look_for"

SIZE_UNITS = {"mm", "m", "m2", "mm2", "count", "pct", "points", "ml_h", "months"}
READINGS = {
    "moisture_pct": "pct",
    "play_mm": "mm",
    "section_left_mm": "mm",
    "cover_mm": "mm",
    "sink_mm": "mm",
    "drain_s": "s",
    "weep_ml_h": "ml_h",
}
TREATMENT_UNITS = (
    "site m m2 m2_coat piece scarf frame fastening hole fitting pad location tiller windlass bolt chainplate end"
    " bung place finding"
)
MATERIAL_UNITS = {"ml", "L", "g", "m", "m2", "pcs"}


@pytest.mark.parametrize("name", FILES)
def test_each_file_is_tidy_json_that_says_its_basis(name: str) -> None:
    text = (CATALOGUE / f"{name}.json").read_text(encoding="utf-8")
    document = json.loads(text)
    assert list(document) == ["basis", "items"]
    assert document["basis"].strip()
    assert text == json.dumps(document, ensure_ascii=False, indent=2) + "\n"


@pytest.mark.parametrize("name", FILES)
def test_each_item_has_the_shape_of_its_file(name: str) -> None:
    for item in stock(name):
        assert list(item) == SHAPES[name].split(), item


@pytest.mark.parametrize("name", [name for name in FILES if name != "templates"])
def test_codes_are_plain_and_used_once(name: str) -> None:
    pattern = KEY if name == "materials" else CODE
    codes = [item["code"] for item in stock(name)]
    assert len(set(codes)) == len(codes)
    assert all(pattern.fullmatch(code) for code in codes)


def test_component_classes_speak_the_vocabulary() -> None:
    for item in stock("component_classes"):
        assert_known(item["contact"], set(Contact))
        assert_known(item["load"], set(Load))
        assert_known(item["water"], set(Water))
        assert_known([item["safety_role"]], set(SafetyRole))
        assert_known(item["usual_signs"], set(by_code("signs")))
        assert item["hidden_by"]
        assert item["look_first_at"]


def test_signs_speak_for_conditions() -> None:
    for item in stock("signs"):
        assert_known(item["conditions"], set(Condition))
        assert item["size_unit"] in SIZE_UNITS, item["code"]


def test_every_condition_but_the_lost_part_has_a_sign() -> None:
    spoken_for = {condition for item in stock("signs") for condition in item["conditions"]}
    # That a part is gone needs no sign: whoever looks says so.
    assert spoken_for == set(Condition) - {Condition.GONE}


def test_every_condition_has_a_treatment() -> None:
    treated = {condition for item in stock("treatments") for condition in item["suits_conditions"]}
    assert treated == set(Condition)


def test_treatments_name_only_what_exists() -> None:
    for item in stock("treatments"):
        beside = item["code"] in FOR_WHOLE_SURFACES
        assert_known(item["suits_signs"], set(by_code("signs")), may_be_empty=beside)
        assert_known(item["suits_conditions"], set(Condition), may_be_empty=beside)
        assert_known(item["suits_classes"], set(by_code("component_classes")), may_be_empty=True)
        assert_known(item["cautions"], set(by_code("cautions")))
        used = [line["item"] for line in item["materials"]]
        assert_known(used, set(by_code("materials")), may_be_empty=True)
        assert item["unit"] in TREATMENT_UNITS.split(), item["code"]
        assert item["tools"]
        assert item["needs"]
        assert item["limits"]


def test_every_material_and_caution_is_used() -> None:
    treatments = stock("treatments")
    used = {line["item"] for item in treatments for line in all_materials(item)}
    assert used == set(by_code("materials"))
    assert {code for item in treatments for code in item["cautions"]} == set(by_code("cautions"))


def all_materials(treatment: Item) -> list[Item]:
    lines: list[Item] = list(treatment["materials"])
    for extra in treatment["extras"]:
        lines += extra["materials"]
    return lines


def test_three_point_figures_are_in_order() -> None:
    for item in stock("treatments"):
        for hours in (item, *item["extras"]):
            assert_in_order(hours, "hours_low", "hours_likely", "hours_high")
            assert decimal(hours["hours_low"]) > 0
        for line in all_materials(item):
            assert_in_order(line, "low", "likely", "high")
            assert decimal(line["likely"]) > 0
        assert decimal(item["setup_hours"]) >= 0


def test_waits_start_at_a_step_that_is_done() -> None:
    for item in stock("treatments"):
        for number, step in enumerate(item["steps"], start=1):
            if wait := step["wait"]:
                assert list(wait) == ["for", "hours_low", "hours_likely", "hours_high", "cold_factor", "since_step"]
                assert wait["for"] in {"drying", "cure", "recoat", "stain", None}, item["code"]
                assert_in_order(wait, "hours_low", "hours_likely", "hours_high")
                assert 1 <= decimal(wait["cold_factor"]) <= 3
                assert 1 <= wait["since_step"] <= number, item["code"]


def test_whole_numbers_are_whole_numbers() -> None:
    for item in stock("component_classes"):
        assert_whole(item["recheck_months"], 1, 120)
        assert_whole(item["open_up_months"], item["recheck_months"], 240)
    for item in stock("treatments"):
        for value, least, most in ((item["minimum_temperature_c"], 0, 20), (item["maximum_moisture_pct"], 8, 25)):
            if value is not None:
                assert_whole(value, least, most)
        assert isinstance(item["needs_shelter"], bool)
        assert isinstance(item["needs_dry_weather"], bool)
    for item in stock("materials"):
        assert_whole(item["waste_pct"], 0, 50)


def test_materials_have_a_price_and_a_unit() -> None:
    for item in stock("materials"):
        assert decimal(item["unit_price"]) > 0
        assert item["unit"] in MATERIAL_UNITS, item["code"]
        assert item["vat_class"] == "standard"
        assert item["least_per_job"] is None or decimal(item["least_per_job"]) > 0


def test_packs_are_numbers_with_a_name_and_the_larger_one_is_no_dearer_by_the_unit() -> None:
    for item in stock("materials"):
        assert item["charged_by"] in {"amount", "pack"}, item["code"]
        assert item["packs"] or item["charged_by"] == "amount", item["code"]
        by_unit = []
        for pack in item["packs"]:
            assert list(pack) == ["name", "plural", "size", "price"], item["code"]
            assert NAME_OF_A_PACK.fullmatch(pack["name"]), item["code"]
            assert NAME_OF_A_PACK.fullmatch(pack["plural"]), item["code"]
            by_unit.append(decimal(pack["price"]) / decimal(pack["size"]))
        sizes = [decimal(pack["size"]) for pack in item["packs"]]
        assert sizes == sorted(set(sizes)), item["code"]
        assert by_unit == sorted(by_unit, reverse=True), item["code"]
        # a slip of a digit between the price by the unit and that of the pack would show here
        assert all(decimal(item["unit_price"]) / 2 < each < decimal(item["unit_price"]) * 4 for each in by_unit), (
            item
        )


def test_every_sign_is_usual_somewhere() -> None:
    usual = {sign for item in stock("component_classes") for sign in item["usual_signs"]}
    assert usual == set(by_code("signs"))


def suits(treatment: Item, component_class: str, sign: Item) -> bool:
    fits = not treatment["suits_classes"] or component_class in treatment["suits_classes"]
    by_condition = set(sign["conditions"]) & set(treatment["suits_conditions"])
    return fits and (sign["code"] in treatment["suits_signs"] or bool(by_condition))


def test_every_usual_sign_can_be_treated_and_every_treatment_is_reached() -> None:
    signs, treatments = by_code("signs"), stock("treatments")
    reached = set()
    for item in stock("component_classes"):
        for sign in item["usual_signs"]:
            found = {treatment["code"] for treatment in treatments if suits(treatment, item["code"], signs[sign])}
            assert found, (item["code"], sign)
            reached |= found
    assert reached == set(by_code("treatments")) - FOR_WHOLE_SURFACES


def test_every_class_has_one_template() -> None:
    assert [item["component_class"] for item in stock("templates")] == list(by_code("component_classes"))


def test_templates_ask_three_to_six_questions_with_keys_of_their_own() -> None:
    for item in stock("templates"):
        for part, least, most in (("opening_steps", 1, 4), ("checks", 3, 6)):
            keys = [entry["key"] for entry in item[part]]
            assert least <= len(keys) <= most, item["component_class"]
            assert len(set(keys)) == len(keys), item["component_class"]
            assert all(KEY.fullmatch(key) for key in keys)


def test_opening_steps_take_off_or_clean_and_each_serves_a_check() -> None:
    for item in stock("templates"):
        needed = {key for check in item["checks"] for key in check["after"]}
        assert needed == {step["key"] for step in item["opening_steps"]}, item["component_class"]
        for step in item["opening_steps"]:
            assert list(step) == ["key", "kind", "text", "shares"]
            assert step["kind"] in {"take_off", "clean"}
            assert step["shares"] is None or KEY.fullmatch(step["shares"])


def test_something_comes_off_wherever_not_seen_is_a_usual_answer() -> None:
    classes = by_code("component_classes")
    for item in stock("templates"):
        comes_off = any(step["kind"] == "take_off" for step in item["opening_steps"])
        hidden = "NOT_SEEN" in classes[item["component_class"]]["usual_signs"]
        assert comes_off == hidden, item["component_class"]


def test_some_openings_are_shared_between_classes() -> None:
    sharers: dict[str, set[str]] = {}
    for item in stock("templates"):
        for step in item["opening_steps"]:
            sharers.setdefault(step["shares"] or step["key"], set()).add(item["component_class"])
    # The cabin sole hides all of these at once.
    assert {"FLOOR_TIMBER", "KEEL_BOLTS", "MAST_STEP"} <= sharers["cabin_sole"]
    assert {"DECK_BEAM", "DECK_PLY", "STANCHION_BASE"} <= sharers["headlining"]


def test_checks_cover_each_way_the_part_meets_another() -> None:
    classes = by_code("component_classes")
    for item in stock("templates"):
        asked = {contact for check in item["checks"] for contact in check["contact"]}
        assert asked == set(classes[item["component_class"]]["contact"]), item["component_class"]


def test_checks_look_for_exactly_the_usual_signs() -> None:
    classes = by_code("component_classes")
    for item in stock("templates"):
        looked_for = {sign for check in item["checks"] for sign in check["usual_signs"]}
        usual = set(classes[item["component_class"]]["usual_signs"]) - {"NOT_SEEN"}
        assert looked_for == usual, item["component_class"]


def test_checks_have_the_shape_of_their_answer() -> None:
    for item in stock("templates"):
        for check in item["checks"]:
            assert list(check) == CHECK_SHAPE.split()
            assert isinstance(check["both_sides"], bool)
            assert isinstance(check["photo_wanted"], bool)
            assert check["answer_kind"] == ("reading" if check["reading"] else "signs")
            if reading := check["reading"]:
                assert READINGS[reading["quantity"]] == reading["unit"]
                assert 0 <= decimal(reading["minimum"]) < decimal(reading["maximum"])


def test_every_loaded_part_on_which_safety_hangs_is_looked_at_from_two_sides_or_moved_by_hand() -> None:
    classes = by_code("component_classes")
    for item in stock("templates"):
        role = classes[item["component_class"]]["safety_role"]
        if role in {"rig", "steering", "anchoring", "personal_safety"}:
            assert any(check["both_sides"] or "MOVEMENT_HAND" in check["usual_signs"] for check in item["checks"])


def test_cautions_put_local_rules_first() -> None:
    cautions = stock("cautions")
    assert len(cautions) == 16
    general = cautions[0]
    assert general["code"] == "GENERAL"
    for words in ("Local codes", "data sheet", "licensed"):
        assert words in general["text"]


def decimal(value: object) -> Decimal:
    assert isinstance(value, str), value
    assert PLAIN_DECIMAL.fullmatch(value), value
    return Decimal(value)


def assert_in_order(item: Item, low: str, likely: str, high: str) -> None:
    assert decimal(item[low]) <= decimal(item[likely]) <= decimal(item[high]), item


def assert_whole(value: object, least: int, most: int) -> None:
    assert type(value) is int
    assert least <= value <= most


def assert_known(codes: list[Any], known: set[Any], *, may_be_empty: bool = False) -> None:
    assert codes or may_be_empty
    assert len(set(codes)) == len(codes), codes
    assert set(codes) <= known, set(codes) - known
